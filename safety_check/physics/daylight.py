"""Altitude of the sun, sunrise, sunset, twilight, and the time until dark.

Instants are compared, never clock dates: far north a June sunset falls on the next day.
"""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache

import numpy as np
from astral.julian import julianday, julianday_to_juliancentury
from astral.sun import eq_of_time, sun_declination

from safety_check.arrays import FloatArray, TimeArray

HORIZON = -50 / 60
"""Altitude of the sun's centre at sunrise and sunset [deg]: refraction 34', semidiameter 16'."""

CIVIL_TWILIGHT = -6.0
"""Altitude of the sun's centre where civil twilight ends [deg]."""

MINUTE = np.timedelta64(60, "s")
LOOK = 20
"""Minutes between looks for a rise or set. [1]"""

GRAZING = 0.1
"""Between two looks the sun departs from the nearer one's altitude by less where it turns [deg]:
it moves 15° an hour at most, so at most 15² · π/180 / 2 · (1/6)² = 0.055°."""

DAY = np.timedelta64(86_400, "s")
ALMANAC_STEP = 21_600.0


def solar_elevation(latitude: float, longitude: float, times: TimeArray) -> FloatArray:
    """Altitude of the sun's centre above a level horizon, without refraction.

    Parameters
    ----------
    latitude, longitude
        WGS84, east positive. [deg]
    times : array of any shape
        Instants UTC. [datetime64]

    Returns
    -------
    array, shape of times
        Altitude [deg]; NaN for NaT, and everywhere if the coordinates are not valid.

    Notes
    -----
    Astral gives declination and equation of time every six hours; between these both
    are interpolated, to within 0.0001 degree. Good to half a minute of time up to latitude 60
    in the years 1901 to 2099; hills and trees are not known here.

    References
    ----------
    .. [Meeus1998] Meeus, Astronomical Algorithms, 2nd ed., ch. 25 and 28, the
       low-precision form that NOAA's solar calculator uses (from memory, not read).

    Examples
    --------
    >>> noon = np.array(["2026-06-21T12:00"], dtype="datetime64[s]")
    >>> solar_elevation(45.0, 0.0, noon).round(1)
    array([68.4])
    """
    seconds = _seconds(times)
    hour_angle, declination = _sun(longitude, seconds)
    phi = np.radians(latitude if abs(latitude) <= 90 else np.nan)
    pole = np.sin(phi) * np.sin(declination)
    equator = np.cos(phi) * np.cos(declination)
    sine: FloatArray = pole + equator * np.cos(hour_angle)
    altitude: FloatArray = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
    return altitude


def time_to_dark(
    latitude: float, longitude: float, times: TimeArray, altitude: float = HORIZON
) -> FloatArray:
    """How long the sun stays up: time until it next sets below an altitude.

    Parameters
    ----------
    latitude, longitude
        WGS84, east positive. [deg]
    times : array of any shape
        Instants UTC. [datetime64]
    altitude
        `HORIZON` for the time to sunset, `CIVIL_TWILIGHT` for the time to civil dusk,
        which is what is left where the sun never rises. [deg]

    Returns
    -------
    array, shape of times
        [s]; infinite where the sun stays up for two days more. In the dark, minus the
        time since it set; minus infinity where it has not been up for two days.
        NaN for NaT, and everywhere if the coordinates are not valid.

    References
    ----------
    .. [USNO1990] US Naval Observatory, Almanac for Computers, 1990: sunrise and sunset at
       -50', civil twilight at -6 degrees.

    Examples
    --------
    >>> evening = np.array(["2026-06-21T19:20", "2026-06-21T20:20"], dtype="datetime64[s]")
    >>> time_to_dark(45.0, 0.0, evening)
    array([ 1824., -1776.])
    """
    seconds = _seconds(times)
    known = np.isfinite(seconds) & (abs(latitude) <= 90) & (abs(longitude) <= 180)
    if not known.any():
        return np.full(seconds.shape, np.nan)
    first = np.min(np.asarray(times)[known]).astype("datetime64[s]") - 2 * DAY
    last = np.max(np.asarray(times)[known]).astype("datetime64[s]") + 2 * DAY
    rises, sets = map(_seconds, crossings(latitude, longitude, first, last, altitude))
    # Counting events, not looking at the altitude, keeps the second of sunset itself consistent.
    risen = np.searchsorted(rises, seconds, side="right")
    sunk = np.searchsorted(sets, seconds, side="left")
    up = (solar_elevation(latitude, longitude, first) >= altitude) + risen - sunk > 0
    bounds = np.concatenate([[-np.inf], sets, [np.inf]])
    past = np.searchsorted(sets, seconds, side="right")
    left = np.where(up, bounds[sunk + 1], bounds[past]) - np.where(known, seconds, 0.0)
    return np.where(known, left, np.nan)


@lru_cache(maxsize=16)  # the same days are asked for each part of an hour
def crossings(
    latitude: float, longitude: float, start: np.datetime64, end: np.datetime64, altitude: float
) -> tuple[TimeArray, TimeArray]:
    """Instants at which the sun's centre rises above and sets below an altitude.

    Parameters
    ----------
    latitude, longitude
        WGS84, east positive. [deg]
    start, end
        Where to look, UTC.
    altitude
        Of the sun's centre, without refraction. [deg]

    Returns
    -------
    rises, sets : array (event,)
        Ascending, rounded to the second; empty where there are none, or the coordinates are
        not valid.

    References
    ----------
    .. [USNO1990] US Naval Observatory, Almanac for Computers, 1990: altitudes that define
       the events.

    Examples
    --------
    >>> day = np.array(["2026-03-20T00:00", "2026-03-21T00:00"], dtype="datetime64[s]")
    >>> crossings(45.0, 0.0, *day, HORIZON)[0]
    array(['2026-03-20T06:03:21'], dtype='datetime64[s]')
    """
    times = _minutes_near(latitude, longitude, start, end, altitude)
    above, later = (
        solar_elevation(latitude, longitude, at) - altitude for at in (times, times + MINUTE)
    )
    step = np.flatnonzero((above < 0) != (later < 0))
    share = above[step] / (above[step] - later[step])
    instants = times[step] + np.rint(60 * share).astype("timedelta64[s]")
    rising = above[step] < 0
    rises, sets = instants[rising], instants[~rising]
    for instants in (rises, sets):
        instants.flags.writeable = False  # they are kept for the next call
    return rises, sets


def _sun(longitude: float, seconds: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Hour angle and declination in radians."""
    known = seconds[np.isfinite(seconds)]
    if not known.size or not abs(longitude) <= 180:
        return np.full(seconds.shape, np.nan), np.full(seconds.shape, np.nan)
    first, last = np.floor(known.min() / ALMANAC_STEP), np.ceil(known.max() / ALMANAC_STEP)
    almanac = np.arange(first, last + 1) * ALMANAC_STEP
    declinations, equations = zip(*map(_almanac_entry, almanac.tolist()), strict=True)
    declination = np.interp(seconds, almanac, declinations)
    minutes = np.interp(seconds, almanac, equations)
    solar_time = seconds / 240 + minutes / 4 + longitude
    return np.radians(solar_time % 360 - 180), np.radians(declination)


@lru_cache(maxsize=4096)  # two years; every site of a block asks for the same days
def _almanac_entry(instant: float) -> tuple[float, float]:
    """Declination in degrees and equation of time in minutes, at seconds since 1970."""
    century = _julian_century(instant)
    return sun_declination(century), eq_of_time(century)


def _julian_century(seconds: float) -> float:
    return julianday_to_juliancentury(julianday(datetime.fromtimestamp(seconds, UTC)))


def _seconds(times: TimeArray) -> FloatArray:
    """Seconds since 1970; NaN for NaT."""
    whole = np.asarray(times).astype("datetime64[s]")
    return np.where(np.isnat(whole), np.nan, whole.astype(np.int64).astype(float))


def _minutes_near(
    latitude: float, longitude: float, start: np.datetime64, end: np.datetime64, altitude: float
) -> TimeArray:
    """Minutes from start to end in which the sun may pass an altitude."""
    looks = np.arange(start, end + LOOK * MINUTE, LOOK * MINUTE).astype("datetime64[s]")
    above = solar_elevation(latitude, longitude, looks) - altitude
    near = ((above[:-1] < 0) != (above[1:] < 0)) | (
        np.abs([above[:-1], above[1:]]).min(0) < GRAZING
    )
    minutes: TimeArray = np.add.outer(looks[:-1][near], np.arange(LOOK) * MINUTE).ravel()
    return minutes[minutes < end]
