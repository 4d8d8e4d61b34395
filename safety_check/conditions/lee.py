"""The lee: the part of a water that stays below a wave height, and how far away it is."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, distinct
from safety_check.model.place import WholeWater
from safety_check.model.verdict import Shelter
from safety_check.physics.fetch import smoothed_fetch
from safety_check.physics.growth_through_hours import SHORT_WATER
from safety_check.physics.odds import SLACK
from safety_check.physics.shelter import exceeded, strongest_wind, winds_left
from safety_check.units import Preferences, compass, show, show_limit

HARDLY_ANY, NEARLY_ALL = 0.025, 0.975
DOUBT = 0.95  # a wind this near to the one that raises the height is not taken as too weak for it


@dataclass(frozen=True)
class Winds:
    """The winds of a span, hour by hour.

    Parameters
    ----------
    speed, direction : arrays (member, instant)
        At consecutive whole hours, those of the lead-in first; NaN where unknown.
        [m s⁻¹, deg true from]
    weights : array (member,)
        Sum 1.
    lead_in
        How many instants lie before the first hour that counts.
    sea : array (member, hour)
        The highest sea expected where the trip goes, whatever caused it, in each hour that
        counts; None where only the wind matters. [m]
    """

    speed: FloatArray
    direction: FloatArray
    weights: FloatArray
    lead_in: int = 0
    sea: FloatArray | None = None


@dataclass(frozen=True)
class Lee:
    """The sheltered part of a water.

    Parameters
    ----------
    sheltered : array (point,) of bool
        Which places of the water stay below the bound in every hour.
    share
        Of the water's area; NaN where the wind is not known in some hour. [1]
    bound
        The significant wave height that the waves stay below. [m]
    distance
        From the launch to the nearest such place in a straight line, 0 where the launch
        itself lies in the lee; infinite without any, NaN without a launch. [m]
    direction
        From the launch to it; NaN where it has none. [deg true]
    near : array (place,) of bool
        Which places near the trip stay below the bound; None where those were not looked at.
    """

    sheltered: BoolArray
    share: float
    bound: float
    distance: float
    direction: float
    near: BoolArray | None = None

    @property
    def shelter(self) -> Shelter | None:
        """The places; None where the wind is not known."""
        return None if math.isnan(self.share) else Shelter(self.sheltered, self.near)

    def words(self, preferences: Preferences) -> str:
        """Return one sentence for a person."""
        below = f"below {show_limit(self.bound, 'length', preferences.wave)}, where caution starts"
        if math.isnan(self.share):
            return "not known, since the wind is not known in every hour."
        if math.isinf(self.distance) or (math.isnan(self.distance) and self.share == 0):
            return f"no part of the water is sure to stay {below}."
        if self.share >= NEARLY_ALL:
            return f"nearly all of the water stays {below}."
        part = "very little" if self.share <= HARDLY_ANY else f"about {_twentieths(self.share)} %"
        return f"{part} of the water stays {below}{self._nearest(preferences)}."

    def _nearest(self, preferences: Preferences) -> str:
        if math.isnan(self.distance):
            return ""
        if self.distance == 0:
            return "; the launch lies in it"
        far = show(self.distance, "length", preferences.distance)
        return f"; the nearest is {far} {compass(self.direction)} of the launch, in a straight line"


def _twentieths(share: float) -> int:
    return 5 * round(20 * share)


def find_lee(
    water: WholeWater, winds: Winds, bound: float, tolerance: float, reach: FloatArray | None = None
) -> Lee:
    """Return where a water stays below a height of waves in every hour.

    Parameters
    ----------
    water
        All of it, and the launch.
    winds
        The winds of all members.
    bound
        Significant wave height that must not be reached. [m]
    tolerance
        The share of the weight at or above the bound that excludes an hour.
    reach : array (bearing,)
        The longest fetch where the trip goes, for the same bearings as the water's [m]; given
        together with `winds.sea`.

    Notes
    -----
    In each hour the winds at both its ends count, each as if it had blown long enough. On
    water longer than 5 km the remaining sea of the hours before counts too. Where the expected
    sea reaches the bound and the hour's wind is too weak to have raised it, the sea comes from
    elsewhere, and no place counts as sheltered from it.
    """
    spoilt = _spoilt(water, winds, bound)
    hours = spoilt[:-1] | spoilt[1:] if len(spoilt) > 1 else spoilt
    if winds.sea is not None and reach is not None:
        hours |= _from_elsewhere(water, winds, bound, reach)[:, :, None]
    weight = np.einsum("hmp,m->hp", hours, winds.weights)
    sheltered: BoolArray = np.all(weight < tolerance - SLACK, axis=0)
    unknown = winds.weights @ ~_known(winds)[:, winds.lead_in :] >= tolerance - SLACK
    share = float("nan") if unknown.any() else float(sheltered.mean())
    return Lee(sheltered, share, bound, *_nearest(water, sheltered))


def with_near(lee: Lee, water: WholeWater, near: WholeWater, close: Lee) -> Lee:
    """Return the lee of a water with that of its part around the trip, which is known better.

    Parameters
    ----------
    lee, water
        The lee of the whole water, and that water.
    close, near
        The lee of the part, and that part.
    """
    assert near.frame is not None
    assert water.launch is not None
    way = water.points - water.launch
    beyond = ~np.all((way >= near.frame.lowest) & (way <= near.frame.highest), axis=1)
    inside = np.all(
        (near.points >= near.frame.lowest) & (near.points <= near.frame.highest), axis=1
    )
    found = _nearest(near, close.sheltered & inside)
    if math.isinf(found[0]):
        found = _nearest(water, lee.sheltered & beyond)
    return replace(lee, distance=found[0], direction=found[1], near=close.sheltered)


def _known(winds: Winds) -> BoolArray:
    known: BoolArray = (winds.speed == 0) | np.isfinite(winds.speed + winds.direction)
    return known


def _spoilt(water: WholeWater, winds: Winds, bound: float) -> BoolArray:
    """Whether the wind of an instant reaches the bound, (instant, member, point)."""
    first, count = winds.lead_in, winds.speed.shape[1] - winds.lead_in
    strongest = _for_winds(water.smoothed, winds.direction, bound, water.depth)
    longest = float(water.smoothed.max())
    spoilt = np.zeros((count, len(winds.weights), len(water.points)), dtype=bool)
    least = strongest[strongest > 0].min(initial=np.inf)
    known, direction = _known(winds), winds.direction
    memory = first if longest > SHORT_WATER else 0
    for ago, left in enumerate(winds_left(winds.speed, longest, water.depth, memory)):
        blew = slice(first - ago, first - ago + count)
        speed = np.where(known | (ago == 0), left, 0.0)[:, blew]  # an unknown wind leaves no sea
        if ago == 0 or np.any(speed >= least):
            for at, wind in enumerate(zip(speed.T, direction[:, blew].T, strict=True)):
                spoilt[at] |= exceeded(strongest, *wind)
    return spoilt


def _for_winds(
    smoothed: FloatArray, direction: FloatArray, bound: float, depth: float
) -> FloatArray:
    """Return for each direction the wind up to which a place is calm; 0 where no wind blows."""
    step = 360 / len(smoothed)
    below = np.floor(direction[np.isfinite(direction)] % 360 / step).astype(np.int64)
    facing = distinct(np.concatenate([below, below + 1]) % len(smoothed))
    strongest = np.zeros_like(smoothed)
    strongest[facing] = strongest_wind(smoothed, facing, bound, depth)
    return strongest


def _from_elsewhere(water: WholeWater, winds: Winds, bound: float, reach: FloatArray) -> BoolArray:
    """Whether a sea from elsewhere reaches the bound where the trip goes, (hour, member)."""
    envelope = smoothed_fetch(reach, water.bearings)[:, None]
    strongest = DOUBT * _for_winds(envelope, winds.direction, bound, water.depth)
    speed, direction = (values[:, winds.lead_in :] for values in (winds.speed, winds.direction))
    raised = np.array(
        [exceeded(strongest, *wind)[:, 0] for wind in zip(speed.T, direction.T, strict=True)]
    )
    assert winds.sea is not None
    below = bound > winds.sea.T
    elsewhere: BoolArray = ~(below | raised[:-1] | raised[1:])
    return elsewhere


def _nearest(water: WholeWater, sheltered: BoolArray) -> tuple[float, float]:
    """Return distance and direction from the launch to the nearest sheltered place."""
    if water.launch is None:
        return float("nan"), float("nan")
    way = water.points[sheltered] - water.launch
    if not len(way):
        return float("inf"), float("nan")
    east, north = way[np.argmin(np.hypot(*way.T))]
    far = float(np.hypot(east, north))
    if far <= water.spacing:
        return 0.0, float("nan")
    return far, float(np.degrees(np.arctan2(east, north)) % 360)
