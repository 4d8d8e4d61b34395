"""What would change a verdict, as rows of the page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from safety_check.model.verdict import Severity, Unknown, Verdict
from safety_check.report.alternatives import change_in_words
from safety_check.report.head import first_sentence
from safety_check.report.leave_signs import figures
from safety_check.report.words import enough_warmth
from safety_check.units import Preferences

NO_CHANGE = "No change to the plan makes this trip better on this day."
NOT_ASKED = "Changes to the plan were not looked at."


@dataclass(frozen=True)
class Change:
    """Something that would change a verdict.

    Parameters
    ----------
    text
        What changes.
    severity
        The verdict with it; None where it is not a plan of its own.
    reason
        What decides that verdict, in one sentence; empty for a GO.
    number
        Which of the verdict's alternatives it is; None where it is none.
    """

    text: str
    severity: Severity | None = None
    reason: str = ""
    number: int | None = None


def changes_of(verdict: Verdict, preferences: Preferences) -> list[Change]:
    """Return what would change a verdict: a measurement, another plan, or the weather."""
    measure = enough_warmth(verdict.water, preferences)
    found = [Change(measure)] if measure else []
    found += _plans(verdict, preferences)
    if verdict.severity == Severity.UNKNOWN:
        found += _to_find_out(verdict)
    elif not found and verdict.severity > Severity.GO:
        found.append(Change(NOT_ASKED if verdict.alternatives is None else NO_CHANGE))
    return [*found, *_weather(verdict, preferences)]


def _weather(verdict: Verdict, preferences: Preferences) -> Iterator[Change]:
    """Yield which wind and waves would make a trip worse that may begin."""
    worse = {Severity.GO: "No longer GO", Severity.MARGINAL: "NO-GO"}.get(verdict.severity)
    if worse:
        for text in figures(verdict, preferences):
            yield Change(f"{worse} with {text[:1].lower()}{text[1:]}")


def _plans(verdict: Verdict, preferences: Preferences) -> Iterator[Change]:
    for number, one in enumerate(verdict.alternatives or ()):
        words = change_in_words(one, verdict.plan, preferences)
        yield Change(
            words[:1].upper() + words[1:], one.severity, first_sentence(one.reason), number
        )


def _to_find_out(verdict: Verdict) -> Iterator[Change]:
    """Yield what is not known, and how to find it out."""
    for gap in verdict.unknown:
        if gap.severity == Severity.UNKNOWN:
            yield Change(_gap(gap))


def _gap(gap: Unknown) -> str:
    return f"{gap.what[:1].upper()}{gap.what[1:]}: {gap.why}. {gap.remedy}".rstrip()
