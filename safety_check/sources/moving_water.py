"""What the services of tide, current and rivers answer when they have nothing for a place.

They are asked only for water that moves: `Question.moving`.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from safety_check.arrays import TimeArray, to_utc
from safety_check.errors import SafetyCheckError
from safety_check.model.moving_water import MovingWater
from safety_check.model.weather import Briefing, SourceFailure
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.http.recording_client import RecordingClient
from safety_check.sources.question import (
    Question,
    failure_of,
    provides,
    saved_answer_notes,
    title,
)
from safety_check.units import show

TIDE, SPEED = "water_surface_height_above_reference_datum", "sea_water_speed"
HINT = "sea_water_speed_of_sea_model"

AROUND = timedelta(hours=14)
"""Events are needed so long before the first hour and after the last: a tide with one high water
a day takes 12.4 hours from one event to the next, and both neighbours of each hour count."""


def events_span(hours: TimeArray) -> tuple[datetime, datetime]:
    """Return from when to when predicted events are needed for some hours."""
    return to_utc(hours[0]) - AROUND, to_utc(hours[-1]) + timedelta(hours=1) + AROUND


def on_tidal_water(briefing: Briefing) -> Briefing:
    """Return the briefing of a water whose current is unknown unless a source predicts it.

    Where one does, the current of a sea model is not used, so its loss is none.
    """
    moving = replace(briefing.moving or MovingWater(), tidal=True)
    silences = briefing.silences
    if moving.currents:
        silences = tuple(
            replace(failure, applies=False) if failure.wanted == (HINT,) else failure
            for failure in silences
        )
    return replace(briefing, moving=moving, silences=silences)


def not_answered(source: str, question: Question, trouble: SafetyCheckError) -> Briefing:
    """Return the briefing of a service that failed, or that says that it has no data."""
    applies = not isinstance(trouble, NothingToReport)
    return Briefing(at=question.at, silences=(failure_of(source, trouble, applies=applies),))


def no_station(source: str, question: Question, within: float, what: str) -> Briefing:
    """Return the briefing where a service has no station within a distance [m]."""
    near = show(within, "length", question.unit)
    reason = f"No station within {near} tells {what} here."
    failure = SourceFailure(title(source), reason, provides(source), applies=False)
    return Briefing(at=question.at, silences=(failure,))


def notes_on(recording: RecordingClient, source: str) -> tuple[SourceFailure, ...]:
    """Return a note for saved answers that were used, and for stations that can't be read."""
    notes = saved_answer_notes(recording, source)
    return (*notes, *unreadable_note(source, recording.unreadable))


def unreadable_note(source: str, count: int) -> tuple[SourceFailure, ...]:
    """Return a failure where entries of a list can't be read: one of them may be the nearest."""
    reason = f"{count} entries in its lists can't be read, so a nearer station may be missing."
    return (SourceFailure(title(source), reason, provides(source)),) if count else ()
