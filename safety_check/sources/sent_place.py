"""Coordinates as a request carries them: with no more digits than the service needs."""

from __future__ import annotations

import math

from safety_check.errors import ConfigError
from safety_check.sources.registry import load_sources

METRES_A_DEGREE = 110_000.0  # of latitude: 110.57 km at the least (WGS84, from memory)


def decimals(source: str) -> int:
    """Return how many decimal places of a degree a source needs (config/sources.toml)."""
    places = load_sources()[source].decimals
    if places is None:
        raise ConfigError(
            f"sources.toml, source {source}: it has no decimals, so no coordinates may be sent to"
            " it. Give decimals and decimals_reason, or do not send the place."
        )
    return places


def sent_place(source: str, latitude: float, longitude: float) -> tuple[str, str]:
    """Return latitude and longitude, rounded to what a source needs.

    Examples
    --------
    >>> sent_place("open_meteo", 44.91234, -99.60049)
    ('44.912', '-99.600')
    """
    places = decimals(source)
    north, east = (f"{round(angle, places) + 0.0:.{places}f}" for angle in (latitude, longitude))
    return north, east


def coordinates(source: str, latitude: float, longitude: float) -> dict[str, str]:
    """Return the part of a query that names the place, rounded to what a source needs."""
    north, east = sent_place(source, latitude, longitude)
    return {"latitude": north, "longitude": east}


def sent_box(source: str, latitude: float, longitude: float, within: float) -> str:
    """Return west, south, east, north [deg] of a box that holds the circle of a radius [m].

    The edges are rounded outwards to what a source needs.
    """
    return ",".join(box_edges(source, latitude, longitude, within))


def box_edges(source: str, latitude: float, longitude: float, within: float) -> tuple[str, ...]:
    """Return west, south, east and north of the box of `sent_box`.

    Examples
    --------
    >>> box_edges("aviation_weather", 59.9, 10.7, 40_000.0)
    ('9', '59', '12', '61')
    """
    places = decimals(source)
    up = within / METRES_A_DEGREE
    across = up / max(math.cos(math.radians(latitude)), 0.1)
    lower = (_down(longitude - across, places), _down(latitude - up, places))
    upper = (-_down(-longitude - across, places), -_down(-latitude - up, places))
    return tuple(f"{edge + 0.0:.{places}f}" for edge in (*lower, *upper))


def _down(angle: float, places: int) -> float:
    steps = 10.0**places
    return math.floor(angle * steps) / steps
