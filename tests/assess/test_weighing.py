"""Which hours are weighed around a trip, and what an earlier check adds to them."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from safety_check.arrays import hour_axis, to_datetime64
from safety_check.assess.weighing import (
    assessment_hours,
    forecast_growth_of,
    forecast_hours,
    movement_of,
    weigh_hours,
    weigh_trip,
)
from safety_check.conditions.case import Case
from safety_check.conditions.forecast_trend import ForecastSummary, PastChecks
from safety_check.model.place import WaterKind
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.water_estimate import WaterEstimate
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import afloat, scenes

RULES = load_rulebook()
CASE = Case(scenes.plan(), scenes.briefing(), scenes.POND, scenes.settings(), load_trust())
HOURS = hour_axis(scenes.START, scenes.START + timedelta(hours=6))


def june(day: int, hour: float) -> datetime:
    """Return a time of June 2026, UTC; the clock of the water is five hours behind."""
    return datetime(2026, 6, day, tzinfo=UTC) + timedelta(hours=hour)


def trip(start: datetime, end: datetime) -> Plan:
    return replace(scenes.plan(), start=start, end=end)


@pytest.mark.parametrize(
    ("at", "end", "margin", "first", "last"),
    [
        # All of the local day, from midnight (05:00 UTC) to the hour that begins at 23:00.
        (june(12, 22), june(13, 20), 1800.0, june(13, 5), june(14, 4)),
        # Of a day that has begun, what is still to come; but the trip itself in any case.
        (june(13, 12.5), june(13, 20), 1800.0, june(13, 12), june(14, 4)),
        (june(13, 17), june(13, 20), 1800.0, june(13, 15), june(14, 4)),
        # The margin after the end belongs to the trip.
        (june(12, 22), june(14, 3.75), 7200.0, june(13, 5), june(14, 5)),
        # A trip past midnight has two days.
        (june(12, 22), june(14, 6), 1800.0, june(13, 5), june(15, 4)),
    ],
)
def test_the_hours_are_those_of_the_trip_and_of_its_day_still_to_come(
    at: datetime, end: datetime, margin: float, first: datetime, last: datetime
) -> None:
    hours = assessment_hours(trip(june(13, 15), end), at, margin)
    assert (hours[0], hours[-1]) == (to_datetime64(first), to_datetime64(last))
    assert set(np.diff(hours)) == {np.timedelta64(1, "h")}


def summary(*winds: float, from_file: bool = False) -> ForecastSummary:
    """Return a forecast of one model's wind at successive hours."""
    time = to_datetime64(scenes.START) + np.arange(len(winds)) * np.timedelta64(1, "h")
    nothing = np.zeros(len(winds))
    return ForecastSummary(
        scenes.NOW, time, nothing, ("a",), np.array([winds]), {}, {}, from_file=from_file
    )


def test_the_worse_end_of_each_hour_says_how_far_a_forecast_has_risen() -> None:
    now, before = summary(1.0, 2.0, 6.0, 3.0), summary(1.0, 1.0, 1.0, 1.0)
    [grown] = forecast_growth_of(now, PastChecks((before,)))["forecast_growth"]
    assert grown.tolist() == [1.0, 5.0, 5.0]


def test_a_check_of_a_saved_file_and_no_check_at_all_show_no_rise() -> None:
    now, before = summary(2.0, 2.0), summary(1.0, 1.0)
    saved = replace(before, from_file=True)
    assert forecast_growth_of(now, PastChecks()) == {}
    assert forecast_growth_of(now, PastChecks((saved,))) == {}
    both = forecast_growth_of(now, PastChecks((summary(0.0, 0.0, from_file=True), before)))
    assert both["forecast_growth"].tolist() == [[1.0]]


def test_a_lost_past_leaves_the_rise_unknown() -> None:
    past = PastChecks((summary(2.0, 2.0),), lost=True)
    found = forecast_growth_of(summary(2.0, 2.0), past)["forecast_growth"]
    assert found.shape == (1, 1)
    assert math.isnan(found[0, 0])


def test_only_water_that_moves_has_a_movement_and_it_knows_whether_it_is_tidal() -> None:
    def movement(kind: WaterKind, **told: object) -> object:
        plan = replace(scenes.plan(), water=replace(scenes.WATER, kind=kind))
        briefing = replace(scenes.briefing(), **told)  # type: ignore[arg-type]
        return movement_of(Case(plan, briefing, scenes.POND, scenes.settings(), load_trust()))

    moving = afloat.flowing()
    assert movement(WaterKind.STILL, moving=moving) is None
    assert movement(WaterKind.FLOWING, moving=moving) == moving
    assert movement(WaterKind.TIDAL, moving=moving) == replace(moving, tidal=True)
    unsaid = movement(WaterKind.TIDAL)
    assert unsaid == replace(afloat.MovingWater(), tidal=True)


# -- what is weighed -------------------------------------------------------------------------------


def test_widened_winds_are_decided_by_twice_the_share() -> None:
    several = scenes.briefing(scenes.forecast({}, {}, models=["one", "one"]))
    for dressing, of_winds in ((False, 0.1), (True, 0.2)):  # odds.toml, winds_factor
        own = scenes.settings(dressing=dressing)
        case = replace(CASE, briefing=several, settings=own)
        assert weigh_hours(case, HOURS, RULES).tolerance.of_winds == of_winds
        calibration = forecast_hours(case, HOURS, RULES).calibration
        assert (calibration is not None) == dressing
        assert calibration is None or calibration.share == of_winds


def test_one_forecast_from_a_file_marks_the_summary_of_all() -> None:
    live = replace(scenes.FROM_A_FILE, url="https://forecast.example", recorded=False)
    asked, saved = scenes.forecast(provenance=live), scenes.forecast()
    for forecasts, from_file in (((asked, asked), False), ((asked, saved), True)):
        told = replace(CASE.briefing, forecasts=forecasts)
        found = forecast_hours(replace(CASE, briefing=told), HOURS, RULES)
        assert found.forecast.from_file == from_file


def test_the_forecasts_know_how_a_water_moves() -> None:
    moving = afloat.tidal(0.5)
    tidal = replace(
        CASE,
        plan=afloat.plan(afloat.ESTUARY),
        briefing=replace(CASE.briefing, moving=moving),
    )
    assert forecast_hours(CASE, HOURS, RULES).members.flow is None
    flow = forecast_hours(tidal, HOURS, RULES).members.flow
    assert flow is not None
    assert flow.tide == moving.tides[0]


def test_reasons_know_until_when_is_judged_and_how_far_the_shore_may_be() -> None:
    pond = scenes.POND
    two = replace(
        pond,
        points=np.zeros((2, 2)),
        fetch=np.repeat(pond.fetch, 2, axis=1),
        radials=np.repeat(pond.radials, 2, axis=1),
        distance_from_shore=np.array([100.0, 700.0]),
    )
    context = weigh_hours(replace(CASE, water=two), HOURS, RULES).context
    end = CASE.plan.end + timedelta(minutes=30)  # trip.toml, margin
    assert context.judged == (CASE.plan.start, end)
    assert context.from_shore == 700.0


def test_a_rise_of_the_forecast_is_weighed_only_where_there_is_an_earlier_check() -> None:
    def names(*earlier: ForecastSummary) -> set[str]:
        weighed = weigh_hours(replace(CASE, past=PastChecks(earlier)), HOURS, RULES)
        return {one.hazard.name for one in weighed.weighing.hazards}

    first = replace(forecast_hours(CASE, HOURS, RULES).forecast, from_file=False)
    assert names(first) - names() == {"forecast_growing"}
    assert names() < names(first)
    assert "wind_too_strong" in names()
    assert "worse_before_home" in names()  # weighed once, from the hours after


def test_both_ends_of_an_estimate_are_weighed() -> None:
    # Without immersion clothing 9 °C would be NO-GO and 27 °C GO; one of both may be true.
    estimate = WaterEstimate(9 + 273.15, 27 + 273.15)
    plan = scenes.plan(water_temperature=None)
    case = replace(CASE, plan=plan, past=PastChecks(estimate=estimate))
    hazards = weigh_hours(case, HOURS, RULES).weighing.hazards
    [cold] = [one for one in hazards if one.hazard.name == "cold_water"]
    assert set(cold.hours.tolist()) == {Severity.MARGINAL}


def test_a_launch_that_dries_only_in_the_middle_of_a_trip_is_a_caution() -> None:
    begins = afloat.SLACK - timedelta(hours=1)  # an hour before high water, to an hour before one
    plan = afloat.plan(afloat.ESTUARY, 0.5, start=begins, hours=12.4)
    told = replace(CASE.briefing, moving=afloat.tidal())
    case = replace(CASE, plan=plan, briefing=told)
    hours = hour_axis(plan.start, plan.end + timedelta(minutes=30))
    whole = weigh_hours(case, hours, RULES)
    worst = {}
    for name, weighed in (("whole", whole), ("trip", weigh_trip(case, whole, RULES))):
        [dry] = [one for one in weighed.weighing.hazards if one.hazard.name == "launch_dries"]
        worst[name] = max(dry.hours.tolist())
    assert worst == {"whole": Severity.NO_GO, "trip": Severity.MARGINAL}
