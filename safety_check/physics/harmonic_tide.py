"""Tide and tidal current from harmonic constants, by the conventions of the U.S. service."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from safety_check.arrays import FloatArray, TimeArray

CENTURY = 36_525.0
"""[days]"""

EPOCH = np.datetime64("1899-12-31T12:00:00", "s")
"""From which the mean longitudes of [SP1940] count."""

HOUR, DAY = np.timedelta64(3600, "s"), np.timedelta64(86_400, "s")


class Constituent(NamedTuple):
    """One constituent of the tide.

    Parameters
    ----------
    speed
        [deg h⁻¹]
    argument
        Multiples of the sun's hour angle and of the mean longitudes of moon, sun, lunar and solar
        perigee, and a constant [deg].
    node
        Multiples of xi, nu, nu', 2 nu'', R and Q.
    factors
        The node factors that are multiplied.
    """

    speed: float
    argument: tuple[float, ...]
    node: tuple[float, ...]
    factors: tuple[str, ...]


class Harmonic(NamedTuple):
    """A constituent at one station: amplitude [m or m s⁻¹] and Greenwich phase [deg]."""

    constituent: Constituent
    amplitude: float
    phase: float


def harmonic_series(time: TimeArray, harmonics: Sequence[Harmonic], mean: float) -> FloatArray:
    """Height of the tide, or speed of a current, from a station's harmonic constants.

    Parameters
    ----------
    time : array (instant,)
        UTC.
    harmonics
        The constants of the station.
    mean
        Mean level above the datum, or mean flow. [m or m s⁻¹]

    Returns
    -------
    array (instant,)
        [m or m s⁻¹]

    Notes
    -----
    h = Z0 + sum of f A cos(speed t + V0 + u - g), with V0 at 00:00 UTC of 1 January and f and u
    at the middle of the year, as the U.S. service does. So the curve jumps by some centimetres
    where the year changes, as its own does. Against its printed predictions of 2026 to 2050 the
    error was 1.3 mm at most.

    References
    ----------
    .. [SP1940] Schureman, Manual of Harmonic Analysis and Prediction of Tides, 1940, tables 1
       and 2 (second-hand).

    Examples
    --------
    >>> solar = Constituent(30.0, (2, 0, 0, 0, 0, 0), (0,) * 6, ())
    >>> hours = np.array(["2026-01-01T00", "2026-01-01T03"], dtype="datetime64[s]")
    >>> harmonic_series(hours, [Harmonic(solar, 0.5, 0.0)], 1.0).round(3)
    array([1.5, 1. ])
    """
    series = np.full(len(time), mean)
    years = time.astype("datetime64[Y]")
    for year in np.unique(years):
        start, end = year.astype("datetime64[s]"), (year + 1).astype("datetime64[s]")
        at = years == year
        hours = (time[at] - start) / HOUR
        longitudes = _longitudes((start - EPOCH) / DAY)
        angles, factors = node_corrections((start - EPOCH + (end - start) / 2) / DAY)
        for harmonic in harmonics:
            one = harmonic.constituent
            start_phase = one.argument @ np.append(longitudes, 1.0) + one.node @ angles
            factor = np.prod([factors[name] for name in one.factors])
            turned = np.radians(one.speed * hours + start_phase - harmonic.phase)
            series[at] += factor * harmonic.amplitude * np.cos(turned)
    return series


def node_corrections(days: float) -> tuple[FloatArray, Mapping[str, float]]:
    """Angles and factors by which the moon's node and perigee change the constituents.

    Parameters
    ----------
    days
        Since `EPOCH`. [days]

    Returns
    -------
    angles : array (6,)
        xi, nu, nu', 2 nu'', R and Q. [deg]
    factors
        Name → factor. [1]

    References
    ----------
    .. [SP1940] Equations for I, xi, nu, nu', 2 nu'', f, R and Q, and table 1
       (second-hand).

    Examples
    --------
    >>> angles, factors = node_corrections(46203.0)  # the middle of 2026
    >>> round(float(factors["M2"]), 3), round(float(factors["K1"]), 3)
    (0.967, 1.103)
    """
    _, _, _, perigee, _ = _longitudes(days)
    node = np.radians((_node(days) + 180) % 360 - 180)
    tilt = np.arccos(0.91370 - 0.03569 * np.cos(node))
    first, second = (np.arctan(share * np.tan(node / 2)) for share in (1.01883, 0.64412))
    xi, nu = node - first - second, first - second
    double = np.sin(tilt) ** 2
    solar = np.arctan2(np.sin(2 * tilt) * np.sin(nu), np.sin(2 * tilt) * np.cos(nu) + 0.3347)
    lunisolar = np.arctan2(double * np.sin(2 * nu), double * np.cos(2 * nu) + 0.0727)
    arc = np.radians(perigee) - xi
    half = np.tan(tilt / 2) ** 2
    of_l2 = np.arctan2(np.sin(2 * arc), 1 / (6 * half) - np.cos(2 * arc))
    of_m1 = np.arctan2(0.483 * np.sin(arc), np.cos(arc))
    angles: FloatArray = np.degrees([xi, nu, solar, lunisolar, of_l2, of_m1])
    return angles, _factors(float(tilt), float(nu), float(arc))


def _factors(tilt: float, nu: float, arc: float) -> dict[str, float]:
    """Node factors by the tilt of the moon's orbit, nu, and the perigee's arc [rad]."""
    half, double = np.cos(tilt / 2) ** 2, np.sin(2 * tilt)
    square = np.sin(tilt) ** 2
    tangent = np.tan(tilt / 2) ** 2
    factors = {
        "M2": half**2 / 0.91544,
        "M3": half**3 / 0.8758,
        "O1": np.sin(tilt) * half / 0.37988,
        "J1": double / 0.72137,
        "OO1": np.sin(tilt) * np.sin(tilt / 2) ** 2 / 0.016358,
        "MM": (2 / 3 - square) / 0.50211,
        "MF": square / 0.15779,
        "K1": np.sqrt(0.8965 * double**2 + 0.6001 * double * np.cos(nu) + 0.1006),
        "K2": np.sqrt(19.0444 * square**2 + 2.7702 * square * np.cos(2 * nu) + 0.0981),
    }
    smaller = np.sqrt(1 - 12 * tangent * np.cos(2 * arc) + 36 * tangent**2)
    return factors | {
        "L2": factors["M2"] * smaller,
        "M1": factors["O1"] * np.sqrt(2.310 + 1.435 * np.cos(2 * arc)),
    }


def _longitudes(days: float) -> FloatArray:
    """Hour angle of the mean sun at midnight, and mean longitudes [deg], of table 1."""
    t = days / CENTURY
    return np.array(
        [
            180.0,
            270.437422 + 481_267.892 * t + 0.002525 * t**2 + 0.00000189 * t**3,
            279.6967 + 36_000.7689 * t + 0.000303 * t**2,
            334.328019 + 4_069.032206 * t - 0.010344 * t**2 - 0.0000125 * t**3,
            281.2208 + 1.7192 * t + 0.00045 * t**2,
        ]
    )


def _node(days: float) -> float:
    """Longitude of the moon's node [deg]."""
    t = days / CENTURY
    return 259.182533 - 1_934.142397 * t + 0.002106 * t**2 + 0.0000022 * t**3


def turning_points(time: TimeArray, series: FloatArray) -> tuple[TimeArray, FloatArray]:
    """Highest and lowest points of an evenly sampled curve, between its samples.

    Parameters
    ----------
    time : array (instant,)
        UTC, evenly spaced by minutes.
    series : array (instant,)
        The curve.

    Returns
    -------
    time, value : arrays (point,)
        By the parabola through the three samples around each point.

    References
    ----------
    .. [SP1940] High and low water are the maxima and minima of the predicted curve
       (second-hand).

    Examples
    --------
    >>> minutes = np.arange("2026-01-01T00", "2026-01-01T12", 360, dtype="datetime64[s]")
    >>> hours = np.arange(len(minutes)) / 10
    >>> turning_points(minutes, np.cos(2 * np.pi * (hours - 4.03) / 12))[0]
    array(['2026-01-01T04:01:48', '2026-01-01T10:01:48'],
          dtype='datetime64[s]')
    """
    before, here, after = series[:-2], series[1:-1], series[2:]
    at = np.flatnonzero((here - before) * (after - here) < 0)
    bend = before[at] - 2 * here[at] + after[at]
    share = (before[at] - after[at]) / (2 * bend)
    value = here[at] - (before[at] - after[at]) * share / 4
    step = (time[1] - time[0]) / np.timedelta64(1, "s") if len(time) > 1 else 0.0
    moved = np.rint(share * step).astype("timedelta64[s]")
    return time[at + 1] + moved, value
