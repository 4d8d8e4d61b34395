"""How long before the next hour that forbids a paddler is home."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from safety_check.conditions.case import Case
from safety_check.rules.engine import Weighing
from safety_check.rules.homeward import spare_time_before_worse, with_return, without_return
from safety_check.rules.weighed_hours import WeighedHours
from tests import scenes
from tests.rules import weighed_by_hand as by_hand

INF, NAN = np.inf, np.nan


@pytest.mark.parametrize(
    ("hours", "seconds", "spare"),
    [
        ("GGGN", [600.0] * 4, [10_200.0, 6600.0, 3000.0, INF]),
        ("GGGN", [5000.0] * 4, [5800.0, 2200.0, -1400.0, INF]),
        ("GUGG", [600.0] * 4, [3000.0, INF, INF, INF]),
        ("GUGN", [600.0] * 4, [3000.0, INF, 3000.0, INF]),
        ("GMGG", [600.0] * 4, [INF] * 4),  # caution forbids nothing
        ("GGGG", [600.0, 600.0, 600.0, 4000.0], [INF, INF, INF, NAN]),
        ("GGGG", [3600.0, 3600.0, 3600.0, 3600.0], [INF] * 4),  # home as the last hour ends
        ("GGGG", [NAN, INF, 600.0, 600.0], [NAN, -INF, INF, INF]),
        ("GNGG", [INF, 600.0, INF, 600.0], [-INF, INF, -INF, INF]),
        ("GNGN", [0.0, 0.0, 1.0, 0.0], [INF, INF, 3599.0, INF]),  # 0 s: the trip is over
    ],
)
def test_the_spare_time_is_counted_to_the_next_hour_that_forbids(
    hours: str, seconds: list[float], spare: list[float]
) -> None:
    found = by_hand.levels(hours)
    said = spare_time_before_worse(found, found, np.array([seconds]))[0]
    assert said == pytest.approx(np.array(spare), nan_ok=True)


def test_an_hour_that_forbids_as_a_whole_counts_only_where_its_judged_part_does_not() -> None:
    whole, judged = by_hand.levels("GNNG"), by_hand.levels("GGNG")
    said = spare_time_before_worse(whole, judged, np.full((1, 4), 600.0))[0]
    assert said.tolist() == [3000.0, 3000.0, INF, INF]


def test_forecasts_and_sites_do_not_see_each_others_hours() -> None:
    hours = by_hand.levels("GGGNG", "NGGGG", "GUGGG", "GGGGG", "GGNGN", "GGGGU").reshape(2, 3, 5)
    time = np.arange(30.0).reshape(2, 3, 5) * 300.0
    together = spare_time_before_worse(hours, hours, time)
    for place in np.ndindex(2, 3):
        alone = spare_time_before_worse(hours[place][None], hours[place][None], time[place][None])
        assert together[place] == pytest.approx(alone[0], nan_ok=True)


# -- weighed ---------------------------------------------------------------------------------------


@cache
def calm() -> WeighedHours:
    told = scenes.briefing(scenes.forecast({}))
    case = Case(scenes.plan(), told, scenes.POND, scenes.settings(), scenes.load_trust())
    return scenes.weighed(case)


def home_from(hours: str, seconds: float) -> Weighing:
    """Return six hours of one forecast weighed with a way home of some seconds."""
    given = calm()
    conditions = replace(
        given.conditions,
        quantities={**given.conditions.quantities, "time_home": np.full((1, 1), seconds)},
    )
    alone = by_hand.weighing(conditions.time, np.ones(1), by_hand.weighed("wind_too_strong", hours))
    limits = given.context.limits
    return with_return(alone, conditions, limits, given.tolerance, by_hand.levels(hours))


# Caution begins where home is reached no earlier than the next hour that forbids (limits.toml).
@pytest.mark.parametrize(
    ("hours", "seconds", "verdict", "strict"),
    [
        ("GGGNGG", 600.0, "GGGNGG", "GGGMGG"),  # a no-go by widened winds rules out a GO
        ("GGGNGG", 3600.0, "GGMNGG", "GGMMGG"),  # home as the worse hour begins
        ("GGGNGG", 5400.0, "GGMNGU", "GGMMGU"),  # home after the last hour that is known
        ("GMGNGG", 7300.0, "GMMNUU", "GMMMUU"),
        ("GGUGGG", 3599.0, "GGUGGG", "GGUGGG"),
    ],
)
def test_an_hour_from_which_home_is_not_reached_in_time_is_worse(
    hours: str, seconds: float, verdict: str, strict: str
) -> None:
    found = home_from(hours, seconds)
    assert found.hours.tolist() == by_hand.levels(verdict)[0].tolist()
    assert found.members.tolist() == by_hand.levels(verdict).tolist()
    assert found.strict.tolist() == by_hand.levels(strict).tolist()
    assert [one.hazard.name for one in found.hazards] == ["wind_too_strong", "worse_before_home"]
    assert without_return(found, calm().tolerance).tolist() == by_hand.levels(hours)[0].tolist()
