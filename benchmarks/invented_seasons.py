"""Invented winds of several climates, for seasons that none of our buoy files has.

Each climate has its own course of the day, gustiness, and change of the weather from day to day.
The numbers are invented; they are round, and no limit was looked at when they were chosen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from benchmarks.mornings import FIRST, SPAN, Mornings
from safety_check.arrays import FloatArray
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.errors import DataError

HOURS = 24
SEED = 20260621


@dataclass(frozen=True)
class Climate:
    """How the wind of an invented climate goes through the day, and from day to day.

    Parameters
    ----------
    by_day
        Hour of the local clock → the breeze that the day itself makes; straight between. [m s⁻¹]
    turns
        Hour → where that breeze comes from; it holds until the next. [deg true]
    passing, memory
        Mean wind of the passing weather [m s⁻¹], and how much of it is left a day later. [1]
    gustiness
        Gust over wind, the smallest and the largest. [1]
    """

    by_day: Mapping[int, float]
    turns: Mapping[int, float]
    passing: float
    memory: float
    gustiness: tuple[float, float]


CLIMATES = {
    "inland-summer": Climate(
        {0: 0.5, 6: 0.5, 10: 2.5, 14: 4.5, 18: 3.0, 21: 0.5, 24: 0.5},
        {0: 230},
        1.5,
        0.4,
        (1.5, 2.0),
    ),
    "sea-breeze": Climate(
        {0: 1.5, 6: 2.0, 8: 1.0, 11: 4.0, 15: 6.0, 19: 2.0, 24: 1.5},
        {0: 350, 9: 170, 20: 350},
        1.0,
        0.5,
        (1.2, 1.5),
    ),
    "valley": Climate(
        {0: 2.5, 7: 3.0, 9: 0.8, 12: 3.0, 16: 5.5, 19: 1.0, 24: 2.5},
        {0: 60, 9: 240, 19: 60},
        0.8,
        0.3,
        (1.3, 1.8),
    ),
    "trade-wind": Climate({0: 2.5, 6: 2.5, 14: 4.5, 24: 2.5}, {0: 90}, 1.5, 0.8, (1.2, 1.4)),
    "fronts": Climate({0: 0.0, 24: 0.0}, {0: 270}, 4.0, 0.6, (1.3, 1.7)),
}


def invented_mornings(days: int) -> Mornings:
    """Return the mornings of every climate, so many days of each; DataError where there is none."""
    if days < 1:
        raise DataError(f"--invented {days}: give at least 1 day.")
    found = [invented_season(name, days) for name in CLIMATES]
    names = tuple(name for season in found for name in season.name)
    winds = (
        np.concatenate([getattr(season, field) for season in found])
        for field in ("wind", "gust", "direction")
    )
    return Mornings(names, *winds)


def invented_season(name: str, days: int) -> Mornings:
    """Return so many mornings in a row of one climate, always the same ones.

    The breeze of the day and the passing weather are added as vectors.
    """
    climate = CLIMATES[name]
    chance = np.random.default_rng([SEED, list(CLIMATES).index(name)])
    clock = np.arange(float((days + 3) * HOURS))
    passing, turned = _passing(climate, clock, chance)
    breeze = _by_clock(climate.by_day, clock) * _held(chance.uniform(0.5, 1.4, days + 3))
    side = np.radians(_from(climate.turns, clock) + chance.normal(0, 10, len(clock)))
    east = breeze * np.sin(side) + passing * np.sin(turned)
    north = breeze * np.cos(side) + passing * np.cos(turned)
    wind = np.hypot(east, north)
    low, high = climate.gustiness
    gust = wind * chance.uniform(low, high, len(clock)) + 0.3  # m/s: calm air stirs too
    first = HOURS * np.arange(1, days + 1) + FIRST
    rows = first[:, None] + np.arange(-LEAD_IN, SPAN - LEAD_IN)
    direction = np.degrees(np.arctan2(east, north)) % 360
    return Mornings(
        tuple(f"{name} {day + 1}" for day in range(days)), wind[rows], gust[rows], direction[rows]
    )


def _passing(
    climate: Climate, clock: FloatArray, chance: np.random.Generator
) -> tuple[FloatArray, FloatArray]:
    """Return speed and direction (radians) of the weather that passes, hour by hour."""
    memory = climate.memory ** (1 / HOURS)
    parts = chance.normal(size=(2, len(clock))) * np.sqrt(1 - memory**2)
    for before, now in pairwise(range(len(clock))):
        parts[:, now] += memory * parts[:, before]
    speed = climate.passing * np.hypot(*parts) / np.sqrt(np.pi / 2)  # the mean of such a length
    return speed, np.arctan2(*parts)


def _by_clock(course: Mapping[int, float], clock: FloatArray) -> FloatArray:
    return np.interp(clock % HOURS, list(course), list(course.values()))


def _from(turns: Mapping[int, float], clock: FloatArray) -> FloatArray:
    at = np.searchsorted(list(turns), clock % HOURS, side="right") - 1
    return np.array(list(turns.values()), dtype=float)[at]


def _held(of_day: FloatArray) -> FloatArray:
    return np.repeat(of_day, HOURS)
