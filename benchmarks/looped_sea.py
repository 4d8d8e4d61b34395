"""The sea through the hours in plain Python: one sector after the other, by the printed laws."""

from __future__ import annotations

import math
from collections.abc import Sequence

from safety_check.physics.decay import DISSIPATION, GROWN_STEEPNESS, MEAN_PERIOD
from safety_check.physics.waves import FAINTEST_WIND, GRAVITY, HEIGHT, PERIOD

HOUR = 3600.0
SPREAD = 6.0
GLANCING = 1e-6
STRAIGHT_WATER = 20_000.0


def looped_sea(
    wind: Sequence[float], direction: Sequence[float], water: Sequence[float]
) -> list[float]:
    """Return the height that the hours before leave and this hour's wind raises, deep water [m].

    Parameters
    ----------
    wind, direction
        By stress, of each hour. [m s⁻¹, deg true]
    water
        Open water of each sector. [m]
    """
    heights = []
    spread: list[float] | None = None
    straight: list[float] | None = None
    for speed, facing in zip(wind, direction, strict=True):
        along = [_along(360 / len(water) * sector - facing) for sector in range(len(water))]
        spread = [
            _hour(None if spread is None else spread[s], speed, cos**2, cos, cos * far, far)
            for s, (cos, far) in enumerate(zip(along, water, strict=True))
        ]
        near = [min(far, STRAIGHT_WATER) for far in water]
        straight = [
            _hour(None if straight is None else straight[s], speed * cos, 1.0, 1.0, far, far)
            for s, (cos, far) in enumerate(zip(along, near, strict=True))
        ]
        heights.append(math.sqrt(max(sum(spread) / SPREAD, *straight)))
    return heights


def _along(off: float) -> float:
    return max(math.cos(math.radians(off)), GLANCING)


def _hour(
    energy: float | None, wind: float, share: float, moved: float, length: float, water: float
) -> float:
    """Return a sector's energy after an hour."""
    if energy is None:
        energy = share * _height(wind, length) ** 2
    moving = max(wind, FAINTEST_WIND)
    ratio = math.sqrt(energy / share) * GRAVITY / (HEIGHT.full * moving**2)
    reached = ratio ** (1 / HEIGHT.power)
    far = length
    if reached < 1:
        stage = (math.atanh(reached) / HEIGHT.fetch_factor) ** (1 / HEIGHT.fetch_power)
        left = 1 - PERIOD.fetch_power * PERIOD.power
        pace = PERIOD.full * PERIOD.fetch_factor**PERIOD.power / (4 * math.pi) * GRAVITY / moving
        stage = (stage**left + left * pace * HOUR * moved) ** (1 / left)
        far = min(stage * moving**2 / GRAVITY, length)
    return max(share * _height(wind, far) ** 2, _left(energy, water))


def _height(wind: float, fetch: float) -> float:
    moving = max(wind, FAINTEST_WIND)
    stage = HEIGHT.fetch_factor * (GRAVITY * fetch / moving**2) ** HEIGHT.fetch_power
    return HEIGHT.full / GRAVITY * wind**2 * math.pow(math.tanh(stage), HEIGHT.power)


def _left(energy: float, water: float) -> float:
    period = math.sqrt(2 * math.pi * math.sqrt(energy) / (GRAVITY * GROWN_STEEPNESS))
    run = GRAVITY * period / (4 * math.pi) * HOUR
    frequency = 2 * math.pi / (MEAN_PERIOD * max(period, 0.1))
    staying = 1 / (1 + run / (4 * max(water, 1.0))) ** 4
    return energy * staying * math.exp(-DISSIPATION * frequency * HOUR)
