"""The map of a water: significant wave height over all of it, for a wind or an hour of a trip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.errors import ConfigError
from safety_check.model.place import Launch, OpenWater, Water, WholeWater
from safety_check.model.plan import Plan
from safety_check.model.verdict import HourVerdict
from safety_check.model.wave_map import MapGrid, WaveMap
from safety_check.physics.off_wind import largest_sea, smoothed_radials
from safety_check.waters.open_water import whole_water
from safety_check.waters.route import project_route

WAVES = "sea_surface_wave_significant_height"
OWN_SEA = 1.2
"""Up to this many times what an hour's wind raises, a higher sea is attributed to that wind."""


def grid_of_water(water: Water, cache: Path, launches: Sequence[Launch] = ()) -> MapGrid:
    """Return the grid that all maps of a water share; its fetch is computed once and cached.

    Parameters
    ----------
    water
        With a shoreline.
    cache
        The user's cache folder.
    launches
        The launches to draw; all of the water's where none is named. Where it is one, the lee is
        searched from it.

    Raises
    ------
    ConfigError
        Where the water has no shoreline.
    """
    if not water.shoreline:
        raise ConfigError(
            f"water {water.name!r} has only a fetch table and no shoreline, so there is no shape"
            " to draw. Add it again with its shoreline: safety-check water add NAME --file FILE."
        )
    from safety_check.waters.projection import local_rings, to_metres

    whole = whole_water(water, cache)
    drawn = tuple(launches) or water.launches
    places = to_metres(_degrees(drawn), *whole.origin)
    return MapGrid(
        water=water,
        whole=replace(whole, launch=places[0]) if len(places) == 1 else whole,
        radials=smoothed_radials(whole.bearings, whole.fetch),
        rings=local_rings(water.shoreline, *whole.origin),
        launches=tuple(zip(drawn, places, strict=True)),
    )


def grid_of_trip(plan: Plan, cache: Path) -> MapGrid:
    """Return what the maps of a trip share: its water, launch, and route or reach."""
    from safety_check.waters.projection import to_metres

    bare = grid_of_water(plan.water, cache, [plan.launch])
    if plan.route is None:
        return replace(bare, reach=plan.reach)
    way = to_metres(plan.route, *bare.whole.origin)
    return replace(bare, route=np.vstack([bare.launches[0][1], way]))


def grid_near_trip(plan: Plan, water: OpenWater, cache: Path) -> MapGrid:
    """Return what the maps of a trip share, in its frame.

    Parameters
    ----------
    plan, cache
        As for `grid_of_trip`.
    water
        The open water around the launch, as `trip_water` gives it; without a part near the trip
        the whole water is shown.
    """
    from safety_check.waters.projection import local_rings, to_metres

    whole = grid_of_trip(plan, cache)
    middle = (plan.launch.longitude, plan.launch.latitude)
    others = [launch for launch in plan.water.launches if launch != plan.launch]
    if water.near is None:
        assert whole.whole.launch is not None
        away, middle = whole.whole.launch, whole.whole.origin
        grid = whole
    else:
        away = np.zeros(2)
        grid = replace(
            whole,
            whole=water.near,
            radials=smoothed_radials(water.near.bearings, water.near.fetch),
            rings=local_rings(plan.water.shoreline, *middle),
            route=None if plan.route is None else _from_launch(plan),
        )
    places = to_metres(_degrees(others), *middle)
    return replace(
        grid,
        launches=((plan.launch, away), *zip(others, places, strict=True)),
        on_trip=_near_any(grid.whole, water.points + away),
    )


def thinner(grid: MapGrid, most: int) -> MapGrid:
    """Return a grid with every second place in both directions, until it has few enough."""
    while len(grid.whole.points) > most:
        row, column = grid.cells
        some = (row % 2 == 0) & (column % 2 == 0)
        whole = grid.whole
        grid = replace(
            grid,
            whole=replace(
                whole,
                spacing=2 * whole.spacing,
                points=whole.points[some],
                fetch=whole.fetch[:, some],
                smoothed=whole.smoothed[:, some],
            ),
            radials=grid.radials[:, some],
            on_trip=None,
            sheltered=None if grid.sheltered is None else grid.sheltered[some],
        )
    return grid


def _degrees(launches: Sequence[Launch]) -> FloatArray:
    return np.array([[place.longitude, place.latitude] for place in launches]).reshape(-1, 2)


def _from_launch(plan: Plan) -> FloatArray:
    assert plan.route is not None
    return np.vstack([np.zeros(2), project_route(plan.route, plan.launch)])


def _near_any(whole: WholeWater, places: FloatArray) -> BoolArray:
    """Whether each place of a lattice lies within a spacing of some places; at least one does."""
    apart = np.full(len(whole.points), np.inf)
    for east, north in places:
        np.minimum(apart, np.hypot(*(whole.points - (east, north)).T), out=apart)
    near: BoolArray = apart <= max(whole.spacing, float(apart.min()))
    return near


def map_under_wind(
    paper: MapGrid,
    wind_speed: float,
    wind_from_direction: float,
    caution: float = np.inf,
    no_go: float = np.inf,
) -> WaveMap:
    """Return the map of a steady wind that has blown long enough.

    Parameters
    ----------
    paper
        The water.
    wind_speed, wind_from_direction
        Wind 10 m above the water; NaN gives a map on which nothing is known. [m s⁻¹, deg true]
    caution, no_go
        As in `LakeMap`. [m]
    """
    return WaveMap(
        grid=paper,
        height=_sea(wind_speed, wind_from_direction, paper.radials, paper.whole.depth),
        wind_speed=wind_speed,
        wind_from_direction=wind_from_direction,
        caution=caution,
        no_go=no_go,
    )


def map_at_hour(paper: MapGrid, hour: HourVerdict, reach: OpenWater, high: bool = True) -> WaveMap:
    """Return the map of an hour of a verdict.

    Parameters
    ----------
    paper
        The water of the trip.
    hour
        As in the verdict.
    reach
        The open water that the verdict rests on.
    high
        True for the high end of the forecasts, false for their median.

    Notes
    -----
    The map shows the sea of the hour's wind after it has blown long enough. Where the verdict has
    a higher sea on the trip than this wind raises, the map is raised to it, and never lowered. Up
    to a fifth is added in proportion, for forecasts that differ in direction. The rest comes from
    the hours before, an observation or a wave model, and is added all over the water.
    """
    side = "_high" if high else ""
    speed, direction = hour.shown[f"wind_speed{side}"], hour.shown["wind_from_direction"]
    caution, no_go = hour.bounds.get(WAVES, (np.inf, np.inf))
    steady = map_under_wind(paper, speed, direction, caution, no_go)
    there = float(_sea(speed, direction, _longest(reach), reach.depth)[0])
    told = hour.shown[f"{WAVES}{side}"]
    height = _raised(steady.height, there, told)
    return replace(steady, height=height, time=hour.time)


def _sea(speed: float, direction: float, radials: FloatArray, depth: float) -> FloatArray:
    return largest_sea(np.array(speed), np.array(direction), radials, depth).height


def _longest(reach: OpenWater) -> FloatArray:
    """Return the longest open water of all places of a trip, as the verdict uses it."""
    return smoothed_radials(reach.bearings, reach.fetch.max(axis=1))[:, None]


def _raised(height: FloatArray, there: float, told: float) -> FloatArray:
    """Raise a sea until it has the given height at one place; unknown stays unknown."""
    own = min(max(told, there), OWN_SEA * there)
    scaled = height * (own / there) if there > 0 else height
    raised: FloatArray = np.sqrt(scaled**2 + max(told**2 - own**2, 0.0))
    return raised if np.isfinite(told) else np.full_like(height, np.nan)
