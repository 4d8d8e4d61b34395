"""Whether the sea is near a launch, from the shipped outlines of the countries."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np

from safety_check.model.place import Launch, Water
from safety_check.settings.launches import load_sea
from safety_check.waters.array_cache import cache_key, cached

RINGS = (0.25, 0.5, 1.0)  # of the reach: where it looks for the sea
BEARINGS = 16
INLAND = 300.0  # m; a place so near to an outline is not at sea, but on its coast
METRES_A_DEGREE = 111_195.0  # of latitude, on a sphere of 6371 km
VERSION = "near the sea 1"


def say_if_by_sea(water: Water, launch: Launch, cache: Path) -> Water:
    """Return a water of which nobody said whether it moves, marked where the sea is near.

    Parameters
    ----------
    water, launch
        Where the trip starts. A water whose kind is known is returned as it is.
    cache
        Where the answer is stored, so that later checks need not look at the outlines.
    """
    if water.kind is not None:
        return water
    return replace(water, by_sea=_connected(water) or _below_and_near(water, launch, cache))


def _connected(water: Water) -> bool:
    """Return whether the user said for another reason that it is connected with the sea."""
    return water.estimate is not None and "sea" in (water.estimate.excluded or ())


def _below_and_near(water: Water, launch: Launch, cache: Path) -> bool:
    sea = load_sea()
    if water.elevation is not None and water.elevation > sea.highest:
        return False
    latitude, longitude, within = launch.latitude, launch.longitude, sea.within
    near = cached(
        cache / "near_sea",
        cache_key(VERSION, [np.array([latitude, longitude, within])]),
        lambda: {"near": np.array(float(sea_is_near(latitude, longitude, within)))},
    )
    return bool(near["near"] > 0)


def sea_is_near(latitude: float, longitude: float, within: float) -> bool:
    """Return whether a place of no country is near: the sea, never a lake.

    Parameters
    ----------
    latitude, longitude
        The launch. [deg]
    within
        How far to look. [m]

    Examples
    --------
    >>> sea_is_near(37.80, -122.42, 10e3), sea_is_near(44.9, -99.6, 10e3)
    (True, False)
    """
    from safety_check.settings.countries import any_country_within  # large, and rarely needed

    narrower = max(math.cos(math.radians(latitude)), 0.02)
    for ring in RINGS:
        for bearing in np.radians(np.arange(BEARINGS) * 360.0 / BEARINGS):
            degrees = ring * within / METRES_A_DEGREE
            up, across = degrees * np.cos(bearing), degrees * np.sin(bearing) / narrower
            if not any_country_within(latitude + up, longitude + across, INLAND):
                return True
    return False
