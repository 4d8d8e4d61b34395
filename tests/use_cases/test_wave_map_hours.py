"""How many maps a page gets, and which hour of a trip is shown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from safety_check.errors import ConfigError, PlanError
from safety_check.model.verdict import HourVerdict, Severity, Shelter, Verdict
from safety_check.settings.settings import Settings
from safety_check.use_cases import wave_map
from safety_check.use_cases.wave_map import map_hours_around, map_verdict, map_wind
from tests import scenes

HOUR = timedelta(hours=1)
SHORE = np.array([[-99.61, 44.89], [-99.59, 44.89], [-99.59, 44.91], [-99.61, 44.89]])
LAKE = replace(scenes.WATER, shoreline=(SHORE,))
TRIP = replace(scenes.plan(hours=2), water=LAKE)
EVERYWHERE, NOWHERE = np.ones(3, dtype=bool), np.zeros(3, dtype=bool)


def hours(number: int, first: int = 0) -> tuple[HourVerdict, ...]:
    """Return hours from so many after the start of the trip."""
    return tuple(
        HourVerdict(TRIP.start + (first + at) * HOUR, Severity.GO, {}, (), {})
        for at in range(number)
    )


def verdict(around: int = 0, trip: int = 2, **told: Any) -> Verdict:
    """Return a verdict whose trip begins two hours into the hours around it."""
    return Verdict(
        TRIP, scenes.NOW, Severity.GO, hours(trip), (), (), (), (), (),
        around=hours(around, -2), **told,
    )  # fmt: skip


@dataclass(frozen=True)
class Grid:
    """A grid of three places."""

    whole: Any
    sheltered: Any = None


@dataclass(frozen=True)
class Map:
    """A map of an hour."""

    grid: Grid
    time: Any
    high: bool
    drifts: tuple[str, ...] = ()
    in_trip: bool = True


@pytest.fixture(params=[True, False], ids=["with its part around the trip", "small"])
def near(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Draw no map; say whether the water is larger than what lies around the trip."""
    part: Any = object() if request.param else None
    water = replace(scenes.POND, near=part)
    three = Grid(SimpleNamespace(points=np.zeros((3, 2))))
    monkeypatch.setattr(wave_map, "trip_water", lambda *_: water)
    monkeypatch.setattr(wave_map, "along_route", lambda _, around: around)
    monkeypatch.setattr(wave_map, "grid_near_trip", lambda *_: three)
    monkeypatch.setattr(wave_map, "grid_of_trip", lambda *_: three)
    monkeypatch.setattr(wave_map, "thinner", thinned)
    monkeypatch.setattr(wave_map, "map_at_hour", drawn)
    return bool(request.param)


def thinned(grid: Grid, most: int) -> Grid:
    assert most == 500  # an overview beside the map of the trip
    return grid


def drawn(grid: Grid, hour: HourVerdict, _: object, high: bool = True) -> Map:
    return Map(grid, hour.time, high)


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    made = scenes.settings()
    return replace(made, folders=replace(made.folders, cache=tmp_path))


@pytest.mark.parametrize(
    ("around", "near_maps", "whole_maps"),
    [
        (0, 2, 2),  # a check of an older version has the hours of its trip alone
        (1, 1, 1),
        (26, 26, 26),
        (27, 27, 2),  # of the whole water only the trip
        (50, 50, 2),
        (51, 2, 2),  # too many for a page
    ],
)
def test_a_page_gets_a_map_of_each_hour_unless_those_are_too_many(
    own: Settings, near: bool, around: int, near_maps: int, whole_maps: int
) -> None:
    found = map_hours_around(verdict(around), own)
    assert len(found.near) == near_maps
    assert len(found.whole) == (whole_maps if near else 0)


@pytest.mark.parametrize("near", [True], indirect=True)
def test_of_a_long_trip_the_whole_water_is_drawn_for_its_first_eight_hours(
    own: Settings, near: bool
) -> None:
    found = map_hours_around(verdict(40, trip=30), own)
    assert near
    assert [one.time for one in found.whole] == [TRIP.start + at * HOUR for at in range(8)]


def test_the_hours_of_the_trip_are_marked_among_those_around_it(own: Settings, near: bool) -> None:
    found = map_hours_around(verdict(6), own)
    in_trip = [False, False, True, True, False, False]
    assert [one.in_trip for one in found.near] == in_trip
    assert [one.in_trip for one in found.whole] == (in_trip if near else [])


def test_the_lee_is_drawn_where_the_verdict_knows_it_for_these_places(
    own: Settings, near: bool
) -> None:
    found = map_hours_around(verdict(4, shelter=Shelter(EVERYWHERE, NOWHERE)), own)
    assert found.near[0].grid.sheltered is (NOWHERE if near else EVERYWHERE)
    assert [one.grid.sheltered is EVERYWHERE for one in found.whole] == [True] * (4 if near else 0)
    other = Shelter(np.ones(4, dtype=bool), np.ones(4, dtype=bool))
    for shelter in (None, other):
        unknown = map_hours_around(verdict(4, shelter=shelter), own)
        assert unknown.near[0].grid.sheltered is None


def adrift(instants: int) -> Any:
    return SimpleNamespace(adrift=SimpleNamespace(speed=np.zeros((1, instants))))


@pytest.mark.parametrize(
    ("advice", "drifting"),
    [
        (adrift(5), [True] * 4),  # a wind at the instants that bound four hours
        (adrift(4), [True] * 3 + [False]),  # of an older version
        (SimpleNamespace(adrift=None), [False] * 4),
        (None, [False] * 4),
    ],
)
def test_a_drift_is_drawn_from_each_hour_whose_wind_is_known(
    own: Settings, near: bool, monkeypatch: pytest.MonkeyPatch, advice: Any, drifting: list[bool]
) -> None:
    asked: list[tuple[Any, int, Any]] = []

    def drift(time: Any, at: int, wind: Any, water: Any, kinds: dict[str, Any]) -> tuple[str, ...]:
        asked.append((time, at, wind))
        return tuple(kinds)

    monkeypatch.setattr(wave_map, "drifts_from", drift)
    found: Any = map_hours_around(verdict(4, advice=advice), own)
    drawn_from = [one.drifts == ("craft", "swimmer") for one in found.near]
    assert drawn_from == drifting
    known = [at for at, there in enumerate(drifting) if there]
    assert [(time, at) for time, at, _ in asked] == [
        (TRIP.start + (at - 2) * HOUR, at) for at in known
    ]


def test_a_water_without_a_shoreline_has_no_maps(own: Settings) -> None:
    bare = replace(verdict(4), plan=replace(TRIP, water=scenes.WATER))
    found = map_hours_around(bare, own)
    assert (found.near, found.whole) == ((), ())
    assert map_verdict(bare, own) == ()


@pytest.mark.parametrize("high", [True, False])
def test_a_report_has_a_map_of_each_hour_of_the_trip(own: Settings, near: bool, high: bool) -> None:
    found: Any = map_verdict(verdict(6), own, high)
    assert [(one.time, one.high) for one in found] == [
        (TRIP.start, high), (TRIP.start + HOUR, high),
    ]  # fmt: skip


# -- which hour ----------------------------------------------------------------------------------


def shown(*heights: list[float]) -> list[Any]:
    return [
        SimpleNamespace(height=np.array(one), time=TRIP.start + at * HOUR)
        for at, one in enumerate(heights)
    ]


@pytest.mark.parametrize(
    ("heights", "chosen"),
    [
        (([0.1, 0.2], [0.3, 0.1], [0.2, 0.2]), 1),
        (([np.nan, 0.9], [0.3, 0.1]), 1),  # an hour that is not known is not the highest
        (([np.nan], [0.0]), 1),
        (([np.nan], [np.nan]), 0),
        (([0.2], [0.2]), 0),
    ],
)
def test_the_hour_with_the_highest_waves_is_shown(
    heights: tuple[list[float], ...], chosen: int
) -> None:
    maps = shown(*heights)
    assert wave_map._chosen(maps, verdict(), None) is maps[chosen]


@pytest.mark.parametrize(("at", "chosen"), [("10:00", 0), ("10:59", 0), ("11:00", 1), ("11:59", 1)])
def test_an_hour_is_shown_from_its_first_minute_to_its_last(at: str, chosen: int) -> None:
    maps = shown([0.1], [0.1])
    assert wave_map._chosen(maps, verdict(), at) is maps[chosen]


@pytest.mark.parametrize("at", ["9:59", "12:00", "tomorrow 10:00"])
def test_an_hour_outside_the_trip_is_refused(at: str) -> None:
    with pytest.raises(PlanError, match="the trip has no such hour"):
        wave_map._chosen(shown([0.1], [0.1]), verdict(), at)


def test_a_wind_beyond_the_growth_law_is_refused(
    own: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_shape(*_: object) -> None:
        raise ConfigError("no shape")

    monkeypatch.setattr(wave_map, "grid_of_water", no_shape)
    with pytest.raises(ConfigError, match="no shape"):
        map_wind(LAKE, own, 60.0, 270.0)
    with pytest.raises(PlanError, match="the wave model does not cover that"):
        map_wind(LAKE, own, 60.1, 270.0)
