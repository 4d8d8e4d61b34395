"""The history: every check as it was made, what was seen, and how the trips went."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from safety_check.archive import packed, unpacked
from safety_check.errors import PlanError
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing, Observation
from safety_check.settings import UserSettings
from safety_check.store_schema import NAME, opened, transaction, trouble_with
from safety_check.trips import Trip

LATEST = 20


@dataclass(frozen=True)
class CheckLine:
    """One line of the history.

    Parameters
    ----------
    id
        Its number, never given twice.
    at
        The clock of the check. UTC
    name
        What the user calls the plan; "" where it has no name.
    water, launch, craft, start, end
        What was planned.
    severity, because
        The verdict, and the reason of its first finding.
    program
        The version that made it.
    """

    id: int
    at: datetime
    name: str
    water: str
    launch: str
    craft: str
    start: datetime
    end: datetime
    severity: Severity
    because: str
    program: str


@dataclass(frozen=True)
class Kept:
    """All that a check rests on, so that it can be made again.

    Parameters
    ----------
    verdict
        The answer, its plan included; each finding names the limit that held.
    briefing
        What the sources said, and the clock.
    user
        The user's own limits, odds and units of that day; no contact, no keys.
    """

    verdict: Verdict
    briefing: Briefing
    user: UserSettings

    @property
    def plan(self) -> Plan:
        """What was asked, with water, craft and paddler as they were."""
        return self.verdict.plan


@dataclass(frozen=True)
class SavedCheck:
    """A check from the history."""

    line: CheckLine
    kept: Kept


class Store:
    """The history file; several processes may have it open and write.

    Use it in a `with` statement, so that it is closed. A method that returns has
    written to the disk.

    Parameters
    ----------
    path, connection
        See `open`.
    set_aside
        Where a damaged file was moved on opening; None where there was none. Say it.

    Raises
    ------
    DataError
        From `open` and every method, where the file can't be used.
    """

    def __init__(
        self, path: Path, connection: sqlite3.Connection, set_aside: Path | None = None
    ) -> None:
        self.path = path
        self.set_aside = set_aside
        self._connection = connection

    @classmethod
    def open(cls, folder: Path) -> Store:
        """Open the history in a folder (`Folders.data`), made anew where there is none."""
        path = folder / NAME
        connection, set_aside = opened(path)
        return cls(path, connection, set_aside)

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # -- checks ------------------------------------------------------------------------------

    def save_check(
        self,
        verdict: Verdict,
        briefing: Briefing,
        user: UserSettings,
        program: str,
        name: str = "",
    ) -> int:
        """Keep a check with all that it rests on; return its number.

        Parameters
        ----------
        verdict, briefing
            The answer, and what came from the sources.
        user
            The settings in force; contact and keys are left out.
        program
            This program's version.
        name
            What the user calls the plan.
        """
        plan = verdict.plan
        because = verdict.findings[0].reason if verdict.findings else ""
        archive = packed(Kept(verdict, briefing, _without_secrets(user)))
        row = (
            _text(verdict.at),
            name,
            plan.water.name,
            plan.launch.name,
            plan.craft.name,
            _text(plan.start),
            _text(plan.end),
            int(verdict.severity),
            because,
            program,
            archive,
        )
        with self._writing() as connection:
            number = _number(connection.execute(INSERT_CHECK, row))
            for each in briefing.observations:
                _insert_observation(connection, plan.water.name, plan.launch.name, each)
        return number

    def checks(
        self,
        limit: int = LATEST,
        water: str | None = None,
        launch: str | None = None,
        name: str | None = None,
        since: datetime | None = None,
        before: int | None = None,
    ) -> tuple[CheckLine, ...]:
        """Return the newest checks, the newest first.

        Parameters
        ----------
        limit
            How many at most.
        water, launch, name
            Only those; None is any.
        since
            Only checks whose clock stood there or later.
        before
            Only checks saved before the one with this number.
        """
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT {LINE} FROM checks"
                " WHERE (?1 IS NULL OR water = ?1) AND (?2 IS NULL OR launch = ?2)"
                " AND (?3 IS NULL OR name = ?3) AND (?4 IS NULL OR at >= ?4)"
                " AND (?5 IS NULL OR id < ?5)"
                " ORDER BY id DESC LIMIT ?6",
                (water, launch, name, _text(since) if since else None, before, limit),
            ).fetchall()
        return tuple(map(_line, rows))

    def check(self, number: int) -> SavedCheck:
        """Return one check, whole.

        Raises
        ------
        PlanError
            Where the history has no such check.
        DataError
            Where it can't be read any more.
        """
        with self._reading() as connection:
            row = connection.execute(
                f"SELECT {LINE}, archive FROM checks WHERE id = ?", (number,)
            ).fetchone()
        if row is None:
            raise PlanError(f"the history has no check {number}. See: safety-check history list")
        return SavedCheck(_line(row[:-1]), unpacked(Kept, row[-1]))

    def last_check(self, name: str | None = None, water: str | None = None) -> SavedCheck | None:
        """Return the newest check, of a named plan or a water where one is given."""
        lines = self.checks(1, water=water, name=name)
        return self.check(lines[0].id) if lines else None

    def last_plan(self, name: str | None = None) -> Plan | None:
        """Return the plan of the newest check, or of the newest one of that name."""
        last = self.last_check(name)
        return last.kept.plan if last else None

    # -- what was seen -----------------------------------------------------------------------

    def save_observation(self, water: str, launch: str, seen: Observation) -> None:
        """Keep what was seen at a launch; the same report twice is kept once."""
        with self._writing() as connection:
            _insert_observation(connection, water, launch, seen)

    def observations(
        self, water: str, launch: str | None = None, quantity: str | None = None
    ) -> tuple[Observation, ...]:
        """Return what was seen at a water, with every check or by itself, the oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT archive FROM observations WHERE water = ?1"
                " AND (?2 IS NULL OR launch = ?2) AND (?3 IS NULL OR quantity = ?3) ORDER BY time",
                (water, launch, quantity),
            ).fetchall()
        return tuple(unpacked(Observation, row[0]) for row in rows)

    # -- trips -------------------------------------------------------------------------------

    def save_trip(self, trip: Trip) -> int:
        """Keep a logged trip; return its number."""
        row = (
            _text(trip.logged),
            trip.water,
            trip.launch,
            trip.craft,
            _text(trip.start),
            trip.went,
            trip.wind_speed,
            trip.wind_speed_of_gust,
            trip.wave_height,
            trip.beaufort,
            trip.comfort,
            trip.notes,
            trip.check,
        )
        with self._writing() as connection:
            return _number(connection.execute(INSERT_TRIP, row))

    def trips(self, craft: str | None = None, water: str | None = None) -> tuple[Trip, ...]:
        """Return the logged trips, the oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT id, {TRIP} FROM trips WHERE (?1 IS NULL OR craft = ?1)"
                " AND (?2 IS NULL OR water = ?2) ORDER BY start, id",
                (craft, water),
            ).fetchall()
        return tuple(map(_trip, rows))

    # -- the file ----------------------------------------------------------------------------

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        try:
            yield self._connection
        except sqlite3.Error as trouble:
            raise trouble_with(self.path, trouble) from trouble

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._reading() as connection, transaction(connection):
            yield connection


LINE = 'id, at, name, water, launch, craft, start, "end", severity, because, program'
TRIP = (
    "logged, water, launch, craft, start, went, wind_speed, wind_speed_of_gust, wave_height,"
    " beaufort, comfort, notes, check_id"
)


def _insert(table: str, columns: str) -> str:
    places = ", ".join("?" * (columns.count(",") + 1))
    return f"INSERT INTO {table} ({columns}) VALUES ({places})"


INSERT_CHECK = _insert("checks", f"{LINE.removeprefix('id, ')}, archive")
INSERT_TRIP = _insert("trips", TRIP)


def _insert_observation(
    connection: sqlite3.Connection, water: str, launch: str, seen: Observation
) -> None:
    connection.execute(
        "INSERT OR IGNORE INTO observations (water, launch, quantity, time, station, archive)"
        " VALUES (?, ?, ?, ?, ?, ?)",
        (water, launch, seen.quantity, _text(seen.time), seen.station, packed(seen)),
    )


def _number(cursor: sqlite3.Cursor) -> int:
    return int(cursor.lastrowid or 0)


def _text(moment: datetime) -> str:
    """Return a time so that the order of the texts is the order of the times."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def _line(row: Iterable[Any]) -> CheckLine:
    id_, at, name, water, launch, craft, start, end, severity, because, program = row
    return CheckLine(
        id=id_,
        at=datetime.fromisoformat(at),
        name=name,
        water=water,
        launch=launch,
        craft=craft,
        start=datetime.fromisoformat(start),
        end=datetime.fromisoformat(end),
        severity=Severity(severity),
        because=because,
        program=program,
    )


def _trip(row: Iterable[Any]) -> Trip:
    number, logged, water, launch, craft, start, went, wind, gust, wave, *said = row
    beaufort, comfort, notes, check = said
    wind, gust, wave = (float("nan") if each is None else each for each in (wind, gust, wave))
    return Trip(
        water=water,
        launch=launch,
        craft=craft,
        start=datetime.fromisoformat(start),
        logged=datetime.fromisoformat(logged),
        went=bool(went),
        wind_speed=wind,
        wind_speed_of_gust=gust,
        wave_height=wave,
        beaufort=beaufort,
        comfort=comfort,
        notes=notes,
        check=check,
        number=number,
    )


def _without_secrets(user: UserSettings) -> UserSettings:
    return UserSettings(units=user.units, paddler=user.paddler, limit=user.limit, odds=user.odds)
