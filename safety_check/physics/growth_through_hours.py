"""Waves on long water through the hours: growth, change of direction, and the remaining sea."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.physics.decay import HOUR, left_after_an_hour, old_sea_period
from safety_check.physics.off_wind import largest_sea, smoothed_radials
from safety_check.physics.waves import (
    FAINTEST_WIND,
    GRAVITY,
    PERIOD,
    STRONGEST_WIND,
    Sea,
    equivalent_fetch,
    peak_period,
    significant_height,
)
from safety_check.physics.wind_stress import stress_wind

SHORT_WATER = 5_000.0
"""About as far as a sea grows in one hour; the first search goes no farther. [m]"""

SHORTEST_MEMORY = 2_500.0
"""Up to here the hours before do not count; from here to SHORT_WATER they fade in. [m]"""

STRAIGHT_WATER = 20_000.0
"""How far a radial counts, however narrow the water: the range of the law. [m]"""

STEADY_HOURS = 6
"""Hourly winds that span the five hours in which 3 m/s raises the sea of 20 km. [1]"""

SECTORS = np.arange(0.0, 360.0, 15.0)
"""Directions from which the sea is followed. [deg true]"""

SPREAD = 6.0
"""Sum of cos² over the sectors within 90° of any direction. [1]"""

GLANCING = 1e-6
"""Least cosine off the wind, used instead of 0. [1]"""


def sea_through_hours(
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    bearing: FloatArray,
    fetch: FloatArray,
    depth: float = np.inf,
) -> Sea:
    """Sea hour by hour: the sea left from the hours before, and what this hour's wind adds.

    Parameters
    ----------
    wind_speed : array (member, hour)
        Wind 10 m above the water at consecutive whole hours. [m s⁻¹]
    wind_from_direction : array (member, hour)
        [deg true]
    bearing, fetch : arrays (bearing,)
        Directions and lengths of the radials, as in `smoothed_radials`. [deg true, m]
    depth
        Of the whole water. [m]

    Returns
    -------
    Sea, arrays (member, hour)
        NaN as from `largest_sea`.

    Notes
    -----
    The highest of four:

    - the off-wind search over the first 5 km of each radial, with this hour's wind alone;
    - the same search over the first 20 km, with the wind that has blown from there for the
      last five hours without falling below it: in steady wind this is the growth law itself;
    - the same law by the wind's stress along each radial's first 20 km, by equivalent fetch
      through the hours;
    - a spread sea: each sector of 15° holds a share cos² φ of the energy that the wind would
      raise over R cos φ, the radial's length along the wind. So a straight shore gives exactly
      the law; a wide lake gives the mean of its radials' energy, not that of its longest ray.

    In each sector the equivalent fetch of the present sea under the present wind moves on
    with the group velocity of the peak. A sea higher than that is an old one and decays
    (`left_after_an_hour`). Sectors do not influence each other, so more wind in any hour, or
    more fetch, never gives a lower sea. Where the hours before are unknown, at the start and
    after a gap, the sea is taken as fully grown by the first known wind.

    Where all water is shorter than 2.5 km the first search alone decides; the part from the
    hours before fades in up to 5 km, so that there is no step at any length of water. In light
    wind the stress raises less than the law gives, and on large lakes a light wind seldom stays
    the same for hours; so the law by wind counts only where the wind was steady. On narrow water
    longer than 20 km this may be low, by a quarter at 40 km.

    References
    ----------
    .. [Seymour1977] Seymour, Estimating wave generation on restricted fetches, J. Waterway,
       Port, Coastal, Ocean Div. 103, 1977: energy by cos² over the radials (from memory,
       not read). The radial's projection on the wind is Saville's.
    .. [SPM1984] USACE, Shore Protection Manual, 1984, ch. 3: equivalent fetch from hour to
       hour (from memory, not read).

    Examples
    --------
    >>> around, fetch = np.arange(0.0, 360.0, 45.0), np.full(8, 40e3)
    >>> wind = np.array([[1.0, 10.0, 10.0, 1.0]])
    >>> sea_through_hours(wind, np.zeros((1, 4)), around, fetch).height.round(2)
    array([[0.02, 0.48, 0.72, 0.52]])
    """
    radials = smoothed_radials(bearing, fetch)
    this_hour = largest_sea(
        wind_speed, wind_from_direction, np.minimum(radials, SHORT_WATER), depth
    )
    longest = np.max(np.where(np.isfinite(fetch), fetch, np.inf), initial=0.0)
    if longest <= SHORTEST_MEMORY:
        return this_hour
    known = np.isfinite(this_hour.height)
    wind = np.minimum(stress_wind(np.where(known, wind_speed, 0.0)), STRONGEST_WIND)
    direction = np.where(known & np.isfinite(wind_from_direction), wind_from_direction, 0.0)
    water = radials[SECTORS.astype(np.int64)]
    spread, straight = _spread_and_straight(wind, direction, known, water, depth)
    steady = largest_sea(
        _steady_wind(wind_speed, wind_from_direction),
        wind_from_direction,
        np.minimum(radials, STRAIGHT_WATER),
        depth,
    )
    memory = min((longest - SHORTEST_MEMORY) / (SHORT_WATER - SHORTEST_MEMORY), 1.0)
    now = _higher(this_hour, steady)
    return _faded(now, _higher(_higher(now, spread), straight), memory)


def _steady_wind(wind_speed: FloatArray, wind_from_direction: FloatArray) -> FloatArray:
    """Least wind of the last hours along the present direction, without the unknown hours."""
    steady = wind_speed.copy()
    for hours in range(1, min(STEADY_HOURS, wind_speed.shape[-1])):
        turned = wind_from_direction[..., hours:] - wind_from_direction[..., :-hours]
        straight = np.cos(np.radians(np.where(np.isfinite(turned), turned, 0.0)))
        along = wind_speed[..., :-hours] * np.maximum(straight, 0.0)
        known = np.where(np.isnan(along), np.inf, along)
        steady[..., hours:] = np.minimum(steady[..., hours:], known)
    return steady


class _Forcing(NamedTuple):
    """The forcing of each sector, arrays (hour, member, sector), or with a sea axis before it."""

    wind: FloatArray
    share: FloatArray
    seconds: FloatArray
    along_wind: FloatArray


def _spread_and_straight(
    wind: FloatArray, direction: FloatArray, known: BoolArray, water: FloatArray, depth: float
) -> tuple[Sea, Sea]:
    """Return the spread sea and the straight one, followed through the hours together."""
    blowing, along = _hours_first(wind), _along_wind(direction)
    near, whole = np.minimum(water, STRAIGHT_WATER), np.ones_like(along)
    spread = _Forcing(blowing + 0 * along, along**2, along * HOUR, along * water)
    straight = _Forcing(blowing * along, whole, whole * HOUR, whole * near)
    both = _Forcing(*(np.stack(pair, axis=1) for pair in zip(spread, straight, strict=True)))
    energy, period = _follow(both, known, np.stack([water, near])[:, None], depth)
    return _spread_sea(energy[:, 0], period[:, 0]), _straight_sea(energy[:, 1], period[:, 1])


def _spread_sea(energy: FloatArray, period: FloatArray) -> Sea:
    angle = np.radians(SECTORS)
    mean = np.degrees(np.arctan2(energy @ np.sin(angle), energy @ np.cos(angle))) % 360
    return _sea(energy.sum(axis=-1) / SPREAD, energy, period, mean)


def _straight_sea(energy: FloatArray, period: FloatArray) -> Sea:
    return _sea(energy.max(axis=-1), energy, period, SECTORS[energy.argmax(axis=-1)])


def _hours_first(quantity: FloatArray) -> FloatArray:
    return np.moveaxis(quantity, -1, 0)[..., None]


def _along_wind(direction: FloatArray) -> FloatArray:
    off_wind = np.radians(SECTORS - _hours_first(direction))
    return np.maximum(np.cos(off_wind), GLANCING)


def _follow(
    forcing: _Forcing, known: BoolArray, water: FloatArray, depth: float
) -> tuple[FloatArray, FloatArray]:
    """Energy and period, shape of the forcing, each sector as if it held the whole sea."""
    grown = forcing.share * significant_height(forcing.wind, forcing.along_wind, depth) ** 2
    seen_before = np.moveaxis(known, -1, 0)[:-1, ..., None]
    energy, period = np.empty((2, *grown.shape))
    standing = grown[0]
    for hour, (wind, share, seconds, along_wind) in enumerate(zip(*forcing, strict=True)):
        if hour:
            standing = np.where(seen_before[hour - 1], standing, grown[hour])
        reached = equivalent_fetch(np.sqrt(standing / share), wind, depth)
        reached = np.minimum(_advanced(reached, wind, seconds), along_wind)
        raised = share * significant_height(wind, reached, depth) ** 2
        left = left_after_an_hour(standing, water)
        standing = np.maximum(raised, left)
        energy[hour] = standing
        young = peak_period(wind, reached, depth)
        period[hour] = np.where(raised >= left, young, old_sea_period(standing))
    return energy, period


def _advanced(fetch: FloatArray, wind_speed: FloatArray, seconds: FloatArray) -> FloatArray:
    """Move a fetch on at the group velocity of its peak, deep water, short of full growth."""
    moving = np.maximum(wind_speed, FAINTEST_WIND)
    growth = PERIOD.fetch_power * PERIOD.power
    pace = PERIOD.full * PERIOD.fetch_factor**PERIOD.power / (4 * np.pi) * GRAVITY / moving
    reached = (GRAVITY * fetch / moving**2) ** (1 - growth) + (1 - growth) * pace * seconds
    advanced: FloatArray = reached ** (1 / (1 - growth)) * moving**2 / GRAVITY
    return advanced


def _sea(
    total: FloatArray, energy: FloatArray, period: FloatArray, from_direction: FloatArray
) -> Sea:
    """Take the period of the sector that holds most energy; put the hours last again."""
    height = np.sqrt(total)
    strongest = np.expand_dims(energy.argmax(axis=-1), -1)
    peak = np.take_along_axis(period, strongest, axis=-1)[..., 0]
    facing = np.where(height > 0, from_direction, np.nan)
    return Sea(*(np.moveaxis(one, 0, -1) for one in (height, peak, facing)))


def _faded(now: Sea, whole: Sea, share: float) -> Sea:
    """Add a share of the height by which the whole sea exceeds that of this hour's wind."""
    height = now.height + share * (whole.height - now.height)
    return Sea(height, whole.period, whole.from_direction)


def _higher(one: Sea, other: Sea) -> Sea:
    """Choose the higher sea hour by hour; unknown in `one` stays unknown."""
    replaced = other.height > one.height
    return Sea(
        height=np.where(replaced, other.height, one.height),
        period=np.where(replaced, other.period, one.period),
        from_direction=np.where(replaced, other.from_direction, one.from_direction),
    )
