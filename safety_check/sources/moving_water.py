"""What the services of tide, current and rivers answer when they have nothing for a place.

They are asked only for water that moves: `Question.moving`.
"""

from __future__ import annotations

from safety_check.errors import SafetyCheckError
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
