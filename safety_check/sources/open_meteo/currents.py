"""The current of Open-Meteo's sea model, as a hint that may worsen a verdict and never clears.

A cell is some 8 km wide: it knows no inlet, narrows, harbour or river mouth.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from safety_check.arrays import FloatArray, IntArray, TimeArray, to_utc
from safety_check.errors import DataError
from safety_check.model.moving_water import CurrentHint, CurrentSeries, MovingWater
from safety_check.model.place import is_on_earth
from safety_check.model.weather import Briefing, Provenance
from safety_check.sources.answers import Answer, believable, number, read
from safety_check.sources.coverage import sea_distance
from safety_check.sources.http.client import Client
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.moving_water import SPEED, no_station, not_answered, notes_on
from safety_check.sources.open_meteo.answer import instants
from safety_check.sources.question import TROUBLE, Question
from safety_check.sources.sent_place import coordinates
from safety_check.sources.stations import Station, distance
from safety_check.units import KNOT

SOURCE = "open_meteo_currents"
VELOCITY, DIRECTION = "ocean_current_velocity", "ocean_current_direction"
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
    seconds = _seconds(columns[0], answer.utc_offset_seconds)
    whole = len({len(column) for column in columns}) == 1 and seconds.size
    if unit is None or answer.hourly_units.get(DIRECTION) != "°" or not whole:
        raise DataError(
            f"{provenance.source}: the current is not given by hour in a known unit. It can't be"
            " used as a hint."
        )
    if (np.diff(seconds) <= 0).any():
        raise DataError(f"{provenance.source}: its hours do not ascend. It can't be used.")
    if not is_on_earth(answer.latitude, answer.longitude):
        raise DataError(
            f"{provenance.source}: its grid cell is not on this Earth. It can't be used."
        )
    speed = np.array([believable(SPEED, number(value) * unit) for value in columns[1]])
    towards = np.radians([_angle(value) for value in columns[2]])
    time = seconds.astype("datetime64[s]")
    series = CurrentSeries(time, *_parts(speed, towards))
    return CurrentHint(series, (answer.latitude, answer.longitude), provenance)


def _seconds(times: list[Any], offset: int) -> IntArray:
    """Return seconds since 1970 UTC, whichever form they have; none where one can't be trusted."""
    for form in ("unixtime", "iso8601"):
        if (found := instants(times, form, offset)) is not None:
            return found
    return np.zeros(0, dtype=np.int64)


def _parts(speed: FloatArray, towards: FloatArray) -> tuple[FloatArray, FloatArray]:
    return speed * np.sin(towards), speed * np.cos(towards)


def _angle(value: object) -> float:
    angle = number(value)
    return angle if 0 <= angle <= 360 else math.nan


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
