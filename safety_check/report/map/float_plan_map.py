"""The water in a few lines for the float plan: shore, launch, and where the trip goes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.plan import Plan

PAPER, MARGIN = 300.0, 4.0
"""The longer side of the water, and the margin around the drawing, in its own units."""

METRES_PER_DEGREE = 111_195.0
"""Of latitude, on a sphere of 6371 km; a picture needs no more. [m]"""


@dataclass(frozen=True)
class WaterMap:
    """A shoreline on paper.

    Parameters
    ----------
    view
        Left, top, width and height of what is shown.
    shore
        The path of the shore and the islands.
    launch
        Where the launch is.
    route
        The path of the way out; empty without a route.
    reach
        How far from the launch the trip goes; zero with a route.
    """

    view: tuple[float, float, float, float]
    shore: str
    launch: tuple[float, float]
    route: str
    reach: float


def water_map(plan: Plan) -> WaterMap | None:
    """Return the water as a picture; None where its shore is not known."""
    if not plan.water.shoreline:
        return None
    launch = np.array([[plan.launch.longitude, plan.launch.latitude]])
    stretch = np.array([math.cos(math.radians(plan.launch.latitude)), 1.0])
    places = np.concatenate(plan.water.shoreline) * stretch
    corner = np.array([places[:, 0].min(), places[:, 1].max()])
    scale = PAPER / max(float(np.ptp(places, axis=0).max()), 1e-6)

    def drawn(at: FloatArray) -> FloatArray:
        placed: FloatArray = (at * stretch - corner) * (scale, -scale)
        return placed

    here = drawn(launch)
    radius = plan.reach * scale / METRES_PER_DEGREE if plan.route is None else 0.0
    way = drawn(np.concatenate([launch, plan.route])) if plan.route is not None else here
    rings = [drawn(ring) for ring in plan.water.shoreline]
    return WaterMap(
        view=_around(np.concatenate([*rings, here - radius, here + radius, way])),
        shore="".join(f"{_path(ring)}Z" for ring in rings),
        launch=(round(float(here[0, 0]), 1), round(float(here[0, 1]), 1)),
        route=_path(way) if len(way) > 1 else "",
        reach=round(radius, 1),
    )


def _around(places: FloatArray) -> tuple[float, float, float, float]:
    left, top = (float(coordinate) for coordinate in places.min(axis=0) - MARGIN)
    width, height = (float(length) for length in np.ptp(places, axis=0) + 2 * MARGIN)
    return round(left, 1), round(top, 1), round(width, 1), round(height, 1)


def _path(places: FloatArray) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places)
