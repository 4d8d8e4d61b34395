"""What is weighed of a water that moves: which quantities, the launch that dries, the flow."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest

from safety_check.arrays import TimeArray, hour_axis, to_datetime64
from safety_check.assess.moving_water import add_movement, describe_flow, spare_middle
from safety_check.conditions import river
from safety_check.conditions.case import Case
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentKind,
    CurrentPrediction,
    CurrentSeries,
    MovingWater,
    TideEvent,
    TidePrediction,
)
from safety_check.model.place import Water
from safety_check.rules.limits import choose_limits
from safety_check.settings.limits import load_default_limits
from safety_check.settings.user_file import LimitTable
from safety_check.use_cases.trust import load_trust
from tests import afloat, scenes

START, HOUR, MINUTE = scenes.START, timedelta(hours=1), timedelta(minutes=1)
HOURS = hour_axis(START, START + 4 * HOUR)  # five
CURRENT = (
    *("sea_water_speed", "current_share_of_cruise_speed"),
    *("wave_height_against_current", "height_of_waves_that_break_on_current"),
)
RIVER = {"river_flood_category", "river_percentile", "river_percentile_while_rising"}


@dataclass(frozen=True)
class Hours:
    """Conditions, as far as they are looked at here."""

    time: TimeArray
    quantities: dict[str, np.ndarray]


def case_of(water: Water, dries: float | None = None, **told: Any) -> Case:
    plan = replace(afloat.plan(water, dries), **told)
    return Case(plan, scenes.briefing(), scenes.POND, scenes.settings(), load_trust())


def added(
    moving: MovingWater, water: Water, dries: float | None = None, *own: LimitTable, **given: float
) -> dict[str, np.ndarray]:
    """Return what is added to some quantities, each the same in all hours."""
    case = case_of(water, dries)
    before: Any = Hours(HOURS, {name: np.full((1, 5), value) for name, value in given.items()})
    limits = choose_limits(
        case.plan.craft, case.plan.paddler, load_default_limits(), own, water=water.name
    )
    return dict(add_movement(case, moving, before, limits).quantities)


def test_tidal_water_has_a_current_and_a_tide_and_a_bar_its_ebb() -> None:
    found = added(MovingWater(), afloat.ESTUARY)
    assert set(found) == {*CURRENT, "tide_known"}
    assert all(np.isnan(values).all() and values.shape == (1, 5) for values in found.values())
    assert set(added(MovingWater(), afloat.BAY_ARM)) - set(found) == {"ebb_at_bar"}
    known = added(MovingWater(), afloat.ESTUARY, sea_water_speed=0.7)
    assert known["sea_water_speed"].tolist() == [[0.7] * 5]  # what is computed stays
    assert np.isnan(known["wave_height_against_current"]).all()


def test_a_launch_that_dries_has_a_depth_and_another_has_none() -> None:
    high = MovingWater(tides=(afloat.tides(high=2.0, low=1.2),))
    depth = added(high, afloat.ESTUARY, 1.0)["water_over_launch"]
    assert depth.shape == (1, 5)
    # High water of 2 m two hours after the start; never less than 1.2 m.
    assert np.all((depth > 0.2) & (depth < 1.0))
    assert "water_over_launch" not in added(high, afloat.ESTUARY)
    assert np.isnan(added(MovingWater(), afloat.ESTUARY, 1.0)["water_over_launch"]).all()


def test_a_flowing_water_has_a_river_and_a_dam_its_release() -> None:
    calm = replace(afloat.TAILWATER, dam=False)
    assert set(added(afloat.flowing(), calm)) == RIVER
    found = added(afloat.flowing(), afloat.TAILWATER)
    assert set(found) - RIVER == {"dam_release"}
    assert found["dam_release"].tolist() == [[0.0] * 5]


def test_a_gauge_is_weighed_where_the_user_has_a_limit_for_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    name = afloat.TAILWATER.name
    stage = LimitTable(quantity="river_gauge_height", water=name, no_go="1 m")
    flow = LimitTable(quantity="river_discharge", water=name, no_go="50 m3/s")
    for own, more in (((), set()), ((stage,), {"river_gauge_height"}),
                      ((stage, flow), {"river_gauge_height", "river_discharge"})):  # fmt: skip
        found = added(afloat.flowing(), afloat.TAILWATER, None, *own)
        assert set(found) - RIVER - {"dam_release"} == more
    asked: list[Any] = []

    def note(*given: Any) -> dict[str, np.ndarray]:
        asked.append(given[3])
        return {}

    monkeypatch.setattr(river, "river_quantities", note)
    added(afloat.flowing(), afloat.TAILWATER)
    assert asked[0].ranks == (0.9, 0.95)  # caution, and NO-GO while it rises; limits.toml


# -- a launch that dries in the middle -------------------------------------------------------------


def tide(*events: tuple[float, float]) -> MovingWater:
    """Return a tide by hours after the start and height; from 1 m on it is high water."""
    made = tuple(TideEvent(START + hour * HOUR, height, height >= 1) for hour, height in events)
    return MovingWater(tides=(TidePrediction(made, "MLLW", afloat.STATION, scenes.FROM_A_FILE),))


FALLING, RISING = tide((-1, 2.0), (5, 0.0)), tide((-1, 0.0), (5, 2.0))  # 1 m two hours after


def spared(
    moving: MovingWater,
    depth: list[float],
    start: datetime = START,
    end: datetime = START + 4 * HOUR,
    margin: float = 0.0,
    dries: float | None = 1.0,
) -> list[float]:
    case = case_of(afloat.ESTUARY, dries, start=start, end=end)
    given: Any = Hours(HOURS, {"water_over_launch": np.array([depth])})
    found: list[float] = (
        spare_middle(case, moving, given, margin).quantities["water_over_launch"][0].tolist()
    )
    return found


WET = 0.001  # m; a caution, and no NO-GO


def test_between_its_ends_a_dry_launch_counts_as_just_wet() -> None:
    dry, some = [0.0] * 5, [0.0, 0.4, 0.0, 0.0, 0.0]
    assert spared(FALLING, some) == [WET, 0.4, WET, WET, 0.0]  # dry at the return
    assert spared(RISING, some) == [0.0, 0.4, WET, WET, WET]  # dry at the launch
    assert spared(FALLING, dry, dries=None) == dry  # it never dries
    assert np.isnan(spared(MovingWater(), [np.nan] * 5)).all()


def test_the_launch_needs_water_until_the_margin_after_the_return_has_gone() -> None:
    # The tide falls below 1 m two hours after the start.
    end = START + 2 * HOUR - 10 * MINUTE
    for margin, last in ((0.0, WET), (540.0, WET), (1800.0, 0.0)):
        assert spared(FALLING, [0.0] * 5, end=end, margin=margin)[1] == last
    late = spared(FALLING, [0.0] * 5, end=START + 2 * HOUR - 2 * MINUTE, margin=1800.0)
    assert late == [WET, 0.0, 0.0, WET, WET]  # the hour of the return, and that of the margin
    # The margin ends with the first instant of an hour, which counts too.
    whole = spared(FALLING, [0.0] * 5, end=START + 2.5 * HOUR, margin=1800.0)
    assert whole == [WET, WET, 0.0, 0.0, WET]


def test_a_start_on_a_whole_hour_says_nothing_of_the_hour_before() -> None:
    found = spared(RISING, [0.0] * 5, start=START + HOUR, end=START + 4 * HOUR)
    assert found == [WET, 0.0, WET, WET, WET]


# -- in words --------------------------------------------------------------------------------------

KNOT = 1852 / 3600
SLACK, FLOOD, EBB = CurrentKind.SLACK, CurrentKind.FLOOD, CurrentKind.EBB


def currents(*events: tuple[float, CurrentKind, float]) -> CurrentPrediction:
    made = tuple(CurrentEvent(START + hour * HOUR, kind, speed) for hour, kind, speed in events)
    return CurrentPrediction(made, 90.0, 270.0, None, afloat.STATION, scenes.FROM_A_FILE)


def entered(*points: tuple[float, float]) -> CurrentSeries:
    """Return a current to the east by hours after the start. [kt]."""
    time = np.array([to_datetime64(START + hour * HOUR) for hour, _ in points])
    east = np.array([knots * KNOT for _, knots in points])
    return CurrentSeries(time, east, np.zeros(len(points)))


def test_the_flow_is_told_at_its_strongest_in_each_hour() -> None:
    predicted = MovingWater(
        currents=(currents((0, SLACK, 0.0), (2, FLOOD, KNOT), (3, SLACK, 0.0), (5, EBB, 2 * KNOT)),)
    )
    told = describe_flow(predicted, HOURS)
    assert told[1] == "flood of 1.0 kt"
    assert told[4] == "ebb of 2.0 kt"
    assert told[3].startswith("ebb of 1.")
    own = replace(predicted, entered=entered((0, 1.0), (2, 1.0), (3, 0.5), (9, 0.5)))
    assert describe_flow(own, HOURS) == (
        *(["current of 1.0 kt"] * 3),
        *(["current of 0.5 kt"] * 2),
    )


def test_a_flow_that_is_not_known_throughout_an_hour_is_not_told() -> None:
    half = MovingWater(entered=entered((0, 1.0), (1.5, 1.0)))
    assert describe_flow(half, HOURS) == ("current of 1.0 kt", "", "", "", "")
    assert describe_flow(MovingWater(), HOURS) == ("",) * 5
    assert describe_flow(MovingWater(tidal=True), HOURS) == ("",) * 5
