"""Official warnings as a quantity: their level in each hour, and their headlines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache

import numpy as np

from safety_check.arrays import FloatArray, TimeArray
from safety_check.model.verdict import Severity
from safety_check.model.weather import Alert, Briefing, Provenance
from safety_check.rules.alerts import AlertMeanings, alert_severity, holds_during
from safety_check.settings import toml_file
from safety_check.settings.alert_classes import MEANINGS, load_alert_classes
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict


class AlertEntry(Strict):
    """One [[alert]] of alerts.toml."""

    severity: str
    basis: Basis
    source: str
    since: date
    checked: date
    events: dict[str, str]


class AlertsFile(Strict):
    """alerts.toml."""

    alert: list[AlertEntry]


@cache
def alert_meanings() -> AlertMeanings:
    """Return what each official alert means for a small craft; the newest entry holds."""
    file = toml_file.read(shipped_file("alerts.toml"), AlertsFile)
    entries = sorted(file.alert, key=lambda entry: entry.since)
    events = {event: MEANINGS[entry.severity] for entry in entries for event in entry.events}
    return AlertMeanings(events, load_alert_classes)


@dataclass(frozen=True)
class Warnings:
    """Official warnings over the hours.

    Parameters
    ----------
    level : array (1, hour)
        0 none, 1 caution, 3 no-go; NaN where none was found, but neither the user nor a service
        that covers this place has said that there is none.
    headlines
        The service's own headlines of those in force in the hours, worst first.
    """

    level: FloatArray
    headlines: tuple[str, ...]


def warnings_known(briefing: Briefing, greatest_age: Mapping[str, float]) -> bool:
    """Return whether a service or the user has answered about warnings here recently enough."""
    return bool(words_that_count(briefing, greatest_age))


def words_that_count(
    briefing: Briefing, greatest_age: Mapping[str, float]
) -> tuple[Provenance, ...]:
    """Return the answers about official warnings at this place that are recent enough.

    Parameters
    ----------
    briefing
        It lists every service that answered, and holds the time of the check.
    greatest_age
        Source → how old its answer may be; one without an entry does not count. [s]
    """
    return tuple(
        word
        for word in briefing.warnings_read
        if timedelta(0)
        <= briefing.at - word.fetched
        <= timedelta(seconds=greatest_age.get(word.source, -1.0))
    )


def warnings_over(
    alerts: Iterable[Alert], hours: TimeArray, meanings: AlertMeanings, known: bool
) -> Warnings:
    """Return which warnings are in force in each hour.

    Parameters
    ----------
    alerts
        As received.
    hours : array (hour,)
        Start of each hour.
    meanings
        What each alert means for a small craft.
    known
        Whether the official warnings of this place are known; see `warnings_known`.
    """
    level = np.zeros((1, len(hours)))
    said: dict[str, Severity] = {}
    for alert in alerts:
        severity = alert_severity(alert, meanings)
        held = np.array([_holds(alert, hour) for hour in hours])
        level = np.where(held, np.maximum(level, float(severity)), level)
        if held.any() and severity > Severity.GO:
            said[alert.headline or alert.event] = severity
    if not known:
        level = np.where(level > 0, level, np.nan)
    return Warnings(level, tuple(sorted(said, key=lambda word: -said[word])))


def _holds(alert: Alert, hour: np.datetime64) -> bool:
    start: datetime = hour.astype("datetime64[s]").item()
    start = start.replace(tzinfo=UTC)
    return holds_during(alert, start, start + timedelta(hours=1))
