"""The history: every check as it was made, the observations, and the logged trips."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from safety_check.conditions.forecast_trend import ForecastSummary
from safety_check.errors import DataError, PlanError
from safety_check.model.history import CheckLine
from safety_check.model.plan import Plan
from safety_check.model.trip import Trip
from safety_check.model.weather import Observation
from safety_check.store.air_days import AirDays
from safety_check.store.file import SPOILED
from safety_check.store.intact import forget, remember
from safety_check.store.rows import (
    CHECK,
    INSERT_CHECK,
    INSERT_OBSERVATION,
    INSERT_TRIP,
    TRIP,
    CheckRecord,
    ObservedWind,
    StoredCheck,
    as_text,
    check_line,
    check_row,
    observation_row,
    observed_wind,
    trip_from,
    trip_row,
)
from safety_check.store.serialize import deserialize

__all__ = ["CheckRecord", "ObservedWind", "Store", "StoredCheck"]

LATEST = 20
GREATEST = 2**63 - 1  # of the numbers of SQLite


class Store(AirDays):
    """The checks, observations and trips of the history file."""

    # -- checks ------------------------------------------------------------------------------

    def save_check(
        self,
        check: StoredCheck,
        program: str,
        name: str = "",
        said: ForecastSummary | None = None,
    ) -> int:
        """Store a check with all that it depends on; return its number.

        Parameters
        ----------
        check
            The verdict and what it depends on; the user's contact and keys are left out.
        program
            This program's version.
        name
            What the user calls the plan.
        said
            A summary of its forecasts, for later checks.
        """
        plan = check.plan
        row = check_row(check, program, name, said)
        seen = [
            observation_row(plan.water.name, plan.launch.name, observation)
            for observation in check.briefing.observations
        ]
        with self._writing() as connection:
            number = int(connection.execute(INSERT_CHECK, row).lastrowid or 0)
            remember(connection, "checks", number)
            for observation in seen:
                _add_observation(connection, observation)
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
        """Return the newest checks, newest first.

        Parameters
        ----------
        limit
            How many at most.
        water, launch, name
            Only those; None is any.
        since
            Only checks made at this time or later.
        before
            Only checks saved before the one with this number.
        """
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT {CHECK} FROM checks"
                " WHERE (?1 IS NULL OR water = ?1) AND (?2 IS NULL OR launch = ?2)"
                " AND (?3 IS NULL OR name = ?3) AND (?4 IS NULL OR at >= ?4)"
                " AND (?5 IS NULL OR id < ?5)"
                " ORDER BY id DESC LIMIT ?6",
                (water, launch, name, since and as_text(since), before, _fitting(limit)),
            ).fetchall()
        return tuple(self._readable(check_line, rows))

    def check(self, number: int) -> CheckRecord:
        """Return one complete check.

        Raises
        ------
        PlanError
            Where the history has no such check.
        DataError
            Where it can no longer be read.
        """
        with self._reading() as connection:
            row = connection.execute(
                f"SELECT {CHECK}, archive FROM checks WHERE id = ?", (_id(number),)
            ).fetchone()
        if row is None:
            raise PlanError(f"the history has no check {number}. See: safety-check history list")
        try:
            return CheckRecord(check_line(row[:-1]), deserialize(StoredCheck, row[-1]))
        except SPOILED as trouble:
            raise DataError(
                f"check {number} of the history is damaged ({trouble}). The other checks are not"
                " affected. Make a new one with: safety-check check"
            ) from trouble

    def last_check(self, name: str | None = None, water: str | None = None) -> CheckRecord | None:
        """Return the newest check, of a named plan or a water where one is given."""
        lines = self.checks(1, water=water, name=name)
        return self.check(lines[0].id) if lines else None

    def last_plan(self, name: str | None = None) -> Plan | None:
        """Return the plan of the newest check, or of the newest one of that name."""
        last = self.last_check(name)
        return last.kept.plan if last else None

    def said(
        self, water: str, launch: str, since: datetime, until: datetime
    ) -> tuple[ForecastSummary, ...]:
        """Return what the forecasts said in checks of a launch, the oldest first.

        Parameters
        ----------
        water, launch
            Names.
        since, until
            Only checks made at or after the first time, and before the second.
        """
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT said FROM checks NOT INDEXED WHERE water = ? AND launch = ? AND at >= ?"
                " AND at < ? AND said IS NOT NULL ORDER BY at",
                (water, launch, as_text(since), as_text(until)),
            ).fetchall()
        return tuple(self._readable(lambda row: deserialize(ForecastSummary, row[0]), rows))

    def said_in(self, numbers: Iterable[int]) -> dict[int, ForecastSummary]:
        """Return what the forecasts said in some checks, by their numbers."""
        wanted = tuple(numbers)
        places = ", ".join("?" * len(wanted))
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT id, said FROM checks WHERE id IN ({places}) AND said IS NOT NULL", wanted
            ).fetchall()
        return dict(
            self._readable(lambda row: (row[0], deserialize(ForecastSummary, row[1])), rows)
        )

    # -- observations ------------------------------------------------------------------------

    def save_observation(self, water: str, launch: str, seen: Observation) -> None:
        """Store the observations at a launch; the same report is stored only once."""
        with self._writing() as connection:
            _add_observation(connection, observation_row(water, launch, seen))

    def observations(
        self,
        water: str,
        launch: str | None = None,
        quantity: str | None = None,
        since: datetime | None = None,
    ) -> tuple[Observation, ...]:
        """Return what was observed at a water, oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT archive FROM observations WHERE water = ?1"
                " AND (?2 IS NULL OR launch = ?2) AND (?3 IS NULL OR quantity = ?3)"
                " AND (?4 IS NULL OR time >= ?4) ORDER BY time",
                (water, launch, quantity, since and as_text(since)),
            ).fetchall()
        return tuple(self._readable(lambda row: deserialize(Observation, row[0]), rows))

    def winds_seen(
        self, water: str, launch: str, until: datetime, within: float
    ) -> tuple[ObservedWind, ...]:
        """Return winds and gusts that were reported near a launch and not in doubt.

        Parameters
        ----------
        water, launch
            Names.
        until
            Only observations before this time.
        within
            Only from stations no farther from the launch. [m]
        """
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT quantity, time, value FROM observations WHERE water = ? AND launch = ?"
                " AND quantity IN ('wind_speed', 'wind_speed_of_gust') AND time < ?"
                " AND distance <= ? AND NOT flagged AND value IS NOT NULL ORDER BY time",
                (water, launch, as_text(until), within),
            ).fetchall()
        return tuple(self._readable(observed_wind, rows))

    # -- trips -------------------------------------------------------------------------------

    def save_trip(self, trip: Trip) -> int:
        """Store a logged trip; return its number."""
        with self._writing() as connection:
            number = int(connection.execute(INSERT_TRIP, trip_row(trip)).lastrowid or 0)
            remember(connection, "trips", number)
        return number

    def trips(self, craft: str | None = None, water: str | None = None) -> tuple[Trip, ...]:
        """Return the logged trips, the oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT {TRIP} FROM trips WHERE (?1 IS NULL OR craft = ?1)"
                " AND (?2 IS NULL OR water = ?2) ORDER BY start, id",
                (craft, water),
            ).fetchall()
        return tuple(self._readable(trip_from, rows))

    def remove_trip(self, number: int) -> None:
        """Delete a trip from the log.

        Raises
        ------
        PlanError
            Where the log has no such trip.
        """
        with self._writing() as connection:
            gone = connection.execute("DELETE FROM trips WHERE id = ?", (_id(number),)).rowcount
            forget(connection, "trips", _id(number))
        if not gone:
            raise PlanError(f"the log has no trip {number}. See: safety-check trip list")


def _id(number: int) -> int:
    """Return a number that SQLite can look for; there is no check 0."""
    return number if abs(number) <= GREATEST else 0


def _fitting(limit: int) -> int:
    return max(0, min(limit, GREATEST))


def _add_observation(connection: sqlite3.Connection, row: tuple[Any, ...]) -> None:
    added = connection.execute(INSERT_OBSERVATION, row)
    if added.rowcount == 1:
        remember(connection, "observations", int(added.lastrowid or 0))
