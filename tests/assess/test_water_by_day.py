"""Each day is judged by its own estimate, and an earlier measurement by age and estimate."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.assess.outlook import build_outlook
from safety_check.assess.verdict import assess_case
from safety_check.assess.water_reading import (
    days_of,
    measured_water,
    no_colder_than,
    origins_of_estimate,
    read_water,
    water_of_hours,
)
from safety_check.conditions.case import Case
from safety_check.conditions.forecast_trend import PastChecks
from safety_check.model.verdict import Severity
from safety_check.model.water_estimate import DayRange, WaterEstimate
from safety_check.model.weather import Provenance
from safety_check.report.json_outlook import outlook_as_json
from safety_check.units import ZERO_CELSIUS
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_memory import own_measurement
from tests import scenes
from tests.properties import cases

TRUST, RULES = load_trust(), load_rulebook()
FIRST = date(2026, 6, 12)
ORIGIN = Provenance("Open-Meteo archive", "", "", None, scenes.NOW, True, "credit for the archive")


def ranges(*celsius: tuple[float, float]) -> WaterEstimate:
    """Return the estimate of successive days from the 12th of June on."""
    days = tuple(
        DayRange(FIRST + timedelta(days=number), cold + ZERO_CELSIUS, warm + ZERO_CELSIUS)
        for number, (cold, warm) in enumerate(celsius)
    )
    low, high = min(one.cold for one in days), max(one.warm for one in days)
    return WaterEstimate(low, high, days=days, provenance=(ORIGIN,))


def case_of(estimate, plan=None, **past):
    plan = plan or scenes.plan(water_temperature=None)
    return Case(plan, scenes.briefing(), scenes.POND, scenes.settings(), TRUST,
                PastChecks(estimate=estimate, **past))  # fmt: skip


def outlook(estimate):
    """Return the outlook over 13 and 14 June."""
    plan = replace(
        scenes.plan(water_temperature=None),
        start=scenes.NOW,
        end=datetime(2026, 6, 15, 3, tzinfo=UTC),
    )
    return build_outlook(case_of(estimate, plan), 3, RULES)


WARM, COLD = (23.0, 28.0), (8.0, 12.0)


def test_a_cold_day_does_not_hold_the_warm_day_before_it():
    found = outlook(ranges(WARM, WARM, COLD, COLD))
    by_day = {day.date.day: day for day in found.days}
    assert by_day[13].severity == Severity.GO
    assert by_day[14].severity == Severity.NO_GO
    assert by_day[13].water.value == pytest.approx(23 + ZERO_CELSIUS)
    assert by_day[14].water.warmest == pytest.approx(12 + ZERO_CELSIUS)
    assert "46 °F to 54 °F" in by_day[14].why.reason


def test_a_day_without_an_estimate_is_unknown_and_the_others_are_not():
    found = outlook(ranges(WARM, WARM))
    by_day = {day.date.day: day for day in found.days}
    assert by_day[13].severity == Severity.GO
    assert by_day[14].severity == Severity.UNKNOWN
    assert "of those days is not known" in by_day[14].water.why_not


def test_the_json_of_an_outlook_has_the_range_of_each_day_and_the_credit():
    found = outlook(ranges(WARM, WARM, COLD, COLD))
    said = outlook_as_json([found], found.days, "0")["waters"][0]
    whole, days = said["water_temperature"], said["days"]
    assert (whole["value"], whole["warmest"]) == pytest.approx((281.15, 301.15))
    told = {day["date"]: day["water_temperature"] for day in days}
    assert told["2026-06-13"]["value"] == pytest.approx(296.15)
    assert told["2026-06-14"]["warmest"] == pytest.approx(285.15)
    assert told["2026-06-14"]["source"] == "estimated from air temperature"
    assert "Open-Meteo archive" in [origin["source"] for origin in said["provenance"]]
    assert "credit for the archive" in said["credits"]


def test_a_verdict_names_where_the_air_comes_from_only_where_it_counts():
    estimated = case_of(ranges(WARM, WARM, WARM))
    assert ORIGIN in assess_case(estimated, RULES).verdict.provenance
    entered = replace(estimated, plan=replace(estimated.plan, water_temperature=296.0))
    assert ORIGIN not in assess_case(entered, RULES).verdict.provenance


def test_the_hours_of_a_check_have_the_range_of_their_day():
    case = case_of(ranges(WARM, COLD))
    hours = np.datetime64("2026-06-12T22", "s") + np.arange(4) * np.timedelta64(3600, "s")
    cold, warm = water_of_hours(case, hours)
    assert warm is not None
    assert [end - ZERO_CELSIUS for end in cold] == pytest.approx([23, 23, 8, 8])
    assert [end - ZERO_CELSIUS for end in warm] == pytest.approx([28, 28, 12, 12])


FOUR = np.datetime64("2026-06-12T22", "s") + np.arange(4) * np.timedelta64(3600, "s")


def test_an_entered_temperature_holds_in_every_hour_whatever_is_estimated():
    entered = scenes.plan(water_temperature=290.0)
    for estimate in (None, ranges(WARM, COLD)):
        temperature, warmest = water_of_hours(case_of(estimate, entered), FOUR)
        assert (temperature.tolist(), warmest) == ([290.0] * 4, None)
    unknown, warmest = water_of_hours(case_of(None), FOUR)
    assert np.isnan(unknown).tolist() == [True] * 4
    assert warmest is None


def test_an_earlier_measurement_is_raised_to_the_estimate_of_each_day():
    seen = own_measurement(21 + ZERO_CELSIUS, scenes.NOW - timedelta(days=6))
    case = case_of(ranges((17.0, 24.0), (3.0, 24.0)), water=(seen,))
    fallen = case_of(None, water=(seen,))
    temperature, warmest = water_of_hours(case, FOUR)
    assert warmest is None
    assert temperature[:2] - ZERO_CELSIUS == pytest.approx([17, 17])
    assert temperature[2:] == pytest.approx([read_water(fallen).value] * 2)
    assert read_water(fallen).value < 15 + ZERO_CELSIUS


def test_hours_of_a_day_without_an_estimate_are_unknown_and_the_others_keep_both_ends():
    cold, warm = water_of_hours(case_of(ranges(WARM)), FOUR)
    assert warm is not None
    for ends in (cold, warm):
        assert np.isnan(ends).tolist() == [False, False, True, True]
    never, no_end = water_of_hours(case_of(ranges(WARM)), FOUR + np.timedelta64(2, "D"))
    assert np.isnan(never).all()
    assert no_end is None


def test_a_range_of_one_value_is_an_estimate():
    reading = read_water(case_of(ranges(*[(20.0, 20.0)] * 3)))
    assert reading.value == reading.warmest == 20 + ZERO_CELSIUS


def test_of_several_measurements_the_coldest_counts():
    def seen(kelvin):
        return scenes.observation("water_temperature", kelvin, distance=100.0)

    case = case_of(None)
    told = replace(case.briefing, observations=(seen(290.0), seen(285.0), seen(288.0)))
    assert measured_water(replace(case, briefing=told)).value == 285.0


def origins(entered=None, estimate=None, **past):
    plan = scenes.plan(water_temperature=entered)
    return origins_of_estimate(case_of(estimate, plan, **past))


def test_the_air_is_named_where_the_water_is_estimated_or_remembered():
    seen = own_measurement(290.0, scenes.NOW - timedelta(days=6))
    assert origins(estimate=ranges(WARM)) == (ORIGIN,)
    assert origins(estimate=ranges(WARM), water=(seen,)) == (ORIGIN,)  # it may raise the memory
    assert origins(290.0, ranges(WARM)) == ()
    assert origins() == origins(water=(seen,)) == ()


@pytest.mark.parametrize(
    ("start", "end", "days"),
    [
        ((12, 20, 0), (12, 22, 59), [12]),  # UTC; the hour after the return ends on the same day
        ((12, 20, 0), (12, 23, 0), [12, 13]),
        ((12, 23, 0), (14, 1, 0), [12, 13, 14]),
    ],
)
def test_the_days_of_a_plan_include_that_of_the_hour_after_its_return(start, end, days):
    first, last = (
        datetime(2026, 6, day, hour, minute, tzinfo=UTC) for day, hour, minute in (start, end)
    )
    found = days_of(replace(scenes.plan(), start=first, end=last))
    assert found == [date(2026, 6, day) for day in days]


def measured_before(age_days, celsius, estimate):
    seen = own_measurement(celsius + ZERO_CELSIUS, scenes.NOW - timedelta(days=age_days))
    return read_water(case_of(estimate, water=(seen,)))


def test_an_earlier_measurement_counts_as_no_colder_than_the_estimate():
    alone = measured_before(6, 21.0, None)
    both = measured_before(6, 21.0, ranges(*[(17.0, 24.0)] * 4))
    assert alone.value < 15 + ZERO_CELSIUS
    assert both.value == pytest.approx(17 + ZERO_CELSIUS)
    assert both.measured == alone.measured
    assert both.warmest is None
    colder = measured_before(6, 12.0, ranges(*[(17.0, 24.0)] * 4))
    assert colder.value == pytest.approx(12 + ZERO_CELSIUS)
    assert measured_before(6, 21.0, ranges(*[(3.0, 24.0)] * 4)).value == alone.value


@cases(50)
@given(
    measured=st.floats(275, 305),
    fallen=st.floats(0, 10),
    more=st.floats(0, 5),
    cold=st.floats(273, 305),
)
def test_an_older_measurement_or_a_lost_estimate_never_counts_as_warmer(
    measured, fallen, more, cold
):
    def counts(end, drop):
        return no_colder_than(np.array([end]), measured - drop, measured)[0]

    now = counts(cold, fallen)
    assert counts(cold, fallen + more) <= now
    assert counts(math.nan, fallen) <= now
    assert counts(cold - more, fallen) <= now
    assert now <= measured
