"""Waves on long water through the hours: growth, change of direction, and the remaining sea."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.physics.decay import old_sea_period
from safety_check.physics.off_wind import largest_sea, smoothed_radials
from safety_check.physics.sea_memory import GLANCING, FollowedSea, Sectors, follow_sea
from safety_check.physics.waves import (
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


def sea_through_hours(
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    bearing: FloatArray,
    fetch: FloatArray,
    depth: FloatArray | float = np.inf,
) -> Sea:
    """Sea hour by hour: the sea left from the hours before, and what this hour's wind adds.

    Parameters
    ----------
    wind_speed : array (..., member, hour)
        Wind 10 m above the water at consecutive whole hours; before the members may stand sites.
        [m s⁻¹]
    wind_from_direction : array (..., member, hour)
        [deg true]
    bearing, fetch : arrays (bearing,), (..., bearing)
        Directions and lengths of the radials, as in `smoothed_radials`. [deg true, m]
    depth : array (...)
        Of the whole water. [m]

    Returns
    -------
    Sea, arrays (..., member, hour)
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
    return _sea_of_sites(wind_speed, wind_from_direction, bearing, fetch, depth, each_sector=True)


def height_through_hours(
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    bearing: FloatArray,
    fetch: FloatArray,
    depth: FloatArray | float = np.inf,
) -> FloatArray:
    """Significant wave height hour by hour, without the period and direction of the sea.

    Parameters
    ----------
    wind_speed, wind_from_direction, bearing, fetch, depth : arrays
        As in `sea_through_hours`. [m s⁻¹, deg true, deg true, m, m]

    Returns
    -------
    array (..., member, hour)
        The height of `sea_through_hours`, to the last bit, in half of its time. [m]

    References
    ----------
    .. [Seymour1977] As in `sea_through_hours`.

    Examples
    --------
    >>> around, fetch = np.arange(0.0, 360.0, 45.0), np.full(8, 40e3)
    >>> height_through_hours(np.full((1, 2), 10.0), np.zeros((1, 2)), around, fetch).round(2)
    array([[1.09, 1.09]])
    """
    sea = _sea_of_sites(wind_speed, wind_from_direction, bearing, fetch, depth, each_sector=False)
    return sea.height


def _sea_of_sites(
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    bearing: FloatArray,
    fetch: FloatArray,
    depth: FloatArray | float,
    *,
    each_sector: bool,
) -> Sea:
    """Return the sea of all sites; those on short water need no look at the hours before."""
    *lead, members, hours = wind_speed.shape
    many = (math.prod(lead), members, hours)
    open_water = np.broadcast_to(fetch, (*lead, fetch.shape[-1])).reshape(many[0], -1)
    sites = _Sites(
        wind=wind_speed.reshape(many),
        direction=wind_from_direction.reshape(many),
        radials=smoothed_radials(bearing, open_water[..., None])[..., 0],
        depth=np.broadcast_to(np.asarray(depth, dtype=float), lead).reshape(-1),
        longest=np.max(np.where(np.isfinite(open_water), open_water, np.inf), axis=-1, initial=0.0),
    )
    sea = sites.largest(sites.wind, SHORT_WATER)
    remembers = sites.longest > SHORTEST_MEMORY
    if remembers.any():
        whole = _with_memory(sites.some(remembers), _some(sea, remembers), each_sector)
        for values, found in zip(_arrays(sea), _arrays(whole), strict=True):
            values[remembers] = found
    return Sea(*(values.reshape(wind_speed.shape) for values in _arrays(sea)))


class _Sites(NamedTuple):
    """Wind (site, member, hour), smoothed radials (site, 360), depth and longest radial (site,)."""

    wind: FloatArray
    direction: FloatArray
    radials: FloatArray
    depth: FloatArray
    longest: FloatArray

    def some(self, sites: BoolArray) -> _Sites:
        """Return some of the sites."""
        return _Sites(*(values[sites] for values in self))

    def largest(self, wind: FloatArray, most: float) -> Sea:
        """Return the largest sea of each hour's wind over the first `most` metres."""
        near = np.minimum(self.radials, most).T[:, :, None, None]
        return largest_sea(wind, self.direction, near, self.depth[:, None, None])


def _arrays(sea: Sea) -> tuple[FloatArray, FloatArray, FloatArray]:
    return sea.height, sea.period, sea.from_direction


def _some(sea: Sea, sites: BoolArray) -> Sea:
    return Sea(*(values[sites] for values in _arrays(sea)))


def _with_memory(sites: _Sites, this_hour: Sea, each_sector: bool) -> Sea:
    """Return the sea of this hour's wind and of the hours before, arrays (site, member, hour)."""
    known = np.isfinite(this_hour.height)
    given = _sectors(sites, known)
    followed = follow_sea(given, each_sector)
    now = _higher(
        this_hour, sites.largest(_steady_wind_that_counts(sites, this_hour), STRAIGHT_WATER)
    )
    spread, straight = _whole_seas(given, followed, known.shape)
    memory = np.minimum((sites.longest - SHORTEST_MEMORY) / (SHORT_WATER - SHORTEST_MEMORY), 1.0)
    return _faded(now, _higher(_higher(now, spread), straight), memory[:, None, None])


def _sectors(sites: _Sites, known: BoolArray) -> Sectors:
    """Return what a sea is followed in; the places are the members of each site."""
    wind = np.minimum(stress_wind(np.where(known, sites.wind, 0.0)), STRONGEST_WIND)
    facing = np.where(known & np.isfinite(sites.direction), sites.direction, 0.0)
    members, hours = known.shape[1:]
    water = np.repeat(sites.radials[:, SECTORS.astype(np.int64)], members, axis=0)
    return Sectors(
        wind=np.ascontiguousarray(wind.reshape(-1, hours).T),
        direction=np.ascontiguousarray(facing.reshape(-1, hours).T),
        known=known.reshape(-1, hours).T,
        sectors=SECTORS,
        water=water,
        near=np.minimum(water, STRAIGHT_WATER),
        depth=np.repeat(sites.depth, members),
    )


def _whole_seas(given: Sectors, followed: FollowedSea, shape: tuple[int, ...]) -> tuple[Sea, Sea]:
    """Return the spread and the straight sea; heights alone where no sectors are known."""

    def of_sites(values: FloatArray) -> FloatArray:
        return values.T.reshape(shape)

    spread, straight = (
        of_sites(np.sqrt(total)) for total in (followed.spread / SPREAD, followed.straight)
    )
    if followed.energy is None or followed.young is None:
        nothing = np.broadcast_to(np.nan, shape)
        return Sea(spread, nothing, nothing), Sea(straight, nothing, nothing)
    period = _period_of_strongest(given, followed.energy, followed.young)
    energy = followed.energy
    east, north = (energy[:, 0] @ part(np.radians(SECTORS)) for part in (np.sin, np.cos))
    facing = (np.degrees(np.arctan2(east, north)) % 360, SECTORS[energy[:, 1].argmax(axis=-1)])
    one, other = (
        Sea(height, of_sites(period[:, sea]), np.where(height > 0, of_sites(facing[sea]), np.nan))
        for sea, height in enumerate((spread, straight))
    )
    return one, other


def _period_of_strongest(given: Sectors, energy: FloatArray, young: BoolArray) -> FloatArray:
    """Return the peak period of the sector that holds most energy, (hour, sea, place) [s]."""
    strongest = energy.argmax(axis=-1)
    held, raised = (
        np.take_along_axis(values, strongest[..., None], axis=-1)[..., 0]
        for values in (energy, young)
    )
    off = np.radians(SECTORS[strongest] - given.direction[:, None])
    along = np.maximum(np.cos(off), GLANCING)
    is_spread = np.array([True, False])[:, None]
    share = np.where(is_spread, along**2, 1.0)
    wind = np.where(is_spread, 1.0, along) * given.wind[:, None]
    place = np.arange(strongest.shape[-1])
    water = np.where(is_spread, along * given.water[place, strongest], given.near[place, strongest])
    reached = np.minimum(equivalent_fetch(np.sqrt(held / share), wind, given.depth), water)
    of_this_wind = peak_period(wind, reached, given.depth)
    return np.where(raised, of_this_wind, old_sea_period(np.asarray(held)))


def _steady_wind_that_counts(sites: _Sites, this_hour: Sea) -> FloatArray:
    """Return the steady wind, 0 where even the longest radial straight ahead would raise less."""
    steady = _steady_wind(sites.wind, sites.direction)
    longest, depth = np.minimum(sites.longest, STRAIGHT_WATER), sites.depth
    most = significant_height(steady, longest[:, None, None], depth[:, None, None])
    return np.where(most * (1 + 1e-9) > this_hour.height, steady, 0.0)


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


def _faded(now: Sea, whole: Sea, share: FloatArray) -> Sea:
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
