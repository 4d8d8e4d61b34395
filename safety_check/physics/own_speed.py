"""Cruise speed and wind drag of a person, fitted to the speeds of a track in a known wind."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.drive import Drive, cruising
from safety_check.physics.paddling import speed_made_good

CRUISES = np.linspace(0.3, 2.0, 24)  # times the craft's own
AREAS = np.geomspace(0.4, 2.5, 16)
WINDS = np.arange(0.0, 20.0, 0.1)  # m/s
AGAINST, WITH = 0.4, -0.4  # a track must contain courses with these cosines to the wind


@dataclass(frozen=True)
class OwnSpeed:
    """The result of a track: the best fit, and the worst that fits about as well.

    Parameters
    ----------
    best, worst
        Power, thrust and drag of the craft.
    cruise_speed, least_cruise_speed
        In calm water, of the best and the slowest fit. [m s⁻¹]
    misfit
        Root mean square of the speeds' differences from the best fit. [m s⁻¹]
    """

    best: Drive
    worst: Drive
    cruise_speed: float
    least_cruise_speed: float
    misfit: float


def fit_own_speed(
    speed: FloatArray,
    course: FloatArray,
    wind_speed: float,
    wind_from_direction: float,
    cruise_speed: float,
    craft: Drive,
) -> OwnSpeed:
    """Fit cruise speed and drag in the wind to the speeds of a track.

    Parameters
    ----------
    speed, course : arrays (stretch,)
        Over the ground. [m s⁻¹, deg true]
    wind_speed, wind_from_direction
        During the track. [m s⁻¹, deg true]
    cruise_speed
        The cruise speed of the craft as known so far; the search is around it. [m s⁻¹]
    craft
        Its hull drag and greatest thrust stay, since one track cannot determine them.

    Notes
    -----
    Least squares on a grid. A fit counts as about as good where its sum of squares is at most
    1 + 2 / (n - 2) times the least, two standard deviations of one figure for n independent
    stretches (derived here from the normal error model; no source).
    """
    tries = []
    for cruise, area in product(CRUISES * cruise_speed, AREAS * craft.drag_area):
        drive = cruising(float(cruise), craft.hull_drag, float(area), craft.greatest_thrust)
        drive = replace(drive, greatest_thrust=max(craft.greatest_thrust, drive.power / cruise))
        expected = speed_made_good(
            np.full(speed.shape, wind_speed), np.array(wind_from_direction), course, drive
        )
        tries.append((float(np.sum((speed - expected) ** 2)), float(cruise), drive))
    least = min(error for error, _, _ in tries)
    good = [attempt for attempt in tries if attempt[0] <= least * (1 + 2 / max(len(speed) - 2, 1))]
    best = min(tries, key=lambda attempt: attempt[0])
    worst = min(good, key=lambda attempt: wind_at_share_of_cruise(attempt[2], 0.5))
    slowest = min(cruise for _, cruise, _ in good)
    return OwnSpeed(best[2], worst[2], best[1], slowest, float(np.sqrt(least / len(speed))))


def wind_at_share_of_cruise(drive: Drive, share: float) -> float:
    """Return the head wind in which a craft makes a share of its speed in calm [m s⁻¹]."""
    made = speed_made_good(WINDS, np.zeros(()), np.zeros(()), drive)
    below = np.flatnonzero(made < share * made[0])
    return float(WINDS[below[0]]) if below.size else float(WINDS[-1])


def own_wind_limits(drive: Drive) -> tuple[float, float]:
    """Return the winds above which the way home is slow, and above which it is doubtful.

    Returns
    -------
    float, float
        Where a half and where a third of the speed in calm is left [m s⁻¹]: the shares that the
        default limits of each craft class rest on. Both are judgement.
    """
    return wind_at_share_of_cruise(drive, 1 / 2), wind_at_share_of_cruise(drive, 1 / 3)
