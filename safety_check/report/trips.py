"""The trip log for people, spreadsheets and programs."""

from __future__ import annotations

import csv
import io
import math
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.model.trip import Trip
from safety_check.report.layout import terminal_width
from safety_check.units import Preferences, show

UNITS = {
    "wind_speed": "m s-1",
    "wind_speed_of_gust": "m s-1",
    "wave_height": "m",
    "wind_speed_least": "m s-1",
    "wind_speed_of_gust_least": "m s-1",
    "wave_height_least": "m",
    "water_temperature": "K",
    "wind_from_direction": "deg true",
    "comfort": "1 to 5",
}


@dataclass(frozen=True)
class TripRow:
    """What is said of a logged trip, in words.

    Parameters
    ----------
    number
        In the log.
    when, place, craft
        The start in the water's local time, water and launch, the craft.
    went
        False where it was called off.
    met
        The conditions, and how it felt.
    notes
        The paddler's own.
    """

    number: int
    when: str
    place: str
    craft: str
    went: bool
    met: tuple[str, ...]
    notes: str


def row_of(trip: Trip, prefer: Preferences) -> TripRow:
    """Return what is said of a logged trip."""
    return TripRow(
        number=trip.id,
        when=_when(trip),
        place=f"{trip.water}, {trip.launch}" if trip.launch else trip.water,
        craft=trip.craft,
        went=trip.went,
        met=tuple(_met(trip, prefer)),
        notes=trip.notes,
    )


def _when(trip: Trip) -> str:
    zone = ZoneInfo(trip.time_zone)
    start = trip.start.astimezone(zone)
    end = None if trip.ended is None else trip.ended.astimezone(zone)
    if end is None:
        return f"{start:%Y-%m-%d %H:%M}"
    until = f"{end:%H:%M}" if end.date() == start.date() else f"{end:%Y-%m-%d %H:%M}"
    return f"{start:%Y-%m-%d %H:%M} to {until}"


def trip_lines(trips: Iterable[Trip], prefer: Preferences) -> str:
    """Return a line for each trip, and its notes beneath."""
    return "\n".join(_lines(row_of(trip, prefer)) for trip in trips)


def _lines(row: TripRow) -> str:
    said = [row.when, row.place, row.craft, *([] if row.went else ["called off"]), *row.met]
    notes = [row.notes] if row.notes else []
    width = terminal_width() - 6
    head = textwrap.fill("; ".join(said), width, subsequent_indent="  ")
    body = "\n".join([head, *(textwrap.fill(note, width) for note in notes)])
    return f"{row.number:>4}  {body}".replace("\n", "\n      ")


def _met(trip: Trip, prefer: Preferences) -> list[str]:
    force = (
        "" if trip.beaufort is None else f" (Beaufort {trip.beaufort}, from the look of the water)"
    )
    least = trip.wind_speed_least if trip.beaufort is None else math.nan
    nothing = math.nan
    said = [
        ("wind ", least, trip.wind_speed, "speed", prefer.wind, force),
        (
            "gusts ",
            trip.wind_speed_of_gust_least,
            trip.wind_speed_of_gust,
            "speed",
            prefer.wind,
            "",
        ),
        ("waves ", trip.wave_height_least, trip.wave_height, "length", prefer.wave, ""),
        ("water ", nothing, trip.water_temperature, "temperature", prefer.temperature, ""),
    ]
    told = [
        f"{what}{_span(low, value, kind, unit)}{more}"
        for what, low, value, kind, unit, more in said
        if not math.isnan(value)
    ]
    if trip.track:
        told.append(f"track of {len(trip.track.split())} steady minutes")
    return told + ([] if trip.comfort is None else [f"comfort {trip.comfort} of 5"])


def _span(low: float, high: float, kind: str, unit: str) -> str:
    whole = show(high, kind, unit)
    least = whole if math.isnan(low) else show(low, kind, unit)
    return whole if least == whole else f"{least} to {whole}"


def rows(trips: Iterable[Trip]) -> list[dict[str, Any]]:
    """Return the trips as plain values, SI and UTC; None where nothing was entered."""
    return [
        {field.name: _value(getattr(trip, field.name)) for field in fields(Trip)} for trip in trips
    ]


def as_csv(trips: Iterable[Trip]) -> str:
    """Return the trips as CSV, units in the headings; an empty cell means not entered."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = [field.name for field in fields(Trip)]
    writer.writerow(f"{name} [{UNITS[name]}]" if name in UNITS else name for name in names)
    writer.writerows([row[name] for name in names] for row in rows(trips))
    return text.getvalue()


def _value(value: object) -> object:
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    return None if isinstance(value, float) and math.isnan(value) else value
