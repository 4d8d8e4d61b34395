"""The current of Open-Meteo's sea model, as a hint that may worsen a verdict and never clears.

A cell is some 8 km wide: it knows no inlet, narrows, harbour or river mouth.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime
from itertools import pairwise
from typing import Any

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, to_utc
from safety_check.errors import DataError
from safety_check.model.moving_water import CurrentHint, CurrentSeries, MovingWater
from safety_check.model.weather import Briefing, Provenance
from safety_check.sources.answers import Answer, believable, number, read
from safety_check.sources.coverage import sea_distance
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.moving_water import SPEED, no_station, not_answered, notes_on
from safety_check.sources.question import TROUBLE, Question
from safety_check.sources.sent_place import coordinates
from safety_check.sources.stations import Station, distance
from safety_check.units import KNOT

SOURCE = "open_meteo_currents"
VELOCITY, DIRECTION = "ocean_current_velocity", "ocean_current_direction"
ERA = range(2**33)  # s since 1970, until the year 2242; beyond it numbers could overflow
UNITS = {"km/h": 1 / 3.6, "m/s": 1.0, "kn": KNOT}


class HourlyAnswer(Answer):
    """What the service answers."""

    latitude: float
    longitude: float
    utc_offset_seconds: int
    hourly_units: dict[str, str]
    hourly: dict[str, list[Any]]


def query(latitude: float, longitude: float, hours: TimeArray) -> dict[str, str]:
    """Return what to ask for the current in some hours; the service chooses a cell of the sea."""
    begin, end = to_utc(hours[0]), to_utc(hours[-1] + np.timedelta64(1, "h"))
    return {
        **coordinates(SOURCE, latitude, longitude),
        "hourly": f"{VELOCITY},{DIRECTION}",
        "start_date": f"{begin:%Y-%m-%d}",
        "end_date": f"{end:%Y-%m-%d}",
        "timezone": "GMT",
        "timeformat": "unixtime",
        "cell_selection": "sea",
    }


def parse(body: bytes, provenance: Provenance) -> CurrentHint:
    """Return the current by hour; NaN where it is missing, raise DataError without any."""
    answer = read(body, HourlyAnswer, provenance.source)
    columns = [answer.hourly.get(name) or [] for name in ("time", VELOCITY, DIRECTION)]
    unit = UNITS.get(answer.hourly_units.get(VELOCITY, ""))
    times = [_time(value, answer.utc_offset_seconds) for value in columns[0]]
    seconds = [time for time in times if time is not None]
    whole = len({len(column) for column in columns}) == 1 and len(seconds) == len(columns[0])
    if unit is None or answer.hourly_units.get(DIRECTION) != "°" or not seconds or not whole:
        raise DataError(
            f"{provenance.source}: the current is not given by hour in a known unit. It can't be"
            " used as a hint."
        )
    if any(later <= earlier for earlier, later in pairwise(seconds)):
        raise DataError(f"{provenance.source}: its hours do not ascend. It can't be used.")
    if Station.of("", "", answer.latitude, answer.longitude) is None:
        raise DataError(
            f"{provenance.source}: its grid cell is not on this Earth. It can't be used."
        )
    speed = np.array([believable(SPEED, number(value) * unit) for value in columns[1]])
    towards = np.radians([_angle(value) for value in columns[2]])
    time = np.array(seconds, dtype="datetime64[s]")
    series = CurrentSeries(time, *_parts(speed, towards))
    return CurrentHint(series, (answer.latitude, answer.longitude), provenance)


def _parts(speed: FloatArray, towards: FloatArray) -> tuple[FloatArray, FloatArray]:
    return speed * np.sin(towards), speed * np.cos(towards)


def _angle(value: object) -> float:
    angle = number(value)
    return angle if 0 <= angle <= 360 else math.nan


def _time(value: object, offset: int) -> int | None:
    """Return seconds since 1970 of an instant, which may be a local text."""
    if isinstance(value, int) and not isinstance(value, bool):
        return value if value in ERA else None
    try:
        local = datetime.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None
    if local is None or local.tzinfo is not None:
        return None
    seconds = round(local.replace(tzinfo=UTC).timestamp()) - offset
    return seconds if seconds in ERA else None


async def ask_currents(client: Client, question: Question) -> Briefing:
    """Return the current of the nearest cell of the sea as a hint, or why there is none."""
    recording = RecordingClient(client)
    try:
        asked = query(*question.here, question.hours)
        found = await recording.read("/v1/marine", asked, parse, source=SOURCE)
    except TROUBLE as trouble:
        return not_answered(SOURCE, question, trouble)
    if distance(*question.here, Station("", "", *found.cell)) > sea_distance():
        return no_station(SOURCE, question, sea_distance(), "the current")
    moving = MovingWater(hints=(found,))
    return Briefing(at=question.at, moving=moving, silences=notes_on(recording, SOURCE))
