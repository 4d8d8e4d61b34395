"""The best trip of a day: in daylight, by verdict, then odds, then the earliest."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from safety_check.assess import best_trips
from safety_check.assess.best_trips import BestTrip
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity
from safety_check.model.verdict_arrays import Decided, OutlookArrays
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes

LOCAL = ZoneInfo(scenes.WATER.time_zone)
MIDNIGHT = datetime(2026, 6, 13, tzinfo=LOCAL).astimezone(UTC)
HOURS = 48  # of two local days
HAZARDS = ("fog", "thunder", "dark")
GO, MARGINAL, UNKNOWN, NO_GO = Severity
Cell = tuple[int, Severity, float, int]  # hour after midnight, verdict, odds of GO, hazard


def arrays(length: int, *sites: tuple[int, tuple[Cell, ...]]) -> OutlookArrays:
    """Return for each site its number of hours and its trips of a length; others are all GO.

    Trips that are not named are NO-GO.
    """
    shape = (len(sites), 24, HOURS)
    start = np.datetime64(MIDNIGHT.replace(tzinfo=None), "s")
    time = np.tile(start + np.arange(HOURS) * 3600, (len(sites), 1))
    trips, decides, go = np.zeros(shape, int), np.full(shape, 2), np.ones(shape)
    row = length - 1
    trips[:, row], go[:, row], decides[:, row] = NO_GO, 0.0, 0
    for site, (known, cells) in enumerate(sites):
        time[site, known:] = np.datetime64("NaT")
        for hour, severity, odds, hazard in cells:
            trips[site, row, hour] = severity
            go[site, row, hour], decides[site, row, hour] = odds, hazard
    hours = Decided(np.zeros(0, int), np.zeros(0, int), np.zeros(0))  # nobody looks at them
    return OutlookArrays(HAZARDS, time, hours, trips, decides, go)


def found(
    monkeypatch: pytest.MonkeyPatch, length: int, *sites: tuple[int, tuple[Cell, ...]]
) -> list[tuple[BestTrip, ...]]:
    monkeypatch.setattr(best_trips, "outlook_many", lambda *_: arrays(length, *sites))
    plan = replace(scenes.plan(), start=MIDNIGHT, end=MIDNIGHT + timedelta(hours=HOURS))
    case = Case(plan, scenes.briefing(), scenes.POND, scenes.settings(), load_trust())
    return list(best_trips.best_trips([case] * len(sites), length, load_rulebook()))


def at(hour: int) -> datetime:
    return MIDNIGHT + timedelta(hours=hour)


def test_each_day_has_its_best_trip_in_daylight(monkeypatch: pytest.MonkeyPatch) -> None:
    # Sunrise 05:47, sunset 21:25: a trip of 3 h may begin at 6 to 18 by the water's clock.
    first = (
        *((5, GO, 1.0, 1), (19, GO, 1.0, 1)),  # in the dark in part
        *((18, GO, 0.9, 1), (10, GO, 0.8, 1), (12, MARGINAL, 0.95, 1)),
    )
    second = ((36, MARGINAL, 0.3, 1), (32, MARGINAL, 0.3, 1), (34, UNKNOWN, 0.9, 0))
    [(today, tomorrow)] = found(monkeypatch, 3, (HOURS, (*first, *second)))
    assert today == BestTrip(date(2026, 6, 13), GO, at(18), at(21), 0.9)
    assert tomorrow == BestTrip(date(2026, 6, 14), MARGINAL, at(32), at(35), 0.3, "thunder")


def test_each_site_has_its_own_hours(monkeypatch: pytest.MonkeyPatch) -> None:
    long, short = found(monkeypatch, 3, (HOURS, ((32, GO, 0.7, 0),)), (24, ((8, UNKNOWN, 0.2, 2),)))
    assert [trip.day.day for trip in long] == [13, 14]
    assert long[1].start == at(32)
    assert short == (BestTrip(date(2026, 6, 13), UNKNOWN, at(8), at(11), 0.2, "dark"),)


def test_a_day_too_short_for_the_trip_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    [(today, _)] = found(monkeypatch, 20, (HOURS, ((4, GO, 1.0, 0),)))
    assert today == BestTrip(date(2026, 6, 13), None)
