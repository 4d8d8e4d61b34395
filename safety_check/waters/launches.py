"""Require a launch at the shore: within a stated distance of it, on land or on the water."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError, LaunchError
from safety_check.model.place import Launch, Water
from safety_check.physics.fetch import distance_to_shore, inside
from safety_check.physics.sphere import great_circle_distance
from safety_check.settings.launches import load_greatest_gap
from safety_check.units import compass
from safety_check.waters.geojson import SWAPPED

QUARTERS = (0.0, 90.0, 180.0, 270.0)  # the quarters in which the nearest shore is searched
HERE = np.zeros((1, 2))
PERHAPS_SWAPPED = 10_000.0  # m; only a point as far off may be one with swapped coordinates
CORRECT = "Correct the point, or the polygon."


def require_launch_at_shore(launch: Launch, shoreline: Sequence[FloatArray], where: str) -> None:
    """Refuse a launch that is not at the shore.

    Parameters
    ----------
    launch
        The launch as given.
    shoreline
        Closed rings of longitude and latitude. [deg]
    where
        The file or water that an error names.

    Raises
    ------
    LaunchError
        With the nearest places at the shore.
    ConfigError
        Where it is not a place on Earth, or longitude and latitude are swapped.
    """
    from safety_check.waters.projection import local_rings

    at = launch.longitude, launch.latitude
    if not _on_earth(at, shoreline):
        lies, remedy = "this is not a place on Earth", _remedy(at, shoreline)
        raise ConfigError(f"{_named(launch, where)}: {lies}. {remedy}")
    rings = local_rings(shoreline, *at)
    far = float(distance_to_shore(rings, HERE)[0])
    if far > PERHAPS_SWAPPED and (remedy := _remedy(at, shoreline)) != CORRECT:
        raise ConfigError(f"{_named(launch, where)}: it is {_far(far)} from the shore. {remedy}")
    require_at_shore(launch, rings, where)


def require_at_shore(launch: Launch, rings: Sequence[FloatArray], where: str) -> None:
    """Refuse a launch that is not at the shore; raise LaunchError.

    Parameters
    ----------
    launch, where
        As in `require_launch_at_shore`.
    rings
        The shoreline, metres east and north of the launch.
    """
    far, greatest = float(distance_to_shore(rings, HERE)[0]), load_greatest_gap()
    if far <= greatest:
        return
    side = "on the water" if inside(rings, HERE)[0] else "on land"
    nearest = _nearest_by_quarter(rings)
    nearest = nearest[np.argsort(np.hypot(*nearest.T))]
    choices = _in_words(nearest, launch)
    from safety_check.waters.sketch import draw  # only for a launch that is refused

    listed = "; ".join(f"{words} ({at})" for words, at in choices)
    raise LaunchError(
        f"{_named(launch, where)}: it is {_far(far)} from the shore, {side}. A launch must be"
        f" within {greatest:g} m of the shore, since offshore wind and the swim back are judged"
        f" from there. The nearest shore is {listed}. Give the place of your ramp.",
        remedy=f'For example --launch "{choices[0][1]}" in a check, or'
        f' --launch "{launch.name}={choices[0][1]}" in water add.',
        launch=launch.name,
        choices=choices,
        map=draw(rings, nearest, np.concatenate([nearest, HERE])),
    )


def require_launch_of_table(launch: Launch, water: Water) -> None:
    """Refuse a point that is not at a launch for which a table of open water was given.

    Raises
    ------
    LaunchError
        Where the table says nothing about the place.
    """
    far = min(
        great_circle_distance(launch.latitude, launch.longitude, one.latitude, one.longitude)
        for one in water.launches
    )
    if far <= load_greatest_gap():
        return
    raise LaunchError(
        f"{_named(launch, water.name)}: it is {_far(far)} from {water.launches[0].name!r}, and this"
        " water is known only by the open water seen from there. Add the shoreline of the water, or"
        " add the place as a water of its own.",
        remedy="For that: safety-check water add NAME --fetch",
        launch=launch.name,
        choices=(),
        map=(),
    )


def _in_words(found: FloatArray, launch: Launch) -> tuple[tuple[str, str], ...]:
    """Return places around a launch in words, and as LAT,LON."""
    from safety_check.waters.projection import to_degrees

    degrees = to_degrees(found, launch.longitude, launch.latitude)
    return tuple(
        (
            f"{_far(math.hypot(*place))} {compass(math.degrees(math.atan2(*place)) % 360)}",
            f"{latitude:.5f},{longitude:.5f}",
        )
        for place, (longitude, latitude) in zip(found, degrees, strict=True)
    )


def _nearest_by_quarter(rings: Sequence[FloatArray]) -> FloatArray:
    """Return the place on the shore nearest to the origin in each quarter that has one. [m]."""
    import shapely

    shore = shapely.MultiLineString([shapely.LineString(ring) for ring in rings])
    reach = 2.0 * float(np.abs(np.concatenate(rings)).max())
    found = []
    for bearing in QUARTERS:
        left, right = np.radians(bearing + np.array([-45.0, 45.0]))
        corners = [(0.0, 0.0), *((reach * np.sin(a), reach * np.cos(a)) for a in (left, right))]
        within = shapely.intersection(shore, shapely.Polygon(corners))
        if not within.is_empty:
            line = shapely.shortest_line(shapely.Point(0.0, 0.0), within)
            found.append(shapely.get_coordinates(line)[1])
    return np.array(found)


def _remedy(at: tuple[float, float], shoreline: Sequence[FloatArray]) -> str:
    """Return the remedy for a point off the shore: the point or the polygon may be swapped."""
    turned = [ring[:, ::-1] for ring in shoreline]
    if _fits(at[::-1], shoreline):
        return SWAPPED
    if _fits(at, turned):
        return "The polygon's longitude and latitude are swapped: longitude comes first."
    return CORRECT


def _fits(at: tuple[float, float], shoreline: Sequence[FloatArray]) -> bool:
    """Whether a point is on the water or near its shore."""
    from safety_check.waters.projection import local_rings

    if not _on_earth(at, shoreline):
        return False
    rings = local_rings(shoreline, *at)
    near = float(distance_to_shore(rings, HERE)[0]) <= load_greatest_gap()
    return near or bool(inside(rings, HERE)[0])


def _on_earth(at: tuple[float, float], shoreline: Sequence[FloatArray]) -> bool:
    northernmost = max(float(np.abs(ring[:, 1]).max()) for ring in shoreline)
    return -180 <= at[0] <= 180 and -90 <= at[1] <= 90 and northernmost <= 90


def _named(launch: Launch, where: str) -> str:
    return f"{where}, launch {launch.name!r} = {launch.latitude:g}, {launch.longitude:g}"


def _far(metres: float) -> str:
    return f"{metres / 1000:.1f} km" if metres >= 1000 else f"{metres:.0f} m"
