"""The trip log: store a reported trip, and suggest limits from the logged ones."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from safety_check.assess.verdict import reason_context
from safety_check.errors import PlanError
from safety_check.model.history import CheckLine
from safety_check.model.trip import OwnLimit, SuggestedLimits, Trip
from safety_check.settings.settings import Settings
from safety_check.store.store import Store
from safety_check.use_cases.amounts_in_words import met_wind, parse_height, parse_span
from safety_check.use_cases.direction_in_words import parse_direction
from safety_check.use_cases.measure import read_track, stretches, track_text
from safety_check.use_cases.planning import LONGEST_TRIP, water_temperature
from safety_check.use_cases.suggest_limits import (
    MET,
    comfort_level,
    load_trip_words,
    rate_trips,
    suggest,
)
from safety_check.use_cases.times_in_words import parse_past_time
from safety_check.use_cases.water_memory import own_measurement
from safety_check.waters import files

RECENT = 50  # number of checks searched for the one of the trip
NEAR = timedelta(hours=3)  # a trip that began this close to a check's start belongs to that check


@dataclass(frozen=True)
class TripReport:
    """A reported trip, in words; None where nothing was given.

    Parameters
    ----------
    water, launch, craft
        Names; what is missing is taken from the check that the trip followed.
    began, ended
        When it began or would have, and when it ended.
    went
        False where it was called off.
    wind, gust, waves
        A number or a range with a unit; the wind also as the water looked ("scattered
        whitecaps").
    water_temperature
        As measured, with a unit.
    comfort
        A number from 1 to 5 or a word.
    notes
        Any text.
    check
        The number of the check that it followed; None finds it.
    wind_from
        Where the wind came from.
    track
        A GPX file of it.
    """

    water: str | None = None
    launch: str | None = None
    craft: str | None = None
    began: str | None = None
    went: bool = True
    wind: str | None = None
    gust: str | None = None
    waves: str | None = None
    water_temperature: str | None = None
    comfort: str | None = None
    notes: str = ""
    check: int | None = None
    wind_from: str | None = None
    track: Path | None = None
    ended: str | None = None


def log_trip(told: TripReport, store: Store, settings: Settings, clock: datetime) -> Trip:
    """Return the reported trip, stored in the log.

    Parameters
    ----------
    told
        In the user's words.
    store, settings
        The history, and the user's waters and craft.
    clock
        Now.

    Raises
    ------
    PlanError
        Where water or time are missing and no check has them, for a trip in the
        future, and for unknown words or units.
    """
    told = replace(told, water=_as_known(told.water, settings.folders.waters))
    checks = store.checks(RECENT, water=told.water)
    zone = _zone(told, checks, settings.folders.waters)
    began = None if told.began is None else parse_past_time(told.began, zone, clock, "--began")
    check = _followed(told, checks, began, clock)
    if check is None and (told.water is None or began is None):
        raise PlanError(
            "which trip? No check of a trip that has begun was found, so give the water and the"
            " time.",
            field="--began",
            remedy='For example: safety-check trip log "Orvel Lake" --began "today 06:00"',
        )
    start = began or _start(check, clock)
    trip = Trip(
        id=0,
        logged=clock,
        start=start,
        water=told.water or (check.water if check else ""),
        launch=told.launch or (check.launch if check else ""),
        time_zone=zone,
        craft=told.craft or (check.craft if check else settings.craft_name(None)),
        went=told.went,
        comfort=None if told.comfort is None else comfort_level(told.comfort),
        notes=told.notes,
        check=check.id if check else None,
        wind_from_direction=_direction(told.wind_from),
        track="" if told.track is None else track_text(*stretches(read_track(told.track))),
        ended=_ended(told, zone, start, clock),
        **_met(told),
    )
    number = store.save_trip(trip)
    if not math.isnan(trip.water_temperature):
        measured = own_measurement(trip.water_temperature, trip.start)
        store.save_observation(trip.water, trip.launch, measured)
    return replace(trip, id=number)


def suggest_limits(store: Store, settings: Settings, craft: str | None) -> SuggestedLimits:
    """Return limits suggested by the logged trips of a craft; nothing is changed."""
    boat = settings.craft(settings.craft_name(craft))
    book = reason_context(settings, boat).limits
    trips, rule = store.trips(boat.name), load_trip_words().suggest
    return SuggestedLimits(
        craft=boat.name,
        rated_trips={quantity: len(rate_trips(trips, quantity)) for quantity in MET},
        least_trips=rule.least_trips,
        found=suggest(trips, book.limits, rule),
        defaults=book.defaults,
        own={
            table.quantity: OwnLimit(table.marginal, table.no_go, table.loosen)
            for table in settings.user.limit
            if table.craft == boat.name and table.water is None
        },
    )


def _as_known(water: str | None, waters: Path) -> str | None:
    """Return a water's name as it was added; a water that is gone keeps its name in the log."""
    known = {name.casefold(): name for name in files.names(waters)}
    return None if water is None else known.get(water.casefold(), water)


def _zone(told: TripReport, checks: tuple[CheckLine, ...], waters: Path) -> str:
    if told.water is not None and not checks:
        return files.load(told.water, waters).time_zone
    return checks[0].time_zone if checks else "UTC"


def _followed(
    told: TripReport, checks: tuple[CheckLine, ...], began: datetime | None, clock: datetime
) -> CheckLine | None:
    """Return the newest check that the trip may have followed."""
    if told.check is not None:
        named = [check for check in checks if check.id == told.check]
        if not named:
            raise PlanError(
                f"{told.check}: no such check among the last {RECENT}"
                f"{f' of {told.water}' if told.water else ''}.",
                field="--check",
                remedy="See: safety-check history list",
            )
        return named[0]
    fits = (check for check in checks if _fits(check, began, clock))
    return next(fits, None)


def _fits(check: CheckLine, began: datetime | None, clock: datetime) -> bool:
    if began is None:
        return check.start <= clock
    return abs(check.start - began) <= NEAR


def _start(check: CheckLine | None, clock: datetime) -> datetime:
    return clock if check is None else check.start


def _ended(told: TripReport, zone: str, start: datetime, clock: datetime) -> datetime | None:
    if told.ended is None or not told.went:
        return None
    ended = parse_past_time(told.ended, zone, clock, "--ended")
    if not start < ended <= start + LONGEST_TRIP:
        raise PlanError(
            f"{told.ended!r} is not within {LONGEST_TRIP.total_seconds() / 3600:.0f} hours after"
            " the start. Correct one of them.",
            field="--ended",
        )
    return ended


def _met(told: TripReport) -> dict[str, Any]:
    """Return the conditions of a trip by field; the upper end of a range counts."""
    met: dict[str, Any] = {}
    if told.wind is not None:
        span, met["wind_speed"], met["beaufort"] = met_wind(told.wind)
        if span.low < met["wind_speed"]:
            met["wind_speed_least"] = span.low
    spans = {
        "wind_speed_of_gust": told.gust and parse_span(told.gust, "wind", "--gust"),
        "wave_height": told.waves and parse_height(told.waves, "--waves"),
    }
    for name, span_met in spans.items():
        if span_met:
            met[name] = span_met.high
            if span_met.low < span_met.high:
                met[f"{name}_least"] = span_met.low
    measured = water_temperature(told.water_temperature)
    return met if measured is None else met | {"water_temperature": measured}


def _direction(text: str | None) -> float:
    return math.nan if text is None else parse_direction(text, "--from")
