"""Turn the values of gauges into observations, for the newer and the older service."""

from __future__ import annotations

import html
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Observation, Provenance
from safety_check.sources.answers import Sensor, observed
from safety_check.sources.listing import Listing
from safety_check.sources.stations import Station, distance
from safety_check.units import FOOT, ZERO_CELSIUS

NO_VALUE = -999_999.0

CUBIC_FOOT = FOOT**3
TEMPERATURE = {"degC": (1.0, ZERO_CELSIUS), "deg C": (1.0, ZERO_CELSIUS)}
DISCHARGE = {"ft^3/s": (CUBIC_FOOT, 0.0), "ft3/s": (CUBIC_FOOT, 0.0), "ft³/s": (CUBIC_FOOT, 0.0)}
PARAMETERS = {  # their code: our quantity, the units that may come
    "00010": ("water_temperature", TEMPERATURE),
    "00060": ("water_volume_transport_in_river_channel", DISCHARGE),
}
NORMAL = ("A", "P")  # approved, provisional; any other qualifier makes a value doubtful
CODE = re.compile(r"[0-9]{5}")


@dataclass(frozen=True)
class Reading:
    """One value as received.

    Parameters
    ----------
    site
        The gauge's number, with "USGS-" before it.
    sensor, described
        The sensor and its description; one gauge may have several for one parameter.
    parameter, value, unit
        As received.
    given
        False where the service itself says that the value is missing.
    time
        When it was measured.
    qualifiers
        The service's remarks on it.
    """

    site: str
    sensor: str
    described: str
    parameter: str
    value: float
    unit: str
    given: bool
    time: datetime | None
    qualifiers: tuple[str, ...]


def observations(
    readings: Iterable[Reading],
    places: Mapping[str, Station],
    here: tuple[float, float],
    provenance: Provenance,
) -> Listing[Observation]:
    """Return the newest plausible reading of each sensor in our quantities.

    A value that the service itself calls missing is absent; any other value that can't be
    used is counted as unreadable.
    """
    newest: dict[tuple[str, str, str], Observation] = {}
    unreadable = 0
    for reading in readings:
        seen = _observed(reading, places.get(reading.site), here, provenance)
        unreadable += not seen and _should_be_read(reading)
        for observation in seen:
            key = (reading.site, reading.sensor, reading.parameter)
            newest[key] = max(newest.get(key, observation), observation, key=lambda at: at.time)
    return Listing(newest.values(), unreadable)


def _should_be_read(reading: Reading) -> bool:
    """Return whether a value that was not read is a loss.

    Of another parameter, whose codes have five digits, it is none.
    """
    other = reading.parameter not in PARAMETERS and CODE.fullmatch(reading.parameter)
    remarked = any(remark not in NORMAL for remark in reading.qualifiers)
    return not other and reading.given and not (math.isnan(reading.value) and remarked)


def _observed(
    reading: Reading, place: Station | None, here: tuple[float, float], provenance: Provenance
) -> tuple[Observation, ...]:
    quantity, units = PARAMETERS.get(reading.parameter, ("", {}))
    factor, offset = units.get(reading.unit, (math.nan, math.nan))
    if not quantity or not reading.given:
        return ()
    names = (reading.site, place.label if place else "", reading.described)
    station = " ".join(filter(None, names))
    return observed(
        quantity,
        reading.value * factor + offset,
        reading.time,
        Sensor(
            station,
            distance(*here, place) if place else None,
            replace(provenance, model=station, issued=reading.time),
        ),
        flagged=any(remark not in NORMAL for remark in reading.qualifiers),
    )


def remarks(qualifiers: object) -> tuple[str, ...]:
    """Return the service's remarks on a value."""
    return tuple(map(str, qualifiers)) if isinstance(qualifiers, list) else ()


def plain(value: object) -> str:
    """Return a text without entities and commands; empty where it is not a text."""
    return clean_text(html.unescape(value)) if isinstance(value, str) else ""
