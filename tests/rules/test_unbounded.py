"""Values without an end: they reach only limits that exist, and read as plain sentences."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity
from safety_check.rules.endless import describe_swim
from safety_check.rules.engine import severity
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.limits import bounds_after_reduction, choose_limits
from safety_check.rules.reasons import ReasonContext, WorstHour, write_brief, write_reason
from safety_check.settings.limits import load_default_limits
from safety_check.units import Preferences
from tests import scenes

BROKEN = re.compile(
    r"(?<![a-z])(inf|nan)(?![a-z])|infinit|never reached|beyond nothing|up to unknown|the unknown"
    r"|\b0\.0 (mi|km|m|ft)\b|  | ,|\{",
    re.IGNORECASE,
)
ENDLESS = (math.inf, -math.inf, math.nan)
TIME = np.datetime64("2026-06-13T15:00:00")


def context(from_shore: float, night: bool = False) -> ReasonContext:
    """Return who reads, and by which limits."""
    trip = scenes.plan(night=night)
    limits = choose_limits(trip.craft, trip.paddler, load_default_limits(), (), night)
    return ReasonContext(
        Preferences(), LocalClock.of(trip), trip.craft, limits, from_shore=from_shore
    )


def bounds(told: ReasonContext, hazard: Hazard) -> tuple[float, float]:
    """Return the caution and the no-go bound of a hazard; infinite where one does not exist."""
    both = bounds_after_reduction(told.limits, hazard.weighs, None)
    return float(both[0]), float(both[1])


def level(told: ReasonContext, hazard: Hazard, value: float) -> Severity:
    """Return what a value of a hazard counts as."""
    marginal, no_go = map(np.asarray, bounds(told, hazard))
    worse = told.limits.limits[hazard.weighs].worse
    return Severity(int(severity(np.asarray(value), marginal, no_go, worse)))


def every_hazard() -> list[tuple[Hazard, bool]]:
    """Return each hazard with a limit, and whether it is one of trips in the dark."""
    by_day, by_night = (context(1500.0, night).limits.limits for night in (False, True))
    return [
        (hazard, hazard.weighs not in by_day)
        for hazard in HAZARDS
        if hazard.weighs in by_day or hazard.weighs in by_night
    ]


def test_all_hazards_but_those_of_another_declaration_are_tried() -> None:
    tried = {hazard.weighs for hazard, _ in every_hazard()}
    assert {hazard.weighs for hazard in HAZARDS} - tried <= {"time_to_dark_once_home"}


@pytest.mark.parametrize("from_shore", [1500.0, math.inf, math.nan], ids=str)
@pytest.mark.parametrize("value", ENDLESS, ids=str)
@pytest.mark.parametrize(
    ("hazard", "night"), every_hazard(), ids=[one.name for one, _ in every_hazard()]
)
def test_a_value_without_an_end_reads_as_a_plain_sentence(
    hazard: Hazard, night: bool, value: float, from_shore: float
) -> None:
    told = context(from_shore, night)
    found = level(told, hazard, value)
    for bound in (*bounds(told, hazard), math.inf, -math.inf, math.nan):
        worst = WorstHour(found, value, bound, TIME, 0.4, "A warning")
        for text in (write_reason(hazard, told, worst), write_brief(hazard, told, worst)):
            assert not BROKEN.search(text), text


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.name)
@pytest.mark.parametrize("value", ENDLESS, ids=str)
def test_every_way_of_showing_a_value_has_words_for_one_without_an_end(
    hazard: Hazard, value: float
) -> None:
    assert not BROKEN.search(context(1500.0).value(value, hazard.shown_as))


@pytest.mark.parametrize(
    ("hazard", "night"), every_hazard(), ids=[one.name for one, _ in every_hazard()]
)
def test_a_value_without_an_end_reaches_only_bounds_that_exist(hazard: Hazard, night: bool) -> None:
    told = context(1500.0, night)
    marginal, no_go = bounds(told, hazard)
    assert level(told, hazard, math.nan) == Severity.UNKNOWN
    worst = level(told, hazard, math.inf * (1 if is_worse_high(told, hazard) else -1))
    if math.isinf(no_go):
        assert worst < Severity.NO_GO
    else:
        assert worst == Severity.NO_GO
    assert (worst == Severity.GO) == math.isinf(marginal)


def is_worse_high(told: ReasonContext, hazard: Hazard) -> bool:
    return told.limits.limits[hazard.weighs].worse == "higher"


@given(st.floats(0.0, 1e7), st.floats(0.0) | st.just(math.nan))
def test_the_swim_to_the_shore_always_reads_as_a_distance(metres: float, share: float) -> None:
    text = describe_swim(metres, share, "mi")
    unsayable = ("an unknown distance", "hardly any distance")
    assert text in unsayable or (float(text.split()[0]) > 0 and text.endswith(" mi"))
