"""A map in words: what one hour's drawing shows, for a reader who cannot see it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.model.wave_map import WaveMap
from safety_check.report.map.scale import limits_of
from safety_check.units import Preferences, compass, show, show_limit

AT_THE_LAUNCH = 30.0  # m


def describe_map(lake: WaveMap, preferences: Preferences, notes: Iterable[str] = ()) -> str:
    """Return a map in words."""
    height = lake.height
    if not np.isfinite(height).all():
        return f"{headline(lake, preferences)}. Wave heights are not known."
    low, high = (
        show(float(extreme), "length", preferences.wave) for extreme in (height.min(), height.max())
    )
    waves = f"Waves from {low} to {high}, {_highest(lake, preferences)}"
    limits = [
        f"{line.word.capitalize()} from {show_limit(bound, 'length', preferences.wave)}:"
        f" {_share(float((height >= bound).mean()))} of the water shown"
        for line, bound in limits_of(lake)
    ]
    return ". ".join([headline(lake, preferences), waves, *limits, *notes])


def headline(lake: WaveMap, preferences: Preferences) -> str:
    """Return the hour and the wind."""
    wind = wind_in_words(lake, preferences)
    if lake.time is None:
        return wind[0].upper() + wind[1:]
    return f"{when(lake)}, {wind}"


def when(lake: WaveMap) -> str:
    """Return the hour, in the water's own time; empty for a wind of no particular hour."""
    if lake.time is None:
        return ""
    local = lake.time.astimezone(ZoneInfo(lake.grid.water.time_zone))
    return f"{local:%a} {local.day} {local:%b} {local:%H:%M}"


def wind_in_words(lake: WaveMap, preferences: Preferences) -> str:
    """Return the wind of a map."""
    if lake.wind_speed == 0:
        return "calm"
    if not np.isfinite(lake.wind_speed + lake.wind_from_direction):
        return "wind not known"
    speed = show(lake.wind_speed, "speed", preferences.wind)
    return f"wind {speed} from {compass(lake.wind_from_direction)}"


def _highest(lake: WaveMap, preferences: Preferences) -> str:
    """Return where the waves are highest: on the trip, or on the water where there is no trip."""
    place = lake.grid.whole.points[lake.worst]
    if lake.grid.on_trip is None or not lake.grid.launches:
        east, north = lake.grid.whole.points[int(np.argmax(lake.height))]
        side = compass(math.degrees(math.atan2(east, north)))
        return f"highest in the {side} part of the water"
    east, north = place - lake.grid.launches[0][1]
    there = show(float(lake.height[lake.worst]), "length", preferences.wave)
    far = math.hypot(east, north)
    if far < AT_THE_LAUNCH:
        return f"on the trip up to {there}, at the launch"
    side = compass(math.degrees(math.atan2(east, north)))
    away = show(far, "length", preferences.distance)
    return f"on the trip up to {there}, {away} {side} of the launch"


def _share(share: float) -> str:
    if share == 0:
        return "none"
    if share == 1:
        return "all"
    return f"about {max(5 * round(20 * share), 1)} %"
