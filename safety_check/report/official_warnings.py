"""The official warnings of a trip, in the unaltered words of those who issued them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from safety_check.model.verdict import Verdict
from safety_check.model.weather import Alert
from safety_check.report.words import clock, day

TITLE = "Official warnings as issued"


@dataclass(frozen=True)
class WarningText:
    """A warning as a reader sees it.

    Parameters
    ----------
    title
        Its headline, or the name of its event.
    about
        Event, area, and from when to when.
    text
        The issuer's own paragraphs, unaltered.
    language
        Of that text, as the issuer gives it; empty where it does not say.
    issued
        Who issued it, when and in which language, with the credit and a link.
    """

    title: str
    about: str
    text: tuple[str, ...]
    language: str
    issued: str


def warning_texts(verdict: Verdict) -> list[WarningText]:
    """Return the warnings that hold during a trip, as a reader sees them."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    return list(dict.fromkeys(_text(alert, zone) for alert in verdict.alerts))


def _text(alert: Alert, zone: ZoneInfo) -> WarningText:
    title = alert.headline or alert.event
    event = alert.event if alert.event != title else ""
    when = f"From {_moment(alert.onset, zone)} until {_moment(alert.ends, zone)}"
    return WarningText(
        title=title,
        about=f"{'. '.join(filter(None, (event, alert.area, when)))}.",
        text=tuple(_paragraphs(alert)),
        language=alert.language,
        issued=f"{'. '.join(_issued(alert, zone))}.",
    )


def _paragraphs(alert: Alert) -> Iterator[str]:
    for text in (alert.description, alert.instruction):
        yield from (line for line in text.splitlines() if line.strip())


def _issued(alert: Alert, zone: ZoneInfo) -> Iterator[str]:
    origin = alert.provenance
    who = f"{origin.source} ({origin.model})" if origin.model else origin.source
    sent = f", issued {_moment(alert.sent, zone)}" if alert.sent else ""
    language = f", original text in language {alert.language}" if alert.language else ""
    yield f"{who}{sent}{language}"
    if origin.attribution:
        yield origin.attribution.rstrip(".")
    if alert.link and alert.link not in origin.attribution:
        yield f"Read it at {alert.link}"


def _moment(moment: datetime | None, zone: ZoneInfo) -> str:
    if moment is None:
        return "a time that is not given"
    local = moment.astimezone(zone)
    return f"{day(local)} {clock(local)}"
