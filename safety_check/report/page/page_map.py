"""The maps on the page: the trip in its frame and the whole water, a layer for each hour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from safety_check.model.verdict import Verdict
from safety_check.model.wave_map import TripMaps, WaveMap
from safety_check.report.advice import drift_sentence
from safety_check.report.map.lake_map import draw_wave_map
from safety_check.report.map.legend import what_to_know
from safety_check.report.map.map_words import describe_map
from safety_check.units import Preferences


@dataclass(frozen=True)
class PageMap:
    """The maps and their words.

    Parameters
    ----------
    svg
        The trip in its frame: a layer for each hour, one displayed.
    whole
        The whole water in the same way; empty where the frame shows it already.
    words
        Each layer in words, for readers who cannot see it.
    notes
        What the heights are, and the credit for the shore.
    first, chosen
        Which of the verdict's hours around the trip the first layer and the displayed one
        belong to.
    """

    svg: str
    whole: str
    words: tuple[str, ...]
    notes: tuple[str, ...]
    first: int
    chosen: int


def draw_map(verdict: Verdict, maps: TripMaps, preferences: Preferences) -> PageMap | None:
    """Return maps of a verdict's hours as drawings, the highest waves of the trip displayed.

    Parameters
    ----------
    verdict
        The verdict whose hours the maps show.
    maps
        As `map_hours_around` gives them; without any the map is None.
    preferences
        The units that the user reads in.
    """
    if not maps.near:
        return None
    times = [hour.time for hour in verdict.around or verdict.hours]
    heights = [_height(lake) if lake.in_trip else -2.0 for lake in maps.near]
    chosen = int(np.argmax(heights))
    time = maps.near[0].time
    first = times.index(time) if time in times else 0
    shown = maps.near[chosen].time
    return PageMap(
        svg=_drawn(maps.near, 0, shown, preferences, "lake-map"),
        whole=_whole(maps, shown, preferences),
        words=tuple(_words(lake, verdict, preferences) for lake in maps.near),
        notes=what_to_know(maps.near[0]),
        first=first,
        chosen=first + chosen,
    )


def _whole(maps: TripMaps, shown: datetime | None, preferences: Preferences) -> str:
    """Return the drawing of the whole water; its hours have the numbers of those around it."""
    if not maps.whole:
        return ""
    begins = [hour.time for hour in maps.near].index(maps.whole[0].time)
    return _drawn(maps.whole, begins, shown, preferences, "whole-map")


def _drawn(
    hours: Sequence[WaveMap],
    first: int,
    shown: datetime | None,
    preferences: Preferences,
    name: str,
) -> str:
    chosen = next((hour for hour in hours if hour.time == shown), hours[-1])
    numbered = dict(enumerate(hours, first))
    return draw_wave_map(chosen, preferences, numbered, name=name, alone=False)


def _words(lake: WaveMap, verdict: Verdict, preferences: Preferences) -> str:
    drifts = [drift_sentence(drift, verdict.plan, preferences) for drift in lake.drifts]
    return " ".join([f"{describe_map(lake, preferences)}.", *drifts])


def _height(lake: WaveMap) -> float:
    highest = float(lake.height[lake.worst])
    return -1.0 if math.isnan(highest) else highest
