"""The signs that it is time to leave the water, from a verdict's own numbers."""

from __future__ import annotations

import math

import numpy as np

from safety_check.arrays import one_of
from safety_check.conditions.coefficients import Coefficients
from safety_check.conditions.drift import offshore_share
from safety_check.model.leave_signs import LeaveSigns
from safety_check.model.place import OpenWater
from safety_check.model.verdict import Verdict
from safety_check.physics.wind import beaufort_lower_edge

WIND, GUST = "wind_speed", "wind_speed_of_gust"
WAVE, FROM = "sea_surface_wave_significant_height", "wind_from_direction"
POINTS = np.arange(0.0, 360.0, 45.0)  # compass points, as people name them
HALF = 0.5  # share of a fully offshore wind
STOPS = 0.8  # of the wind in which the craft makes no headway: from there the way home is in doubt
WHITECAPS = float(beaufort_lower_edge(np.array(4.0)))  # as for observed whitecaps


def find_leave_signs(verdict: Verdict, water: OpenWater, coefficients: Coefficients) -> LeaveSigns:
    """Return the signs that mean on this trip: leave now.

    Parameters
    ----------
    verdict
        With the limits of its hours, and its advice.
    water
        The open water around the launch.
    coefficients
        How an offshore wind is graded.
    """
    home = verdict.advice.getting_home if verdict.advice else None
    doubtful = STOPS * home.stands_still if home else math.inf
    limit = _sign(verdict, WIND)
    wind = min(limit, doubtful) if math.isfinite(limit) else limit
    turn_back = home.turn_back if home else None
    by = verdict.advice.off_the_water_by if verdict.advice else None
    return LeaveSigns(
        wind=wind,
        gust=_sign(verdict, GUST),
        wave=_sign(verdict, WAVE),
        whitecaps=wind <= WHITECAPS,
        offshore=_offshore(verdict, water, coefficients),
        by=turn_back or by or verdict.plan.end,
        turn_back=turn_back is not None,
    )


def _sign(verdict: Verdict, quantity: str) -> float:
    """Return the lowest bound of the trip's hours that the forecasts themselves do not reach.

    Where the forecasts reach the caution, its NO-GO is the sign; NaN where no bound is known.
    """
    highest = [hour.shown[f"{quantity}_high"] for hour in verdict.hours]
    bounds = [hour.bounds[quantity] for hour in verdict.hours if quantity in hour.bounds]
    if not bounds:
        return math.nan
    caution, no_go = (min(level) for level in zip(*bounds, strict=True))
    reached = any(not value < caution for value in highest)
    sign = no_go if reached else caution
    return sign if math.isfinite(sign) else math.nan


def _offshore(verdict: Verdict, water: OpenWater, coefficients: Coefficients) -> tuple[float, ...]:
    share = np.broadcast_to(offshore_share(POINTS, water, coefficients), POINTS.shape)
    off = POINTS[share >= HALF]
    forecast = np.array([hour.shown[FROM] for hour in verdict.hours])
    points = (np.round(forecast[np.isfinite(forecast)] / 45) % 8) * 45
    if len(off) == len(POINTS) or one_of(points, off.tolist()).any():
        return ()
    return tuple(off.tolist())
