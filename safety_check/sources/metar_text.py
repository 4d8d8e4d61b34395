"""The wind of an aerodrome report as METAR writes it (WMO-No. 306, FM 15)."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import datetime

from safety_check.units import KILOMETRE_PER_HOUR, KNOT

UNITS = {"KT": KNOT, "MPS": 1.0, "KMH": KILOMETRE_PER_HOUR}

_WIND = re.compile(
    r"(?<!\S)(?P<direction>[0-9]{3}|VRB)(?P<speed>P?[0-9]{2,3})(?:G(?P<gust>P?[0-9]{2,3}))?"
    r"(?P<unit>KT|MPS|KMH)(?!\S)"
)
_WHEN = re.compile(r"(?<!\S)([0-9]{2})([0-9]{2})([0-9]{2})Z(?!\S)")
_REMARKS = re.compile(r"(?<!\S)RMK(?!\S)")


@dataclass(frozen=True)
class MetarReport:
    """The time and the wind of a report.

    Parameters
    ----------
    day, hour, minute
        Of the observation, UTC.
    wind_speed, wind_speed_of_gust
        [m s⁻¹]; NaN where they are not reported. A report without a gust group does not say
        that there are none, only that they were not notable.
    wind_from_direction
        [deg true]; NaN where the wind is variable or calm.
    """

    day: int
    hour: int
    minute: int
    wind_speed: float
    wind_speed_of_gust: float
    wind_from_direction: float


def parse_metar(message: str) -> MetarReport | None:
    """Return the wind of a report; None where it has no time or no wind group.

    Remarks are not read, because the peak wind in them is from another time.

    References
    ----------
    .. [1] WMO-No. 306, Manual on Codes, vol. I.1, FM 15 METAR, 15.5: dddffGfmfm, VRB,
       00000, and P99 (P49 in m/s) for a wind above two digits. From memory, not read.

    Examples
    --------
    >>> parse_metar("KMSP 121553Z 35009G19KT 10SM M13/M18 A2984").wind_speed_of_gust.__round__(2)
    9.77
    """
    body = _REMARKS.split(message, maxsplit=1)[0]
    when, wind = _WHEN.search(body), _WIND.search(body)
    if not when or not wind:
        return None
    factor = UNITS[wind["unit"]]
    speed = _speed(wind["speed"], factor)
    day, hour, minute = (int(part) for part in when.groups())
    return MetarReport(
        day,
        hour,
        minute,
        wind_speed=speed,
        wind_speed_of_gust=_speed(wind["gust"], factor),
        wind_from_direction=_direction(wind["direction"], speed),
    )


def report_of_minute(message: object, time: datetime | None) -> MetarReport | None:
    """Return a raw report, if it is of the same minute as the values beside it."""
    report = parse_metar(message) if isinstance(message, str) else None
    if report is None or time is None:
        return None
    same = (report.day, report.hour, report.minute) == (time.day, time.hour, time.minute)
    return report if same else None


def _speed(figures: str | None, factor: float) -> float:
    """Return a speed; with P it is at least one unit more than the digits."""
    if figures is None:
        return math.nan
    return (int(figures.removeprefix("P")) + figures.startswith("P")) * factor


def _direction(figures: str, speed: float) -> float:
    if figures == "VRB" or speed == 0 or int(figures) > 360:
        return math.nan
    return float(int(figures))
