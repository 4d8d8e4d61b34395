"""The open water around a launch: where the trip may go, and the fetch there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError, SafetyCheckError
from safety_check.model.place import FetchTable, OpenWater, Water, WholeWater
from safety_check.model.plan import Plan
from safety_check.model.water_estimate import EXCLUSIONS
from safety_check.physics import places
from safety_check.physics.fetch import smoothed_fetch, straight_fetch
from safety_check.physics.off_wind import smoothed_radials
from safety_check.waters.array_cache import cache_key, cached
from safety_check.waters.launches import require_at_shore
from safety_check.waters.movement import describe_movement
from safety_check.waters.shore_fetch import BEARINGS, Reach, fetch_around, middle_of

MAP_POINTS, FEWEST_POINTS = 1500, 300
MOST_CELLS = 1_000_000  # of a map, water and land together
WHOLE_VERSION = "straight fetch 1 and smoothed over 15 degrees, on a lattice"


def open_water(plan: Plan, cache: Path) -> OpenWater:
    """Return the open water around a plan's launch; the fetch is computed once and cached.

    Parameters
    ----------
    plan
        Water, launch and reach.
    cache
        The user's cache folder.

    Raises
    ------
    ConfigError
        Where the water has neither a shoreline nor a fetch table.
    LaunchError
        Where the launch is not at the shore.
    """
    (found,) = open_waters([plan], cache)
    if isinstance(found, SafetyCheckError):
        raise found
    return found


def open_waters(plans: Sequence[Plan], cache: Path) -> list[OpenWater | SafetyCheckError]:
    """Return the open water around the launch of each plan, or why there is none.

    Launches at one shore are computed in one pass over it.

    Parameters
    ----------
    plans, cache
        As in `open_water`.
    """
    found: list[OpenWater | SafetyCheckError | None] = [None] * len(plans)
    by_shore: dict[str, list[int]] = {}
    for number, plan in enumerate(plans):
        water = plan.water
        if water.fetch_table is not None:
            found[number] = _from_table(
                water.fetch_table, _depth(water), plan.reach, plan.from_shore
            )
        elif water.shoreline:
            by_shore.setdefault(cache_key("", water.shoreline), []).append(number)
        else:
            found[number] = ConfigError(
                f"water {water.name!r} has neither a shoreline nor a fetch table. Add it"
                " again with --file or --fetch."
            )
    for numbers in by_shore.values():
        together = _at_the_shore([plans[number] for number in numbers], cache)
        for number, one in zip(numbers, together, strict=True):
            found[number] = one
    return [one for one in found if one is not None]


def _depth(water: Water) -> float:
    return np.inf if water.depth is None else water.depth


def _from_table(table: FetchTable, depth: float, reach: float, from_shore: float) -> OpenWater:
    """Return open water from a fetch table: one point, no farther from shore than its fetch."""
    apart = np.abs((BEARINGS[:, None] - table.bearing[None, :] + 180) % 360 - 180)
    fetch = table.fetch[np.argmin(apart, axis=1)]
    return OpenWater(
        points=np.zeros((1, 2)),
        bearings=BEARINGS,
        fetch=fetch[:, None],
        radials=smoothed_radials(BEARINGS, fetch[:, None]),
        distance_from_shore=np.array([min(reach, from_shore, float(fetch.max()))]),
        rings=(),
        depth=depth,
    )


def _at_the_shore(plans: Sequence[Plan], cache: Path) -> list[OpenWater | SafetyCheckError]:
    """Return the open water around launches at one shore."""
    shore = plans[0].water.shoreline
    reaches = [Reach(plan.launch.longitude, plan.launch.latitude, plan.reach) for plan in plans]
    whole = whole_water(plans[0].water, cache)
    found: list[OpenWater | SafetyCheckError] = []
    for plan, arrays in zip(plans, fetch_around(shore, reaches, cache), strict=True):
        try:
            found.append(_around_launch(plan, arrays, whole))
        except SafetyCheckError as trouble:
            found.append(trouble)
    return found


def _around_launch(plan: Plan, arrays: Mapping[str, FloatArray], whole: WholeWater) -> OpenWater:
    rings = tuple(arrays[f"ring_{number}"] for number in range(len(plan.water.shoreline)))
    require_at_shore(plan.launch, rings, f"water {plan.water.name!r}")
    near = arrays["distance"] <= plan.from_shore
    near[0] = True  # the launch itself
    return OpenWater(
        points=arrays["points"][near],
        bearings=BEARINGS,
        fetch=arrays["fetch"][:, near],
        radials=arrays["radials"][:, near],
        distance_from_shore=arrays["distance"][near],
        rings=rings,
        depth=_depth(plan.water),
        whole=replace(whole, launch=arrays["on_the_map"], depth=_depth(plan.water)),
    )


def whole_water(water: Water, cache: Path) -> WholeWater:
    """Return all of a water with a shoreline; the fetch is computed once and cached.

    Parameters
    ----------
    water
        With a shoreline.
    cache
        The user's cache folder.
    """
    origin = middle_of(water.shoreline)
    name = cache_key(WHOLE_VERSION, [*water.shoreline, BEARINGS])
    arrays = cached(cache / "whole_water", name, lambda: _whole(water, origin))
    return WholeWater(
        origin=origin,
        spacing=float(arrays["spacing"]),
        points=arrays["points"],
        bearings=BEARINGS,
        fetch=arrays["fetch"],
        smoothed=arrays["smoothed"],
        depth=_depth(water),
    )


def _whole(water: Water, origin: tuple[float, float]) -> dict[str, FloatArray]:
    from safety_check.waters.projection import local_rings

    rings = local_rings(water.shoreline, *origin)
    corners = np.concatenate(rings)
    size = corners.max(axis=0) - corners.min(axis=0)
    finest = float(np.sqrt(size.prod() / MOST_CELLS))
    spacing = max(places.lattice_spacing(rings, MAP_POINTS), finest)
    points = places.lattice(rings, spacing)
    while len(points) < FEWEST_POINTS and spacing >= 2 * finest:
        spacing /= 2
        points = places.lattice(rings, spacing)
    if not len(points):
        points = places.nearest_water_point(rings, corners[0])[None, :]
    fetch = straight_fetch(rings, points, BEARINGS)
    return {
        "points": points,
        "spacing": np.array(spacing),
        "fetch": fetch,
        "smoothed": smoothed_fetch(fetch, BEARINGS),
    }


def summary(water: Water) -> list[str]:
    """Return a water in a few lines for a person."""
    lines = [f"time zone: {water.time_zone}"]
    lines.append(f"depth: {'not known' if water.depth is None else f'{water.depth:g} m'}")
    if water.elevation is not None:
        lines.append(f"elevation: {water.elevation:.0f} m above sea level")
    lines += describe_movement(water)
    lines += _estimate(water)
    if water.shoreline:
        lines.append(f"size: {describe_size(water)}")
    if water.fetch_table is not None:
        longest = float(water.fetch_table.fetch.max())
        lines.append(f"open water by {len(water.fetch_table.fetch)} sectors, up to {longest:.0f} m")
    for launch in water.launches:
        dries = "" if launch.dries is None else f", dries at a tide of {launch.dries:g} m"
        at = f"{launch.latitude:.5f}, {launch.longitude:.5f}"
        lines.append(f"launch: {launch.name} ({at}){dries}")
    if not water.launches:
        lines.append("launches: none; give a point with --launch LAT,LON")
    lines += [f"repaired: {repair}" for repair in water.repairs]
    return lines + ([f"shoreline: {water.attribution}"] if water.attribution else [])


def _estimate(water: Water) -> list[str]:
    """Return whether the water's temperature may be estimated, and from what."""
    basis = water.estimate
    if basis is None:
        return []
    depth = basis.depth if basis.mean_depth is None else f"mean depth {basis.mean_depth:g} m"
    reasons = (EXCLUSIONS[name] for name in basis.excluded or ())
    excluded = "".join(f"; not possible, since {reason}" for reason in reasons)
    if basis.excluded is None:
        excluded = "; say what rules it out with water set --excluded"
    return [f"water temperature: may be estimated ({depth}){excluded}"]


def describe_size(water: Water) -> str:
    """Return the area, shore points and islands of a water with a shoreline."""
    from safety_check.waters.add import polygons_of
    from safety_check.waters.projection import local_rings

    polygons = polygons_of(water.shoreline)
    middle = middle_of(water.shoreline)
    areas = [[abs(_area(ring)) for ring in local_rings(one, *middle)] for one in polygons]
    area = sum(shore - sum(islands) for shore, *islands in areas)
    corners = sum(len(ring) - 1 for ring in water.shoreline)
    islands = len(water.shoreline) - len(polygons)
    holes = f"{islands} island" if islands == 1 else f"{islands} islands"
    return f"{area / 1e6:.2f} km², {corners} shore points, {holes}"


def _area(ring: FloatArray) -> float:
    """Return the signed area of a closed ring [m²], by the shoelace formula."""
    east, north = ring[:, 0], ring[:, 1]
    return float(east[:-1] @ north[1:] - east[1:] @ north[:-1]) / 2
