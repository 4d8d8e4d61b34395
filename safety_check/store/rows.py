"""The rows of the history, and how checks, trips and observations become rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import astuple, dataclass, field, fields, replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.conditions.forecast_trend import ForecastSummary, PastChecks
from safety_check.errors import DataError
from safety_check.model.history import CheckLine
from safety_check.model.plan import Plan
from safety_check.model.trip import Trip
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing, Observation
from safety_check.settings.user_file import UserSettings
from safety_check.store.serialize import serialize


@dataclass(frozen=True)
class StoredCheck:
    """All that a check depends on, so that it can be repeated.

    Parameters
    ----------
    verdict
        The answer, its plan included; each finding names the limit that held.
    briefing
        What the sources answered, and the time of the check.
    user
        The user's own limits, odds and units of that day; no contact, no keys.
    past
        What it used from earlier checks.
    words
        What was asked for, in the user's own words by field, to ask for it again; empty in checks
        of older versions.
    """

    verdict: Verdict
    briefing: Briefing
    user: UserSettings
    past: PastChecks = field(default_factory=PastChecks)
    words: Mapping[str, str] = field(default_factory=dict)

    @property
    def plan(self) -> Plan:
        """What was asked, with water, craft and paddler as they were."""
        return self.verdict.plan


@dataclass(frozen=True)
class CheckRecord:
    """A check from the history."""

    line: CheckLine
    kept: StoredCheck


@dataclass(frozen=True)
class ObservedWind:
    """A wind or gust [m s⁻¹] that a station or the user's own eyes reported near a launch."""

    quantity: str
    time: datetime
    value: float


def columns(kind: type, *left_out: str) -> str:
    """Return the fields of a type as a list of columns."""
    names = [column.name for column in fields(kind) if column.name not in left_out]
    return ", ".join(f'"{name}"' for name in names)


def insert(table: str, names: str) -> str:
    """Return the statement that adds a row."""
    places = ", ".join("?" * (names.count(",") + 1))
    return f"INSERT INTO {table} ({names}) VALUES ({places})"


CHECK = columns(CheckLine)
TRIP = columns(Trip)
INSERT_CHECK = insert("checks", columns(CheckLine, "id") + ", archive, said")
INSERT_TRIP = insert("trips", columns(Trip, "id"))
INSERT_OBSERVATION = insert(
    "observations", "water, launch, quantity, time, station, value, distance, flagged, archive"
).replace("INSERT", "INSERT OR IGNORE")


def as_text(moment: datetime) -> str:
    """Return a time so that the order of the texts is the order of the times."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def check_row(
    kept: StoredCheck, program: str, name: str, said: ForecastSummary | None
) -> tuple[Any, ...]:
    """Return a check as a row, the user's contact and keys left out."""
    plan = kept.plan
    user = kept.user
    public = UserSettings(units=user.units, paddler=user.paddler, limit=user.limit, odds=user.odds)
    return (
        as_text(kept.verdict.at),
        name,
        plan.water.name,
        plan.launch.name,
        plan.water.time_zone,
        plan.craft.name,
        as_text(plan.start),
        as_text(plan.end),
        int(kept.verdict.severity),
        deciding_reason(kept.verdict),
        program,
        serialize(replace(kept, user=public)),
        None if said is None else serialize(said),
    )


def deciding_reason(verdict: Verdict) -> str:
    """Return why a verdict is what it is; empty for a GO.

    A source that did not answer decides where no finding is as severe as the verdict.
    """
    if verdict.severity == Severity.GO:
        return ""
    found = [finding.reason for finding in verdict.findings if finding.severity == verdict.severity]
    held = [
        f"{unknown.what.capitalize()}: {unknown.why}"
        for unknown in verdict.unknown
        if unknown.severity == verdict.severity
    ]
    return next(iter((*found, *held)), "")


def check_line(row: Iterable[Any]) -> CheckLine:
    """Return a row of checks, without its archive.

    Raises
    ------
    DataError, ValueError, TypeError, LookupError, OSError
        Where the row is damaged.
    """
    line = CheckLine(*row)
    _require_text(
        line.name, line.water, line.launch, line.craft, line.because, line.program, line.time_zone
    )
    ZoneInfo(line.time_zone)
    return CheckLine(
        **vars(line)
        | {name: _moment(getattr(line, name)) for name in ("at", "start", "end")}
        | {"severity": Severity(line.severity)}
    )


def trip_row(trip: Trip) -> tuple[Any, ...]:
    """Return a trip as a row; SQLite writes NaN as null."""
    _, *values = astuple(trip)
    return tuple(as_text(value) if isinstance(value, datetime) else value for value in values)


def trip_from(row: Iterable[Any]) -> Trip:
    """Return a row of trips; null means not reported."""
    trip = Trip(*row)
    _require_text(trip.water, trip.launch, trip.craft, trip.notes, trip.time_zone)
    ZoneInfo(trip.time_zone)
    numbers = [field.name for field in fields(Trip) if field.type == "float"]
    return Trip(
        **vars(trip)
        | {name: _moment(getattr(trip, name)) for name in ("start", "logged")}
        | {name: _number(getattr(trip, name)) for name in numbers}
        | {
            column.name: column.default
            for column in fields(Trip)
            if getattr(trip, column.name) is None
        }
        | {"went": bool(trip.went)}
        | {"ended": None if trip.ended is None else _moment(str(trip.ended))}
    )


def observed_wind(row: tuple[Any, ...]) -> ObservedWind:
    """Return quantity, time and value of a row of observations."""
    quantity, time, value = row
    _require_text(quantity)
    return ObservedWind(quantity, _moment(time), _number(value))


def _require_text(*values: object) -> None:
    for value in values:
        if not isinstance(value, str):
            raise DataError(f"{value!r} is not a text")


def _moment(text: str) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise DataError(f"{text!r} has no offset from UTC")
    return moment


def _number(value: float | None) -> float:
    return float("nan") if value is None else float(value)


def observation_row(water: str, launch: str, seen: Observation) -> tuple[Any, ...]:
    """Return an observation as a row."""
    return (
        water,
        launch,
        seen.quantity,
        as_text(seen.time),
        seen.station,
        seen.value,
        seen.distance,
        seen.flagged,
        serialize(seen),
    )
