"""Many sites in one array each: forecasts, waters and ways home with the sites as first axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, cast

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.ensemble import Ensemble
from safety_check.conditions.hour_parts import HourParts
from safety_check.conditions.return_paths import ReturnPaths
from safety_check.model.place import OpenWater


def stack_members(sites: Sequence[Ensemble]) -> Ensemble:
    """Return the forecasts of many sites as one, with the sites before members and instants.

    Parameters
    ----------
    sites
        With the same models, gaps by design and number of instants; without observed directions
        or waves, and without a current.
    """
    first = sites[0]
    return replace(
        first,
        time=np.stack([one.time for one in sites]),
        quantities={
            name: np.stack([one.quantities[name] for one in sites]) for name in first.quantities
        },
        stale=np.stack([one.stale for one in sites]),
        lead_hours=np.stack([one.lead_hours for one in sites]),
        complete=np.stack([one.complete for one in sites]),
        local={},
    )


def stack_waters(sites: Sequence[OpenWater]) -> OpenWater:
    """Return the open water of many sites as one; see the notes of `OpenWater`.

    Parameters
    ----------
    sites
        With the same bearings.
    """
    most = max(len(one.points) for one in sites)
    return OpenWater(
        points=np.stack([_repeated(one.points, most, 0, np.nan) for one in sites]),
        bearings=sites[0].bearings,
        fetch=np.stack([_repeated(one.fetch, most, 1) for one in sites]),
        radials=np.empty(0),
        distance_from_shore=np.stack(
            [_repeated(one.distance_from_shore, most, 0) for one in sites]
        ),
        rings=(),
        depth=cast(float, np.array([one.depth for one in sites])),
    )


def stack_paths(sites: Sequence[ReturnPaths]) -> ReturnPaths:
    """Return the straight ways home of many sites as one; sites with fewer repeat the first."""
    most = max(len(one.lengths) for one in sites)
    return ReturnPaths(
        places=np.stack([_repeated(one.places, most, 0) for one in sites]),
        courses=np.stack([_repeated(one.courses, most, 0) for one in sites]),
        lengths=np.stack([_repeated(one.lengths, most, 0) for one in sites]),
    )


def stack_parts(sites: Sequence[HourParts]) -> HourParts:
    """Return the judged parts of the hours of many sites as one."""
    return HourParts(np.stack([one.first for one in sites]), np.stack([one.last for one in sites]))


def stack_quantities(sites: Sequence[dict[str, FloatArray]]) -> dict[str, FloatArray]:
    """Return the same quantities of many sites as one."""
    return {name: np.stack([one[name] for one in sites]) for name in sites[0]}


def _repeated(
    values: FloatArray, most: int, axis: int, filler: float | None = None
) -> np.ndarray[Any, Any]:
    """Return values lengthened along an axis by their first one, or by a filler."""
    lacking = most - values.shape[axis]
    more = np.repeat(np.take(values, [0], axis=axis), lacking, axis=axis)
    return np.concatenate([values, more if filler is None else np.full_like(more, filler)], axis)
