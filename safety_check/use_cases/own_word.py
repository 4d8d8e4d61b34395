"""The user's statement that no official warning is in force."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from safety_check.errors import PlanError
from safety_check.model.weather import OWN_WORD, Briefing, Provenance, SourceFailure
from safety_check.settings.settings import Settings
from safety_check.sources.coverage import warnings_covered
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.times_in_words import parse_past_time
from safety_check.waters import files

NONE = "none"


def add_own_word(briefing: Briefing, asked: PlanRequest, zone: str) -> Briefing:
    """Return a briefing with the user's statement on official warnings, where it was given.

    Parameters
    ----------
    briefing
        Its clock must not be before the time of reading.
    asked
        With `warnings` and `read_at`, or neither.
    zone
        The water's time zone.

    Raises
    ------
    PlanError
        Where one is given without the other, for another word, and for a time in the future.
    """
    if asked.warnings is None and asked.read_at is None:
        return briefing
    if asked.warnings != NONE or asked.read_at is None:
        raise PlanError(
            'this belongs together with --warnings: --warnings none --read-at "20:10" says that at'
            " 20:10 you read that no official warning was in force for this place.",
            field="--read-at",
        )
    read = parse_past_time(asked.read_at, zone, briefing.at, "--read-at")
    word = Provenance(OWN_WORD, "", "", issued=read, fetched=read, recorded=False)
    return replace(
        briefing,
        silences=tuple(map(_without_cost, briefing.silences)),
        warnings_read=(*briefing.warnings_read, word),
    )


def _without_cost(failure: SourceFailure) -> SourceFailure:
    """Return a failure that does not count where it only left the warnings unknown."""
    return replace(failure, applies=False) if failure.wanted == ("alerts",) else failure


def needs_own_word(asked: PlanRequest, settings: Settings, forecast: Path | None) -> bool:
    """Return whether no service has the official warnings of a plan's launch."""
    if asked.warnings is not None or asked.water is None:
        return False
    try:
        water = files.load(asked.water, settings.folders.waters)
        launch = files.launch_named(water, asked.launch)
    except PlanError:  # the check itself reports it
        return False
    return forecast is not None or not warnings_covered(launch.latitude, launch.longitude)
