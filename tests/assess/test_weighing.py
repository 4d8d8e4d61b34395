"""Which hours are weighed around a trip, and what an earlier check adds to them."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from safety_check.arrays import to_datetime64
from safety_check.assess.weighing import assessment_hours, forecast_growth_of, movement_of
from safety_check.conditions.case import Case
from safety_check.conditions.forecast_trend import ForecastSummary, PastChecks
from safety_check.model.place import WaterKind
from safety_check.model.plan import Plan
from safety_check.use_cases.trust import load_trust
from tests import afloat, scenes


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
