"""A verdict from weighed hours: findings, hours, bounds, windows and origins, by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from functools import cache
from typing import Any

import numpy as np
import pytest

from safety_check.conditions.case import Case
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.model.moving_water import MovingWater
from safety_check.model.place import LocalRule
from safety_check.model.verdict import Finding, Severity, Verdict
from safety_check.model.weather import Alert, SourceFailure
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import WeighedHazard
from safety_check.rules.findings import (
    build_finding,
    build_verdict,
    find_windows,
    list_findings,
    several_together,
    severity_of_plan,
    use_of_rules,
)
from safety_check.rules.ranking import MISSING_SOURCE, SEVERAL_TOGETHER
from safety_check.rules.trips import LONGEST, TripTable
from safety_check.rules.weighed_hours import WeighedHours
from safety_check.use_cases.rulebook import load_rulebook
from tests import afloat, scenes
from tests.rules import weighed_by_hand as by_hand
from tests.rules.weighed_by_hand import start_of

RULES = load_rulebook()
GO, MARGINAL, UNKNOWN, NO_GO = Severity
TOLERANCE = Tolerance(share=0.1, of_winds=0.2)
WIND, GUSTS, THUNDER = "wind_too_strong", "gusts_too_strong", "thunderstorm"
WEIGHTS = np.full(4, 0.25)
HOUR = timedelta(hours=1)
SILENT = SourceFailure("a buoy", "no answer within 10 s", ("wind_speed",))
CALM = "GGGG"


@cache
def four_models() -> tuple[Case, WeighedHours]:
    """Return three hours from 10:00 at the water, and the half hour after them, by four models."""
    winds = [{"wind_speed": wind, "wind_speed_of_gust": wind} for wind in (3.0, 1.0, 4.0, 2.0)]
    told = scenes.briefing(scenes.forecast(*winds))
    trip = scenes.plan(hours=3)
    case = Case(trip, told, scenes.POND, scenes.settings(), scenes.load_trust())
    return case, scenes.weighed(case)


def with_hazards(*hazards: WeighedHazard, **changed: Any) -> WeighedHours:
    _, hours = four_models()
    weighing = by_hand.weighing(hours.conditions.time, WEIGHTS, *hazards)
    return replace(hours, weighing=weighing, tolerance=TOLERANCE, **changed)


def verdict(hours: WeighedHours | None = None, **told: Any) -> Verdict:
    case, weighed = four_models()
    case = replace(case, briefing=replace(case.briefing, **told))
    count = len(weighed.conditions.time)
    table = TripTable(np.full((LONGEST, count), NO_GO), np.zeros((LONGEST, count)))
    return build_verdict(case, hours or weighed, table, RULES, ["Take care."])


def hours_from_ten(count: int) -> np.ndarray:
    return np.datetime64("2026-06-13T15:00:00") + np.arange(count) * np.timedelta64(1, "h")


def index_of(moments: Any) -> list[int]:
    """Return which hours of the trip some times are."""
    start = np.datetime64("2026-06-13T15:00:00")
    return [int((moment - start) / np.timedelta64(1, "h")) for moment in moments]


# -- hours -----------------------------------------------------------------------------------------


def test_an_hour_shows_the_middle_and_the_ends_of_its_forecasts() -> None:
    shown = verdict().hours[0].shown
    # One in ten is at the highest of four; at least half of them reach 3 m/s, and all of them 1.
    for name in ("wind_speed", "wind_speed_of_gust"):
        assert [shown[f"{name}{end}"] for end in ("_low", "", "_high")] == [1.0, 3.0, 4.0]
    assert shown["wind_from_direction"] == 270.0
    names = ["wind_speed", "wind_speed_of_gust", "wind_from_direction"]
    names.append("sea_surface_wave_significant_height")
    of_each = {f"{name}{end}" for name in names for end in ("", "_low", "_high")}
    assert shown.keys() == {"farthest_from_launch"} | of_each


def test_the_user_share_sets_the_ends_that_an_hour_shows() -> None:
    _, hours = four_models()
    half = replace(hours, tolerance=Tolerance(share=0.1, of_winds=0.5))
    shown = verdict(half).hours[0].shown
    assert [shown[f"wind_speed{end}"] for end in ("_low", "", "_high")] == [3.0, 3.0, 3.0]
    third = replace(hours, tolerance=Tolerance(share=0.1, of_winds=0.3))
    shown = verdict(third).hours[0].shown
    assert [shown[f"wind_speed{end}"] for end in ("_low", "", "_high")] == [2.0, 3.0, 3.0]


def test_an_hour_names_the_hazards_that_make_it_what_it_is() -> None:
    hours = with_hazards(
        by_hand.weighed(WIND, *["GMNM"] * 4), by_hand.weighed(THUNDER, *["GGNN"] * 4)
    )
    found = verdict(hours)
    assert [one.because for one in found.hours] == [(), (WIND,), (WIND, THUNDER), (THUNDER,)]
    assert [one.severity for one in found.hours] == [GO, MARGINAL, NO_GO, NO_GO]
    assert [one.time for one in found.hours] == [start_of(hour) for hour in range(4)]
    assert found.around == found.hours


def test_a_missing_source_is_named_before_the_hazards_where_it_makes_the_hour() -> None:
    hours = with_hazards(by_hand.weighed(WIND, *["GMNG"] * 4))
    found = verdict(hours, silences=(SILENT,))
    missing = (MISSING_SOURCE,)
    assert [one.because for one in found.hours] == [missing, (WIND,), (WIND,), missing]
    assert [one.severity for one in found.hours] == [MARGINAL, MARGINAL, NO_GO, MARGINAL]


def test_the_odds_of_an_hour_are_the_weights_of_its_forecasts() -> None:
    hours = with_hazards(by_hand.weighed(WIND, "GGGG", "MGGG", "NGGG", "NGGG"))
    assert verdict(hours).hours[0].odds == {GO: 0.25, MARGINAL: 0.25, UNKNOWN: 0.0, NO_GO: 0.5}


def test_the_bounds_of_an_hour_and_what_lowers_them_are_the_deciding_forecasts() -> None:
    wind = by_hand.weighed(WIND, "GGGG", "MGGG", "GMGG", "GGGG", hours="MMGG")
    lower = np.array([[9.0], [1.0], [0.5], [9.0]])
    wind = replace(wind, marginal=wind.marginal * lower, no_go=wind.no_go * lower)
    wind.value[3, :2] = 5.0  # more wind than in any other, and still below its own bound
    rain = by_hand.weighed("heavy_rain", *[CALM] * 4)
    hours = with_hazards(wind, rain)
    alone = {"alone": np.array([[0.0], [1.0], [0.0], [0.0]]), "water_temperature": np.zeros(())}
    weighing = replace(hours.weighing, reduction_parts=alone)
    found = verdict(replace(hours, weighing=weighing)).hours
    assert found[0].bounds == {"wind_speed": (1.0, 3.0)}
    assert found[1].bounds == {"wind_speed": (0.5, 1.5)}
    assert [hour.lowered_by for hour in found[:2]] == [{"wind_speed": ("alone",)}, {}]
    waves = by_hand.weighed("capsize_by_waves", *[CALM] * 4)  # never lowered
    calm = with_hazards(waves)
    calm = replace(calm, weighing=replace(calm.weighing, reduction_parts={"alone": np.ones(())}))
    assert [hour.lowered_by for hour in verdict(calm).hours] == [{}] * 4


# -- findings --------------------------------------------------------------------------------------


def finding(one: WeighedHazard, **changed: Any) -> Finding:
    _, hours = four_models()
    weighing = by_hand.weighing(hours.conditions.time, WEIGHTS, one)
    weighing = replace(weighing, reduction_parts=changed.get("reductions", {}))
    context = changed.get("context", hours.context)
    conditions = changed.get("conditions", hours.conditions)
    trip = np.array([0, 1, 2, 3])
    return build_finding(one, weighing, trip, context, TOLERANCE, conditions)


def test_a_finding_has_value_and_bound_of_the_forecast_and_hour_that_decide() -> None:
    wind = by_hand.weighed(WIND, "GMGG", "GNNG", "GGNG", "GGGG", hours="GMNG")
    wind.value[1, 2], wind.value[2, 2] = 3.5, 3.2
    wind.no_go[2, 2] = 3.1
    found = finding(wind)
    # Half of the weight is NO-GO at noon, and one in five decides: the worst forecast, of 3.5 m/s.
    assert (found.severity, found.value, found.bound) == (NO_GO, 3.5, 3.0)
    assert found.odds == 0.5
    assert index_of(found.hours) == [2]
    assert (found.hazard, found.quantity, found.unit) == (WIND, "wind_speed", "m s-1")
    limit = four_models()[1].context.limits.limits["wind_speed"]
    assert (found.limit, found.source, found.basis) == (limit, limit.source, limit.basis)


def test_a_caution_is_put_beside_the_bound_of_caution() -> None:
    wind = by_hand.weighed(WIND, *["GMMG"] * 4)
    wind.value[:, 2] = 2.0
    wind.marginal[:, 2] = 1.5
    found = finding(wind)
    assert (found.severity, found.value, found.bound, found.odds) == (MARGINAL, 2.0, 1.5, 1.0)
    assert index_of(found.hours) == [1, 2]
    calm = finding(by_hand.weighed(WIND, *[CALM] * 4))
    assert (calm.severity, calm.bound) == (GO, 1.0)


def test_a_finding_without_a_limit_has_no_unit_and_no_source() -> None:
    _, hours = four_models()
    limits = replace(hours.context.limits, limits={}, undeclared=frozenset({"water_temperature"}))
    cold = by_hand.weighed("cold_water", *["UUUU"] * 4)
    found = finding(cold, context=replace(hours.context, limits=limits))
    assert (found.limit, found.unit, found.source, found.basis) == (None, "1", "", "judgement")
    assert found.severity == UNKNOWN
    assert math.isnan(found.value)


def test_what_lowers_a_limit_is_what_does_so_for_the_forecast_and_hour_that_decide() -> None:
    wind = by_hand.weighed(WIND, *["GGNG"] * 4)
    lowered: Mapping[str, np.ndarray] = {
        "alone": np.ones(()),
        "water_temperature": np.array([[1.0, 1.0, 0.0, 1.0]]),
    }
    reason = finding(wind, reductions=lowered).reason
    assert "→ alone →" in reason
    assert "cold water" not in reason
    thunder = by_hand.weighed(THUNDER, *["GGNG"] * 4)
    assert "alone" not in finding(thunder, reductions=lowered).reason


def with_rule(name: str, added: Mapping[tuple[int, int], float]) -> Conditions:
    """Return conditions in which a rule adds wind, by forecast and instant of the trip [m/s]."""
    conditions = four_models()[1].conditions
    assert conditions.inputs is not None
    members = conditions.inputs.members
    more = np.zeros((4, len(members.time)))
    for (member, instant), wind in added.items():
        more[member, LEAD_IN + instant] = wind
    members = replace(members, local={name: more})
    return replace(conditions, inputs=replace(conditions.inputs, members=members))


def test_a_reason_names_the_rule_that_adds_to_the_wind_that_decides() -> None:
    wind = by_hand.weighed(WIND, "GGNG", CALM, CALM, CALM, hours="GGNG")
    said = 'The wind includes up to 7 mph by your rule "funnels".'  # 3 m/s are 6.7 mph
    assert said in finding(wind, conditions=with_rule("funnels", {(0, 2): 3.0})).reason
    assert said in finding(wind, conditions=with_rule("funnels", {(0, 3): 3.0})).reason
    for elsewhere in ({(0, 1): 3.0}, {(0, 4): 3.0}, {(1, 2): 3.0}):
        assert "your rule" not in finding(wind, conditions=with_rule("funnels", elsewhere)).reason
    thunder = by_hand.weighed(THUNDER, "GGNG", CALM, CALM, CALM, hours="GGNG")
    assert (
        "your rule" not in finding(thunder, conditions=with_rule("funnels", {(0, 2): 3.0})).reason
    )


@pytest.mark.parametrize(
    ("name", "flows", "said"),
    [
        ("wind_against_current", True, True),
        ("wind_against_current", False, False),
        ("capsize_by_waves", True, False),
    ],
)
def test_waves_on_a_current_say_how_wind_and_current_meet(
    name: str, flows: bool, said: bool
) -> None:
    hours = four_models()[1]
    quantity = by_hand.hazard(name).weighs
    limit = hours.context.limits.defaults["sea_surface_wave_significant_height"]
    limits = replace(hours.context.limits, limits={quantity: limit}, defaults={quantity: limit})
    flow = ("", "", "ebb of 2.0 kt", "") if flows else ()
    context = replace(hours.context, limits=limits, flow=flow)
    reason = finding(by_hand.weighed(name, *["GGNG"] * 4), context=context).reason
    assert ("Ebb of 2.0 kt against W" in reason) is said


# -- all findings ----------------------------------------------------------------------------------


def test_every_hazard_has_a_finding_from_the_severity_on_that_is_asked_for() -> None:
    case, _ = four_models()
    hours = with_hazards(
        by_hand.weighed(WIND, *["GMGG"] * 4),
        by_hand.weighed(GUSTS, *[CALM] * 4),
        by_hand.weighed(THUNDER, *["GGNG"] * 4),
    )
    for at_least, expected in (
        (GO, {WIND, GUSTS, THUNDER}),
        (MARGINAL, {WIND, THUNDER}),
        (UNKNOWN, {THUNDER}),
        (NO_GO, {THUNDER}),
    ):
        assert {one.hazard for one in list_findings(case, hours, at_least)} == expected
    silent = replace(case, briefing=replace(case.briefing, silences=(SILENT,)))
    (missing,) = (one for one in list_findings(silent, hours) if one.hazard == MISSING_SOURCE)
    assert index_of(missing.hours) == [0, 1, 2, 3]


@pytest.mark.parametrize(
    ("levels", "silences", "severity"),
    [
        (CALM, (), GO),
        (CALM, (SILENT,), MARGINAL),
        ("GNGG", (SILENT,), NO_GO),
        ("GMGG", (), MARGINAL),
    ],
)
def test_a_plan_is_as_severe_as_its_weather_or_its_missing_sources(
    levels: str, silences: tuple[SourceFailure, ...], severity: Severity
) -> None:
    case, _ = four_models()
    case = replace(case, briefing=replace(case.briefing, silences=silences))
    assert severity_of_plan(case, with_hazards(by_hand.weighed(WIND, *[levels] * 4))) == severity


def together(wind: tuple[str, ...], thunder: tuple[str, ...], alone: Severity) -> list[Finding]:
    """Return what hazards find together, of which none by itself reaches more than `alone`."""
    hazards = (
        by_hand.weighed(WIND, *wind, hours=CALM), by_hand.weighed(THUNDER, *thunder, hours=CALM)
    )  # fmt: skip
    weighing = by_hand.weighing(hours_from_ten(4), np.array([0.06, 0.07, 0.87]), *hazards)
    each = [np.asarray(GO), np.asarray(alone)]
    return several_together(weighing, np.array([1, 2]), TOLERANCE, each)


def test_hazards_in_different_forecasts_add_up_over_the_trip() -> None:
    # 6 % say thunder and 7 % say too much wind: neither reaches one in ten, but together they do.
    (found,) = together((CALM, "GGNG", CALM), ("GMGG", CALM, CALM), GO)
    # By the share of all hazards, a no-go by widened winds only rules out a GO.
    assert (found.hazard, found.severity) == (SEVERAL_TOGETHER, MARGINAL)
    assert found.value == found.odds == pytest.approx(0.13)
    assert math.isnan(found.bound)
    assert index_of(found.hours) == [1, 2]
    assert found.reason.startswith("In 13 % of the forecasts at least one limit is passed")


def test_what_one_hazard_explains_alone_needs_no_finding_of_all_together() -> None:
    parts = ((CALM, "GGNG", CALM), ("GNGG", CALM, CALM))
    assert together(*parts, MARGINAL) == []
    assert together(*parts, NO_GO) == []


def test_hours_beside_the_trip_do_not_add_up() -> None:
    assert together((CALM, "GGGN", CALM), ("GNGG", CALM, CALM), GO) == []
    (found,) = together(("GMGG", "GGNG", CALM), ("GNGN", "NGGG", CALM), GO)
    assert index_of(found.hours) == [1, 2]


# -- the user's rules ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("added", "hours"),
    [
        ({}, []),
        ({(0, 2): 0.5}, [1, 2]),  # an instant belongs to the hour before it and the one after
        ({(3, 0): 3.0}, [0]),
        ({(0, 4): 3.0}, [3]),
        ({(0, 2): 3.0, (1, 3): 3.0}, [1, 2, 3]),
    ],
)
def test_a_rule_counts_in_the_hours_in_which_it_adds_wind_in_any_forecast(
    added: Mapping[tuple[int, int], float], hours: list[int]
) -> None:
    case, _ = four_models()
    rule = LocalRule("funnels", 3.0)
    case = replace(case, plan=replace(case.plan, water=replace(case.plan.water, rules=(rule,))))
    (used,) = use_of_rules(case, with_rule("funnels", added), np.arange(4))
    assert used.rule == rule
    assert used.hours == tuple(start_of(hour) for hour in hours)


def test_a_water_without_rules_and_conditions_given_from_outside_use_none() -> None:
    case, hours = four_models()
    rule = LocalRule("funnels", 3.0)
    ruled = replace(case, plan=replace(case.plan, water=replace(case.plan.water, rules=(rule,))))
    assert use_of_rules(case, hours.conditions, np.arange(4)) == ()
    outside = replace(hours.conditions, inputs=None)
    assert use_of_rules(ruled, outside, np.arange(4)) == ()
    wind = by_hand.weighed(WIND, *["GGNG"] * 4)
    assert "your rule" not in finding(wind, conditions=outside).reason


# -- the rest of a verdict -------------------------------------------------------------------------


def test_a_verdict_is_judged_for_half_an_hour_after_the_plan_and_says_what_is_unknown() -> None:
    found = verdict(silences=(SILENT,))
    assert found.judged_until == start_of(3) + timedelta(minutes=30)
    assert found.severity == MARGINAL
    assert ("a buoy", "no answer within 10 s") in [(one.what, one.why) for one in found.unknown]
    assert found.cautions == ("Take care.",)


def test_only_the_warnings_that_hold_on_the_trip_are_told() -> None:
    def warning(begins: timedelta, ends: timedelta) -> Alert:
        onset, until = scenes.START + begins, scenes.START + ends
        words = ("Gale Warning", "Severe", "", "", "", "", "")
        return Alert(*words, onset, until, "", scenes.FROM_THE_ALERT_SERVICE)

    before, after = warning(-4 * HOUR, -HOUR), warning(4 * HOUR, 9 * HOUR)
    late = warning(3 * HOUR + timedelta(minutes=20), 9 * HOUR)  # within the half hour after it
    during = warning(-HOUR, 9 * HOUR)
    assert verdict(alerts=(before, during, late, after)).alerts == (during, late)


def test_models_are_compared_in_the_windiest_of_the_trips_worst_hours() -> None:
    _, hours = four_models()
    wind = np.array([[9.0, 2.0, 3.0, 1.0]] * 4) + np.array([[0.0], [0.0], [0.0], [4.0]])
    conditions = replace(
        hours.conditions,
        quantities={**hours.conditions.quantities, "wind_speed_as_forecast": wind},
    )
    made = with_hazards(by_hand.weighed(WIND, *["GMMG"] * 4), conditions=conditions)
    said = "Between 12:00 and 13:00 three models say 7 mph, one says 16."
    assert verdict(made).disagreement == said
    calm = with_hazards(by_hand.weighed(WIND, *[CALM] * 4), conditions=conditions)
    assert verdict(calm).disagreement.startswith("Between 10:00 and 11:00 three models say 20 mph")
    later = replace(made, trip=np.array([1]))
    assert verdict(later).disagreement.startswith("Between 11:00 and 12:00")


def test_the_origin_of_every_item_of_the_briefing_is_named_once() -> None:
    def origin(name: str) -> Any:
        return replace(scenes.FROM_A_FILE, source=name)

    seen = replace(scenes.observation("wind_speed", 1.0), provenance=origin("station"))
    words = ("Gale Warning", "Minor", "", "", "", "", "")
    alert = Alert(*words, None, None, "", origin("alert"))
    tide = replace(afloat.tides(), provenance=origin("tide"))
    found = verdict(
        observations=(seen, seen),
        alerts=(alert,),
        others=(origin("sea"),),
        moving=MovingWater(tides=(tide,)),
    )
    read = scenes.FROM_THE_ALERT_SERVICE.source
    names = ["Open-Meteo", "station", "alert", "sea", "tide", read]
    assert [one.source for one in found.provenance] == names
    assert [one.source for one in verdict().provenance] == ["Open-Meteo", read]


def test_a_window_runs_from_the_start_of_its_first_hour_for_as_long_as_its_trip() -> None:
    severity = np.full((LONGEST, 6), NO_GO)
    severity[0, 4] = severity[0, 1] = severity[1, 1] = (
        MARGINAL  # one hour from 4; one or two from 1
    )
    weighing = by_hand.weighing(hours_from_ten(6), np.ones(1), by_hand.weighed(WIND, "GGGGGG"))
    found = find_windows(weighing, TripTable(severity, np.zeros(severity.shape)))
    assert [(one.start, one.end, one.severity) for one in found] == [
        (start_of(1), start_of(3), MARGINAL),
        (start_of(4), start_of(5), MARGINAL),
    ]
