"""Speed of a craft in wind and waves, and the wind in which it makes no headway."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.current import CurrentOnCourse
from safety_check.physics.drive import AIR_DENSITY, Drive
from safety_check.physics.wind import BEAUFORT_EDGES, wind_at_height

BODY_HEIGHT = 1.0
"""Height at which the wind acts on craft and paddler. [m]"""

WAVES_BY_WIND = (float(BEAUFORT_EDGES[2]), float(BEAUFORT_EDGES[3]))
"""Winds between which the waves come to count: the lower ends of Beaufort 3 and 4. [m s⁻¹]"""

WAVES_BY_HEIGHT = (0.1, 0.3)
"""The same as significant wave heights (judgement). [m]"""

IN_WAVES = 0.8
"""Speed left from there on (judgement; 10-30 % lost in chop). [1]"""

SIDEWAYS_DRIFT = 0.03
"""Leeway of a craft under way over the wind abeam (judgement, 3 to 4.5 % when stopped). [1]"""

SURFACE_CURRENT = 0.02
"""Wind-driven current over the wind: the low end of 2 to 3 % (from memory, not read). [1]"""

BISECTIONS = 24
"""These leave a millionth of a metre per second."""

STRONGEST_KNOT = 20.0
"""Greatest wind at body height of the table of first guesses. [m s⁻¹]"""

KNOT = 0.25
"""Its step. [m s⁻¹]"""

NEWTON_STEPS = 2
"""From such a guess these settle all but one speed in a hundred in winds of 5 m/s in the mean, and
nine in ten in a gale."""

SETTLED = 1e-6
"""Where the last step was less, the speed is taken as found. [m s⁻¹]"""

BLOCK = 16_384
"""Speeds found at once; this many fit into the processor's cache. [1]"""


def speed_through_water(
    wind_speed: FloatArray, wind_from_direction: FloatArray, course: FloatArray, drive: Drive
) -> FloatArray:
    """Speed at which hull drag and wind drag balance the thrust, on flat water.

    Parameters
    ----------
    wind_speed : array, such as (member, hour, leg)
        Ten metres up. [m s⁻¹]
    wind_from_direction, course : array, broadcast against wind_speed
        Where the wind comes from, where the craft goes to. [deg true]
    drive
        Power, thrust and drag of the craft.

    Returns
    -------
    array
        [m s⁻¹], negative where the craft is blown back: then the sign matters, not the
        number, since a craft that loses headway turns its side to the wind. NaN where
        an input is unknown or the drive is not valid.

    Notes
    -----
    k v|v| + ρ/2 CdA (u + v) |w| = min(P / v, T): u is the wind against the course at body
    height, |w| the whole wind that the moving craft feels. The left side rises with v and
    the right falls, so there is one root. Newton's steps lead to it from a table of roots of
    the same craft; where they have not settled, it is bisected. Without the cap T the
    equation would never give "no headway".

    References
    ----------
    .. [HullTables] Hull and air drag as in `drive.cruise_power`; that a paddler keeps up
       about 22 N for long is second-hand, from a club's forum.

    Examples
    --------
    >>> sit_on_top = Drive(9.387, 4.5, 0.50, 22.0)
    >>> north = np.array(0.0)
    >>> speed_through_water(np.array([0.0, 5.0, 8.0, 12.0]), north, north, sit_on_top).round(2)
    array([ 1.25,  0.88,  0.58, -0.63])
    """
    return _balance(*against_and_abeam(wind_speed, wind_from_direction, course), drive)


def speed_made_good(
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    course: FloatArray,
    drive: Drive,
    left_by_waves: FloatArray | float = 1.0,
    current: CurrentOnCourse | None = None,
) -> FloatArray:
    """Speed over the ground along the course, with waves, leeway and current.

    Parameters
    ----------
    wind_speed : array, such as (member, hour, leg)
        Ten metres up. [m s⁻¹]
    wind_from_direction, course : array, broadcast against wind_speed
        Where the wind comes from, where the craft has to go. [deg true]
    drive
        Power, thrust and drag of the craft.
    left_by_waves : array, broadcast against wind_speed
        Share of its speed that is left at most by waves other than those of this wind. [1]
    current : arrays, broadcast against wind_speed
        Tidal or river current as the course meets it; None on still water. [m s⁻¹]

    Returns
    -------
    array
        [m s⁻¹]; zero or less without headway; NaN as in `speed_through_water`.

    Notes
    -----
    The waves slow the craft as in `wave_factor`. To stay on the course the bow points into the
    wind to make up for the leeway, and the rest of the speed is the other side of that triangle.
    The wind-driven current counts where it is against the craft, and is ignored where it would
    help. A tidal or river current sets the craft aside like its leeway, and the two are added
    whatever their sides, so that more current across is never better; along the course it adds
    to the rest. Fatigue and yaw slow a craft further and are not included.

    References
    ----------
    .. [HullTables] As in `speed_through_water`; the loss by waves and leeway is judgement.

    Examples
    --------
    >>> sit_on_top = Drive(9.387, 4.5, 0.50, 22.0)
    >>> wind, north = np.array([8.0, 8.0, 8.0]), np.array(0.0)
    >>> speed_made_good(wind, np.array([0.0, 90.0, 180.0]), north, sit_on_top).round(2)
    array([0.31, 0.89, 1.32])

    In calm air against half a metre a second, and across it.

    >>> met = CurrentOnCourse(np.array([-0.5, 0.0]), np.array([0.0, 0.5]))
    >>> speed_made_good(np.zeros(2), north, north, sit_on_top, current=met).round(2)
    array([0.75, 1.15])
    """
    v = speed_through_water(wind_speed, wind_from_direction, course, drive)
    along, across = _along_and_across(wind_from_direction, course)
    kept_in_waves = np.minimum(wave_factor(wind_speed), left_by_waves)
    v = np.where(v > 0, v * kept_in_waves, v)
    aside = SIDEWAYS_DRIFT * wind_speed * across
    if current is not None:
        aside = np.abs(aside) + np.abs(current.across)
    kept = v * np.abs(v) - aside**2
    driven = SURFACE_CURRENT * wind_speed * np.maximum(along, 0.0)
    made_good = np.sign(kept) * np.sqrt(np.abs(kept)) - driven
    return made_good if current is None else made_good + current.along


def wave_factor(wind_speed: FloatArray) -> FloatArray:
    """Share of its flat-water speed that a craft keeps in the waves of a wind.

    Parameters
    ----------
    wind_speed : array of any shape
        Ten metres up. [m s⁻¹]

    Returns
    -------
    array
        1 up to Beaufort 3, falling evenly to 0.8 at Beaufort 4 and above [1]; NaN where the
        wind is NaN or negative.

    Notes
    -----
    Steep chop against the bow costs 10 to 30 % of the speed (from memory, not read); 0.8 is
    judgement. Crests begin to break in Beaufort 3 (WMO-No. 306, code table 1100).

    Examples
    --------
    >>> wave_factor(np.array([3.4, 4.45, 5.5, np.nan]))
    array([1. , 0.9, 0.8, nan])
    """
    return _graded(wind_speed, WAVES_BY_WIND)


def speed_left_in_waves(height: FloatArray) -> FloatArray:
    """Share of its flat-water speed that a craft keeps in observed waves.

    Parameters
    ----------
    height : array of any shape
        Significant. [m]

    Returns
    -------
    array
        1 up to 0.1 m, falling evenly to 0.8 at 0.3 m and above [1]; NaN where the height is
        NaN or negative.

    Notes
    -----
    The loss is as in `wave_factor`. It begins at wavelets, and is full at the waves that boats of
    design category D are built for (Directive 2013/53/EU, annex I); both ends are judgement.

    Examples
    --------
    >>> speed_left_in_waves(np.array([0.1, 0.2, 0.6])).round(2)
    array([1. , 0.9, 0.8])
    """
    return _graded(height, WAVES_BY_HEIGHT)


def _graded(value: FloatArray, ends: tuple[float, float]) -> FloatArray:
    """Share of the speed left, falling evenly between two values of what slows the craft."""
    taken = np.clip((value - ends[0]) / (ends[1] - ends[0]), 0.0, 1.0)
    return np.where(value >= 0, 1 - (1 - IN_WAVES) * taken, np.nan)


def hold_station_wind(drive: Drive) -> float:
    """Head wind in which the craft stands still.

    Returns
    -------
    float
        Ten metres up [m s⁻¹]; infinite for a craft that catches no wind, NaN where the drive is
        not valid.

    Notes
    -----
    Near it speed falls steeply: above four fifths of it a craft may not get back (judgement).

    References
    ----------
    .. [HullTables] Air drag as in `drive.cruise_power`; u from `wind.wind_at_height`.

    Examples
    --------
    >>> round(hold_station_wind(Drive(9.387, 4.5, 0.50, 22.0)), 1)
    10.8
    """
    if not drive.able:
        return np.nan
    if drive.drag_area == 0:
        return np.inf
    at_body = np.sqrt(2 * drive.greatest_thrust / (AIR_DENSITY * drive.drag_area))
    return float(at_body / wind_at_height(np.array(1.0), BODY_HEIGHT))


@lru_cache(maxsize=8)
def headway_wind(drive: Drive) -> float:
    """Head wind in which the craft makes no headway over the ground.

    Returns
    -------
    float
        Ten metres up [m s⁻¹]; infinite for a craft that catches no wind, NaN where the drive is
        not valid.

    Notes
    -----
    Where `speed_made_good` is zero. The wind-driven current is included, so this is a little less
    than `hold_station_wind`.

    References
    ----------
    .. [HullTables] As in `speed_made_good`.

    Examples
    --------
    >>> round(headway_wind(Drive(9.387, 4.5, 0.50, 22.0)), 1)
    10.4
    """
    highest = hold_station_wind(drive)
    if not np.isfinite(highest):
        return highest
    lowest, ahead = 0.0, np.zeros(1)
    for _ in range(BISECTIONS):
        middle = (lowest + highest) / 2
        gains = speed_made_good(np.array([middle]), ahead, ahead, drive)[0] > 0
        lowest, highest = (middle, highest) if gains else (lowest, middle)
    return lowest


def against_and_abeam(
    wind_speed: FloatArray, wind_from_direction: FloatArray, course: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Wind at body height, split along the course.

    Parameters
    ----------
    wind_speed : array of any shape
        Ten metres up. [m s⁻¹]
    wind_from_direction, course : array, broadcast against wind_speed
        Where the wind comes from, where the craft goes to. [deg true]

    Returns
    -------
    against, abeam : array
        [m s⁻¹]; against is negative where it pushes. NaN where an input is NaN.

    References
    ----------
    .. [Wieringa1992] The logarithmic profile of `wind.wind_at_height`.

    Examples
    --------
    >>> east_wind, south = np.array(90.0), np.array(180.0)
    >>> [part.round(2).item() for part in against_and_abeam(np.array(10.0), east_wind, south)]
    [0.0, -7.87]
    """
    wind = wind_at_height(wind_speed, BODY_HEIGHT)
    along, across = _along_and_across(wind_from_direction, course)
    return wind * along, wind * across


def _along_and_across(
    wind_from_direction: FloatArray, course: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the shares of a wind against the course and across it.

    By the sums of angles: many winds meet many courses, and each has one sine and cosine.
    """
    facing, going = np.radians(wind_from_direction), np.radians(course)
    north, east = np.cos(facing), np.sin(facing)
    ahead, aside = np.cos(going), np.sin(going)
    return north * ahead + east * aside, east * ahead - north * aside


def _balance(against: FloatArray, abeam: FloatArray, drive: Drive) -> FloatArray:
    """Root of drag minus thrust; each value is found by itself, whatever stands beside it."""
    if not drive.able:
        return np.full(against.shape, np.nan)
    blocks = np.nditer(
        [against, abeam, None],
        flags=["external_loop", "buffered", "zerosize_ok"],
        op_flags=[["readonly"], ["readonly"], ["writeonly", "allocate"]],
        buffersize=BLOCK,
    )
    with blocks:
        for u, c, v in blocks:
            v[...] = _newton(u, c, drive)
        against, abeam, speed = blocks.operands
    unsettled = np.isnan(speed) & np.isfinite(against + abeam)
    if unsettled.any():
        speed[unsettled] = _bisected(against[unsettled], abeam[unsettled], drive)
    return speed


def _newton(against: FloatArray, abeam: FloatArray, drive: Drive) -> FloatArray:
    """Root of drag minus thrust; NaN where the steps have not settled."""
    v = _first_guess(against, abeam, drive)
    step = v
    for _ in range(NEWTON_STEPS):
        step = _newton_step(v, against, abeam, drive)
        v -= step
    settled = (np.abs(step) < SETTLED) & (v >= -np.maximum(against, 0.0))
    return np.where(settled, v, np.nan)


def _newton_step(v: FloatArray, against: FloatArray, abeam: FloatArray, drive: Drive) -> FloatArray:
    """Return drag minus thrust over its slope, in m s⁻¹."""
    area = 0.5 * AIR_DENSITY * drive.drag_area
    along = against + v
    felt = np.sqrt(along * along + abeam * abeam)
    pushed = np.maximum(v, drive.power / drive.greatest_thrust)
    thrust = drive.power / pushed
    hull = drive.hull_drag * np.abs(v)
    slope = 2 * hull + area * (felt + along * along / np.maximum(felt, 1e-9))
    slope += np.where(pushed == v, thrust / pushed, 0.0)
    over: FloatArray = hull * v + area * along * felt - thrust
    over /= np.maximum(slope, 1e-9)
    return over


def _first_guess(against: FloatArray, abeam: FloatArray, drive: Drive) -> FloatArray:
    """Speed between the knots of the table; NaN where a wind is not known."""
    table = _speeds(drive)
    rows, columns = (np.array(table.shape) - 2).tolist()
    row = np.clip((against + STRONGEST_KNOT) / KNOT, 0.0, rows + 1)
    column = np.minimum(np.abs(abeam) / KNOT, columns + 1)
    with np.errstate(invalid="ignore"):
        at = np.clip(row.astype(np.int64), 0, rows), np.clip(column.astype(np.int64), 0, columns)
    down, right = row - at[0], column - at[1]
    corner = at[0] * table.shape[1] + at[1]
    flat = table.ravel()
    upper = _between(flat.take(corner), flat.take(corner + 1), right)
    corner += table.shape[1]
    lower = _between(flat.take(corner), flat.take(corner + 1), right)
    return _between(upper, lower, down)


def _between(one: FloatArray, other: FloatArray, share: FloatArray) -> FloatArray:
    """Return the value at a share of the way from one to the other."""
    return one + share * (other - one)


@lru_cache(maxsize=8)
def _speeds(drive: Drive) -> FloatArray:
    """Speeds of a craft by wind against and abeam at body height, (against, abeam) [m s⁻¹]."""
    knots = np.arange(-STRONGEST_KNOT, STRONGEST_KNOT + KNOT / 2, KNOT)
    against, abeam = np.meshgrid(knots, knots[knots >= 0], indexing="ij")
    return _bisected(against, abeam, drive)


def _bisected(against: FloatArray, abeam: FloatArray, drive: Drive) -> FloatArray:
    """Root of drag minus thrust, between drifting with the wind and the speed at full thrust."""
    area = 0.5 * AIR_DENSITY * drive.drag_area
    slowest = drive.power / drive.greatest_thrust
    v = -np.maximum(against, 0.0)
    step = np.abs(against) + np.sqrt(drive.greatest_thrust / drive.hull_drag)
    for _ in range(BISECTIONS):
        step = step / 2
        faster = v + step
        along = against + faster
        drag = drive.hull_drag * faster * np.abs(faster)
        drag += area * along * np.sqrt(along * along + abeam * abeam)
        v = np.where(drag < drive.power / np.maximum(faster, slowest), faster, v)
    return np.where(np.isfinite(against + abeam), v, np.nan)
