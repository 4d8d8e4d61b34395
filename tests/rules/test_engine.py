"""A value against its bounds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance
from safety_check.rules.engine import (
    OF_WIDENED_WINDS,
    WeighedHazard,
    at_most_caution,
    odds_of_members,
    severity,
    severity_of_all,
    share_that_decides,
    strict_finding,
    worst_of_members,
)
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.limits import load_default_limits

NEVER = np.array(np.inf)


def level(value: float, marginal: float, no_go: float, worse: str = "higher") -> Severity:
    return Severity(int(severity(np.array(value), np.array(marginal), np.array(no_go), worse)))


# A swim that never ends was NO-GO where the limit has no NO-GO, since infinity reaches infinity.
@pytest.mark.parametrize(("worse", "sign"), [("higher", 1.0), ("lower", -1.0)])
def test_an_infinite_value_reaches_no_bound_that_does_not_exist(worse: str, sign: float) -> None:
    never = sign * np.inf
    assert level(never, never, never, worse) == Severity.GO
    assert level(never, sign * 2.0, never, worse) == Severity.MARGINAL
    assert level(never, sign * 2.0, sign * 3.0, worse) == Severity.NO_GO
    assert level(-never, sign * 2.0, sign * 3.0, worse) == Severity.GO


def test_an_unknown_value_is_unknown_even_without_bounds() -> None:
    assert level(np.nan, np.inf, np.inf) == Severity.UNKNOWN
    assert level(1.0, np.nan, np.nan) == Severity.UNKNOWN


@given(st.floats(0, 100), st.floats(0, 10), st.floats(0, 10), st.floats(0, 100))
def test_a_worse_value_is_never_a_better_severity(
    value: float, marginal: float, gap: float, more: float
) -> None:
    for no_go in (marginal + gap, np.inf):
        before = level(value, marginal, no_go)
        assert level(value + more, marginal, no_go) >= before
        assert level(np.inf, marginal, no_go) >= before


# -- what the members find together, worked out by hand -----------------------------------------

GO, MARGINAL, UNKNOWN, NO_GO = (np.int8(one) for one in Severity)
WIND = next(one for one in HAZARDS if one.weighs == "wind_speed")
THUNDER = next(one for one in HAZARDS if one.weighs == "thunderstorm")
TOLERANCE = Tolerance(share=0.1, of_winds=0.2)


def weighed(hazard: Hazard, members: list[np.int8], counted: list[bool]) -> WeighedHazard:
    """Return a hazard with one hour of each member's severity."""
    found = np.array(members, dtype=np.int8)[:, None]
    nothing = np.zeros(found.shape)
    return WeighedHazard(hazard, nothing, nothing, nothing, found, np.array(counted), found[0])


def test_the_hazards_that_follow_from_the_widened_winds() -> None:
    assert {  # docs/odds.md: wind and what it does
        *("wind_speed", "wind_speed_of_gust", "wind_rise", "offshore_wind_speed"),
        *("sea_surface_wave_significant_height", "wave_height_against_current"),
        *("height_of_waves_that_break_on_current", "share_of_hold_station_wind"),
        *("way_home_share_of_trip", "time_to_dark_once_home", "time_to_dusk_once_home"),
        "swim_to_shore_share",
    } == OF_WIDENED_WINDS


def test_of_winds_only_unknown_and_no_go_are_left_to_the_users_own_share() -> None:
    members = np.array([GO, MARGINAL, UNKNOWN, NO_GO])
    assert strict_finding(WIND, members).tolist() == [GO, GO, UNKNOWN, MARGINAL]
    assert strict_finding(THUNDER, members).tolist() == members.tolist()


def test_unknown_needs_the_users_own_share_and_wind_the_larger_one() -> None:
    levels = np.array([GO, MARGINAL, UNKNOWN, NO_GO])
    assert share_that_decides(WIND, levels, TOLERANCE).tolist() == [0.2, 0.2, 0.1, 0.2]
    assert share_that_decides(THUNDER, levels, TOLERANCE).tolist() == [0.1] * 4


def test_each_members_worst_finding_leaves_out_what_its_model_never_gives() -> None:
    wind = weighed(WIND, [NO_GO, MARGINAL, GO, GO], [True] * 4)
    thunder = weighed(THUNDER, [GO, NO_GO, NO_GO, UNKNOWN], [True, True, False, True])
    worst, strict = worst_of_members([wind, thunder])
    assert worst[:, 0].tolist() == [NO_GO, NO_GO, GO, UNKNOWN]
    assert strict[:, 0].tolist() == [MARGINAL, NO_GO, GO, UNKNOWN]


@pytest.mark.parametrize(
    ("no_go", "expected"),
    [(0.09, Severity.GO), (0.1, Severity.MARGINAL), (0.19, Severity.MARGINAL), (0.2, NO_GO)],
)
def test_a_no_go_of_winds_rules_out_go_at_one_share_and_decides_at_the_other(
    no_go: float, expected: Severity
) -> None:
    members = np.array([[NO_GO], [GO]])
    weights = np.array([no_go, 1 - no_go])
    strict = strict_finding(WIND, members)
    assert severity_of_all(members, strict, weights, TOLERANCE).tolist() == [expected]


@pytest.mark.parametrize(("share", "expected"), [(0.09, GO), (0.1, NO_GO)])
def test_of_other_hazards_the_smaller_share_decides(share: float, expected: np.int8) -> None:
    members = np.array([[NO_GO], [GO]])
    weights = np.array([share, 1 - share])
    assert severity_of_all(members, members, weights, TOLERANCE).tolist() == [expected]
    turned = Tolerance(share=0.2, of_winds=0.1)
    assert severity_of_all(members, members, weights, turned).tolist() == [expected]


def test_odds_are_the_weight_at_each_severity() -> None:
    members = np.array([[GO, NO_GO], [MARGINAL, NO_GO], [UNKNOWN, GO]])
    odds = odds_of_members(members, np.array([0.5, 0.3, 0.2]))
    assert odds == pytest.approx(np.array([[0.5, 0.3, 0.2, 0.0], [0.2, 0.0, 0.0, 0.8]]))
    of_sites = odds_of_members(np.stack([members, members]), np.array([0.5, 0.3, 0.2]))
    assert of_sites == pytest.approx(np.stack([odds, odds]))


def test_of_an_estimate_the_warm_end_decides_whether_its_no_go_is_one() -> None:
    cold = np.array([GO, MARGINAL, UNKNOWN, NO_GO, NO_GO, NO_GO, NO_GO])
    warm = np.array([GO, GO, GO, GO, MARGINAL, UNKNOWN, NO_GO])
    at_most = [GO, MARGINAL, UNKNOWN, MARGINAL, MARGINAL, NO_GO, NO_GO]
    assert at_most_caution(cold, warm).tolist() == at_most


def test_no_way_home_is_forbidden_by_a_bound_of_its_own() -> None:
    assert load_default_limits()["way_home_share_of_trip", "any"].no_go is not None
