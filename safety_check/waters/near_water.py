"""The part of a water that a trip is about: its frame on a map, and the open water in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.place import Frame, OpenWater, WholeWater
from safety_check.model.plan import Plan
from safety_check.physics.fetch import smoothed_fetch, straight_fetch
from safety_check.physics.places import CLOSEST, lattice_within
from safety_check.waters.array_cache import cache_key, cached
from safety_check.waters.open_water import open_water
from safety_check.waters.route import project_route
from safety_check.waters.shore_fetch import BEARINGS

CELLS = 1800  # in a frame, land included: some 40 a side, each 8 pixels of a small phone
BEYOND = 2  # cells beyond the frame, so that its edge is not the edge of what is known
MARGIN = 0.12  # of the longer side of a trip, on each side
LEAST_MARGIN = 60.0  # m
FLATTEST, TALLEST = 0.55, 1.1  # height of a frame as a share of its width
NEARLY_ALL = 0.7  # of a water, in both directions: then the frame is all of it
VERSION = "straight fetch 1 and smoothed over 15 degrees, on a lattice in a frame"


def trip_water(plan: Plan, cache: Path) -> OpenWater:
    """Return the open water around a launch, with its part in the frame of the trip.

    Parameters
    ----------
    plan, cache
        As for `open_water`.
    """
    water = open_water(plan, cache)
    frame = frame_of_trip(plan, water)
    if frame is None:
        return water
    return replace(water, near=_in_frame(water, frame, cache))


def frame_of_trip(plan: Plan, water: OpenWater) -> Frame | None:
    """Return the part of a water that a map of a trip shows.

    Returns
    -------
    Frame or None
        Around the launch and the route, or all places within reach, with a margin. [m east and
        north of the launch]. None without a shoreline, or where it would be nearly all of the
        water.
    """
    if not water.rings:
        return None
    places = water.points if plan.route is None else project_route(plan.route, plan.launch)
    corners = np.concatenate([np.zeros((1, 2)), places])
    lowest, highest = corners.min(axis=0), corners.max(axis=0)
    margin = max(MARGIN * float(np.max(highest - lowest)), LEAST_MARGIN)
    shape = _shaped(Frame(*(lowest - margin).tolist(), *(highest + margin).tolist()))
    return None if _holds(shape, water.rings) else shape


def _shaped(frame: Frame) -> Frame:
    """Return a frame made wider or taller, so that it suits a page."""
    width, height = frame.east - frame.west, frame.north - frame.south
    wider = max(height / TALLEST - width, 0.0) / 2
    taller = max(FLATTEST * width - height, 0.0) / 2
    return Frame(frame.west - wider, frame.south - taller, frame.east + wider, frame.north + taller)


def _holds(frame: Frame, rings: Sequence[FloatArray]) -> bool:
    """Whether a frame shows nearly all of a water."""
    shore = np.concatenate(rings)
    lowest, highest = shore.min(axis=0), shore.max(axis=0)
    seen = np.minimum(highest, frame.highest) - np.maximum(lowest, frame.lowest)
    return bool(np.all(seen >= NEARLY_ALL * (highest - lowest)))


def _in_frame(water: OpenWater, frame: Frame, cache: Path) -> WholeWater | None:
    box = np.array([*frame.lowest, *frame.highest])
    name = cache_key(VERSION, [*water.rings, BEARINGS, box])
    arrays = cached(cache / "near_water", name, lambda: _computed(water.rings, frame))
    if not len(arrays["points"]):
        return None
    return WholeWater(
        origin=(np.nan, np.nan),
        spacing=float(arrays["spacing"]),
        points=arrays["points"],
        bearings=BEARINGS,
        fetch=arrays["fetch"],
        smoothed=arrays["smoothed"],
        depth=water.depth,
        launch=np.zeros(2),
        frame=frame,
    )


def _computed(rings: Sequence[FloatArray], frame: Frame) -> dict[str, FloatArray]:
    size = frame.highest - frame.lowest
    spacing = max(float(np.sqrt(size.prod() / CELLS)), CLOSEST)
    lowest, highest = frame.lowest - BEYOND * spacing, frame.highest + BEYOND * spacing
    points = lattice_within(rings, lowest, highest, spacing)
    fetch = straight_fetch(rings, points, BEARINGS)
    return {
        "points": points,
        "spacing": np.array(spacing),
        "fetch": fetch,
        "smoothed": smoothed_fetch(fetch, BEARINGS),
    }
