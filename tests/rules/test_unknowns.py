"""What is not known is listed with its time, its share of the forecasts and its mend."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity, Unknown, Verdict
from safety_check.model.weather import SourceFailure
from safety_check.rules.engine import WeighedHazard, Weighing
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.unknowns import (
    NOT_MADE,
    best_possible,
    list_unknown,
    unknown_from_failure,
)
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes
from tests.rules.test_unbounded import TIME, context

SILENT = SourceFailure("a buoy", "no answer within 10 s", ("wind_speed",))
ELSEWHERE = replace(SILENT, applies=False)


@pytest.mark.parametrize(
    ("silences", "best"),
    [
        ((), Severity.GO),
        ((ELSEWHERE,), Severity.GO),
        ((SILENT,), Severity.MARGINAL),
        ((ELSEWHERE, SILENT), Severity.MARGINAL),
    ],
)
def test_a_source_that_covers_the_place_and_is_silent_costs_the_go(
    silences: tuple[SourceFailure, ...], best: Severity
) -> None:
    assert best_possible(replace(scenes.briefing(), silences=silences)) == best


def test_a_silence_is_listed_with_its_reason_and_what_it_costs() -> None:
    costs = "Without it the verdict cannot be GO."
    reason = "no answer within 10 s"
    assert unknown_from_failure(SILENT) == Unknown("a buoy", reason, costs, Severity.MARGINAL)
    assert unknown_from_failure(ELSEWHERE) == Unknown("a buoy", reason, "", Severity.GO)


def listed(verdict: Verdict, what: str) -> Unknown:
    return next(one for one in verdict.unknown if one.what == what)


def test_a_loss_in_some_forecasts_says_from_when_to_when_and_in_how_many() -> None:
    lost = scenes.without(scenes.forecast({}, {}, {}, {}), "wind_speed_of_gust", slice(0, 1))
    some = listed(scenes.verdict(lost), "gust speed")
    assert some.why == "not known from 10:00 to 15:00 in 25 % of the forecasts"
    assert some.severity == Severity.UNKNOWN
    everywhere = scenes.without(scenes.forecast({}, {}), "wind_speed_of_gust")
    all_lost = listed(scenes.verdict(everywhere), "gust speed")
    assert all_lost.why == "not known from 10:00 to 15:00"


def test_a_loss_at_one_time_names_the_hours_beside_it() -> None:
    given = scenes.forecast({}, {})
    gusts = given.quantities["wind_speed_of_gust"]
    noon = np.flatnonzero(given.time == np.datetime64("2026-06-13T17:00"))  # 12:00 at the water
    gusts[1, noon] = np.nan
    found = listed(scenes.verdict(given), "gust speed")
    # A value at noon bounds the hour before it and the hour after it.
    assert found.why == "not known from 11:00 to 13:00 in 50 % of the forecasts"


@pytest.mark.parametrize(("models", "said"), [({"a"}, False), ({"a", "b"}, True)])
def test_what_some_models_never_give_is_not_missing_and_what_none_gives_is(
    models: set[str], said: bool
) -> None:
    given = scenes.forecast({}, {}, models=("a", "b"))
    lost = slice(0, len(models))
    given = scenes.without(given, "visibility_in_air", lost)
    lacks = {model: frozenset({"visibility_in_air"}) for model in models}
    trust = replace(scenes.load_trust(), lacks=lacks)
    case = Case(scenes.plan(), scenes.briefing(given), scenes.POND, scenes.settings(), trust)
    verdict = judge(case, load_rulebook())
    assert ("visibility" in [one.what for one in verdict.unknown]) is said


def test_what_is_wanted_and_lost_is_marginal_and_says_how_to_get_it() -> None:
    lost = scenes.without(scenes.forecast(), "visibility_in_air")
    found = listed(scenes.verdict(lost), "visibility")
    assert found.severity == Severity.MARGINAL
    assert "Check again" in found.remedy


def test_what_no_forecast_makes_by_design_is_said_and_costs_nothing() -> None:
    of_design = [one for one in scenes.verdict().unknown if one.why == NOT_MADE]
    assert of_design == [Unknown("the chance of thunder", NOT_MADE, "", Severity.GO)]


def test_a_limit_that_waits_for_a_declaration_says_so_in_place_of_hours() -> None:
    paddler = replace(scenes.READY, wearing=None)
    found = listed(scenes.verdict(trip=scenes.plan(paddler=paddler)), "water temperature")
    assert found.why == "your limit cannot be chosen"
    assert "paddler set --wearing" in found.remedy


# -- one hazard, worked out by hand --------------------------------------------------------------

GUSTS = next(hazard for hazard in HAZARDS if hazard.name == "gusts_too_strong")
WEIGHTS = np.array([0.5, 0.3, 0.2])
TRIP = np.array([1, 2, 3])  # 11:00 to 14:00
EVERYONE = (True, True, True)


def gusts_with(
    lost: list[tuple[int, int]],
    counted: tuple[bool, ...] = EVERYONE,
    no_bound: list[tuple[int, int]] | None = None,
    hazard: Hazard = GUSTS,
) -> list[Unknown]:
    """Return what is not known with values and bounds lost by member and hour."""
    value, bound = np.ones((3, 5)), np.full((3, 5), 8.0)
    for at in lost:
        value[at] = np.nan
    for at in no_bound or []:
        bound[at] = np.nan
    go = np.zeros((3, 5), dtype=np.int8)
    one = WeighedHazard(hazard, value, bound, bound, go, np.array(counted), go[0])
    time = TIME + np.arange(5) * np.timedelta64(1, "h")  # 10:00 at the water and on
    found = list_unknown(Weighing(time, WEIGHTS, (one,), go, go, go[0]), TRIP, context(0.0))
    return [unknown for unknown in found if unknown.why != NOT_MADE]


@pytest.mark.parametrize(
    ("lost", "why"),
    [
        ([(0, 2)], "from 12:00 to 13:00 in 50 % of the forecasts"),
        ([(1, 1), (2, 3)], "from 11:00 to 14:00 in 50 % of the forecasts"),
        ([(1, 2), (1, 3)], "from 12:00 to 14:00 in 30 % of the forecasts"),
        ([(0, 1), (1, 1), (2, 1)], "from 11:00 to 12:00"),
        ([(0, 1), (1, 2), (2, 3)], "from 11:00 to 14:00"),
        ([(0, 0), (1, 2), (2, 4)], "from 12:00 to 13:00 in 30 % of the forecasts"),
    ],
)
def test_the_hours_span_the_losses_and_the_share_is_the_weight_of_their_forecasts(
    lost: list[tuple[int, int]], why: str
) -> None:
    expected = Unknown("gust speed", f"not known {why}", GUSTS.remedy, Severity.UNKNOWN)
    assert gusts_with(lost) == [expected]
    assert gusts_with([], no_bound=lost) == [expected]


def test_a_loss_beside_the_trip_is_none() -> None:
    assert gusts_with([(0, 0), (1, 4)]) == []


def test_a_loss_counts_in_the_models_that_give_the_quantity_or_where_none_does() -> None:
    lost = [(1, 2)]
    assert gusts_with(lost, (True, False, True)) == []
    assert gusts_with(lost, (False, True, False)) == gusts_with(lost)
    assert gusts_with(lost, (False, False, False)) == gusts_with(lost)


def test_what_is_only_wanted_costs_the_go_and_no_more() -> None:
    wanted = replace(GUSTS, required=False)
    assert [one.severity for one in gusts_with([(1, 2)], hazard=wanted)] == [Severity.MARGINAL]


def test_what_is_weighed_is_not_said_to_be_missing_by_design() -> None:
    thunder = next(hazard for hazard in HAZARDS if hazard.only_where_made)
    go = np.zeros((1, 1), dtype=np.int8)
    value = np.ones((1, 1))
    one = WeighedHazard(thunder, value, value, value, go, np.array([True]), go[0])
    for hazards, said in (((), [thunder.quantity_label]), ((one,), [])):
        made = Weighing(np.array([TIME]), np.ones(1), hazards, go, go, go[0])
        assert [un.what for un in list_unknown(made, np.array([0]), context(0.0))] == said
