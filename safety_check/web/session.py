"""The work behind the live page: check, set a limit, log a trip; no HTTP."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from safety_check.assess.verdict import require_sound_limit
from safety_check.errors import DataError, PlanError
from safety_check.model.place import Water
from safety_check.model.trip import Trip
from safety_check.settings.edit import edit_settings, replace_limit
from safety_check.settings.settings import Settings, load_settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import Store
from safety_check.use_cases.asked_again import next_request, read_at
from safety_check.use_cases.check import check_plan
from safety_check.use_cases.own_word import NONE
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.recheck import RecheckRequest, recheck_plan
from safety_check.use_cases.times_in_words import parse_time
from safety_check.use_cases.trip_log import TripReport, log_trip
from safety_check.waters import files
from safety_check.web.stored import REMEMBERED, Shelf, StoredCheck

__all__ = ["REMEMBERED", "Session", "StoredCheck", "required"]

T = TypeVar("T")


class Session:
    """The user's own waters, limits, checks and trips.

    Parameters
    ----------
    forecast
        A saved forecast that every check uses; None asks the live services.
    as_of
        The time of every check, for an old file.
    first
        The values of the form before the first check.
    remembered
        How many checks are held in memory; the others are read from the history.
    """

    def __init__(
        self,
        forecast: Path | None = None,
        as_of: str | None = None,
        first: PlanRequest | None = None,
        remembered: int = REMEMBERED,
    ) -> None:
        self.forecast, self.as_of = forecast, as_of
        self.first = first or PlanRequest()
        self.shelf = Shelf(remembered)
        self._lock = threading.Lock()

    # -- to choose from ----------------------------------------------------------------------

    def settings(self) -> Settings:
        """Return the user's current settings."""
        return load_settings()

    def waters(self) -> list[Water]:
        """Return the user's waters in order."""
        folder = self.settings().folders.waters
        return [files.load(name, folder) for name in files.names(folder)]

    def change(self, work: Callable[[], T]) -> T:
        """Do what changes the user's files, one piece of work at a time."""
        with self._lock:
            return work()

    # -- checks ------------------------------------------------------------------------------

    def now(self, zone: str) -> datetime:
        """Return the time of a check that is made now.

        Parameters
        ----------
        zone
            The time zone of its water, in which a fixed time is understood.
        """
        now = datetime.now(UTC)
        return now if self.as_of is None else parse_time(self.as_of, zone, now, "--as-of")

    def over(self, done: StoredCheck) -> bool:
        """Return whether the trip of a check is over, so that it can't be checked again."""
        plan = done.verdict.plan
        return plan.end <= self.now(plan.water.time_zone)

    def check(self, asked: PlanRequest) -> StoredCheck:
        """Check a request, and store the result."""
        settings = self.settings()
        made = check_plan(replace(asked, as_of=self.as_of), settings, self.forecast)
        return self.shelf.hold(
            StoredCheck(
                number=self.shelf.number(made.number),
                asked=replace(asked, read_at=read_at(made.verdict)),
                settings=settings.at(made.verdict.plan.launch),
                verdict=made.verdict,
                remarks=made.remarks,
            )
        )

    def again(self, before: StoredCheck, read: str | None = None) -> StoredCheck:
        """Check the trip of a check again, with newer data, and store the result.

        Parameters
        ----------
        before
            The earlier check.
        read
            When the user read that no official warning is in force, in words; None where they
            did not say.

        Raises
        ------
        PlanError
            Where the trip is over.
        """
        if before.number < 0:  # not in the history, which a re-check reads
            return self.check(replace(before.asked, read_at=read, warnings=read and NONE))
        settings = self.settings()
        asked = RecheckRequest(
            number=before.number,
            forecast=self.forecast,
            as_of=self.as_of,
            warnings=None if read is None else NONE,
            read_at=read,
        )
        done = recheck_plan(asked, settings)
        return self.shelf.hold(
            StoredCheck(
                number=self.shelf.number(done.number),
                asked=replace(before.asked, read_at=read_at(done.verdict)),
                settings=settings.at(done.verdict.plan.launch),
                verdict=done.verdict,
                remarks=done.remarks,
            )
        )

    def done(self, number: int) -> StoredCheck | None:
        """Return a check by its number; None where it does not exist."""
        return self.shelf.check(number)

    def last(self) -> StoredCheck | None:
        """Return the newest check; None where there is none that can be read."""
        try:
            newest = self.shelf.newest()
            return None if newest is None else self.done(newest)
        except DataError:
            return None

    def proposed(self) -> PlanRequest:
        """Return what the form proposes: the trip of the newest check, not in the past."""
        last = self.last()
        if last is None:
            return self.first
        return next_request(
            last.asked, last.verdict.plan, self.now(last.verdict.plan.water.time_zone)
        )

    # -- the user's own limits ---------------------------------------------------------------

    def limit(self, before: StoredCheck, table: dict[str, Any]) -> StoredCheck:
        """Set a limit of the user's own for the craft of a check, and check the same again."""
        table = {"craft": before.verdict.plan.craft.name, **table}
        require_sound_limit(self.settings(), table)
        return self._with_limits(before, str(table["quantity"]), [table])

    def default_limit(self, before: StoredCheck, quantity: str) -> StoredCheck:
        """Go back to the default limit for the craft of a check, and check the same again."""
        return self._with_limits(before, quantity, [])

    def _with_limits(
        self, before: StoredCheck, quantity: str, tables: list[dict[str, Any]]
    ) -> StoredCheck:
        whose = (before.verdict.plan.craft.name, quantity)
        if self.over(before):
            raise PlanError(OVER)

        def edit(document: Any) -> None:
            replace_limit(document, *whose, tables)

        with self._lock:
            edit_settings(edit)
        return self.again(before)

    # -- trips -------------------------------------------------------------------------------

    def log(self, told: TripReport) -> Trip:
        """Add a trip to the log."""
        with self._store() as store:
            return log_trip(told, store, self.settings(), datetime.now(UTC))

    def trips(self) -> tuple[Trip, ...]:
        """Return the logged trips, the oldest first."""
        with self._store() as store:
            return store.trips()

    @contextmanager
    def _store(self) -> Iterator[Store]:
        with Store.open(self.settings().folders.data, SHORT_PATIENCE) as store:
            yield store


OVER = (
    "this trip is over, so it can't be checked again, and no limit was changed. Plan a new trip"
    " with New check, then change the limit there."
)


def required(done: StoredCheck | None) -> StoredCheck:
    """Return the check that a form refers to.

    Raises
    ------
    PlanError
        Where there is none.
    """
    if done is None:
        raise PlanError("there is no such check. Make a new one, then change its limits.")
    return done
