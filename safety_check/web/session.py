"""The work behind the live page: check, set a limit, log a trip; no HTTP."""

from __future__ import annotations

import itertools
import threading
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.assess.verdict import require_sound_limit
from safety_check.errors import PlanError
from safety_check.model.place import Water
from safety_check.model.trip import Trip
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import OWN_WORD
from safety_check.report.page.page_map import PageMap, draw_map
from safety_check.settings.edit import edit_settings, replace_limit
from safety_check.settings.settings import Settings, load_settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import Store
from safety_check.use_cases.check import check_plan
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.trip_log import TripReport, log_trip
from safety_check.use_cases.wave_map import map_hours_around
from safety_check.waters import files

REMEMBERED = 20  # checks, about a megabyte each


@dataclass(frozen=True)
class StoredCheck:
    """A check made here.

    Parameters
    ----------
    number
        Counted since the server started.
    asked, settings, verdict
        The request, the settings and the verdict.
    remarks
        Notes about the history itself.
    news
        How a changed limit changed the verdict; empty where none was changed.
    lake
        The drawn map.
    """

    number: int
    asked: PlanRequest
    settings: Settings
    verdict: Verdict
    remarks: tuple[str, ...] = ()
    news: str = ""
    lake: PageMap | None = None


class Session:
    """The user's own waters, limits and trips, and the checks made since the start.

    Parameters
    ----------
    forecast
        A saved forecast that every check uses; None asks the live services.
    as_of
        The time of every check, for an old file.
    first
        The values of the form before the first check.
    remembered
        How many checks can be shown again; the history has all of them.
    """

    def __init__(
        self,
        forecast: Path | None = None,
        as_of: str | None = None,
        first: PlanRequest | None = None,
        remembered: int = REMEMBERED,
    ) -> None:
        self.forecast, self.as_of, self.remembered = forecast, as_of, remembered
        self.first = first or PlanRequest()
        self._numbers = itertools.count(1)
        self._done: OrderedDict[int, StoredCheck] = OrderedDict()
        self._lock = threading.Lock()

    # -- to choose from ----------------------------------------------------------------------

    def settings(self) -> Settings:
        """Return the user's current settings."""
        return load_settings()

    def waters(self) -> list[Water]:
        """Return the user's waters in order."""
        folder = self.settings().folders.waters
        return [files.load(name, folder) for name in files.names(folder)]

    # -- checks ------------------------------------------------------------------------------

    def check(self, asked: PlanRequest, news: str = "") -> StoredCheck:
        """Check a request, and remember the result."""
        settings = self.settings()
        made = check_plan(replace(asked, as_of=self.as_of), settings, self.forecast)
        settings = settings.at(made.verdict.plan.launch)
        lake = draw_map(
            made.verdict, map_hours_around(made.verdict, settings), settings.preferences
        )
        with self._lock:
            number = next(self._numbers)
            again = asked_again(asked, made.verdict)
            done = StoredCheck(number, again, settings, made.verdict, made.remarks, news, lake)
            self._done[done.number] = done
            while len(self._done) > self.remembered:
                self._done.popitem(last=False)
        return done

    def done(self, number: int) -> StoredCheck | None:
        """Return a check by its number; None where it is no longer stored or does not exist."""
        return self._done.get(number)

    def last(self) -> StoredCheck | None:
        """Return the newest check of this run."""
        with self._lock:
            return next(reversed(self._done.values()), None)

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

        def edit(document: Any) -> None:
            replace_limit(document, *whose, tables)

        with self._lock:
            edit_settings(edit)
        done = self.check(before.asked)
        return self._told(done, _news(before.verdict.severity, done.verdict.severity))

    def _told(self, done: StoredCheck, news: str) -> StoredCheck:
        told = replace(done, news=news)
        with self._lock:
            self._done[done.number] = told
        return told

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


def asked_again(asked: PlanRequest, verdict: Verdict) -> PlanRequest:
    """Return a request whose reading time has its date, so that it means the same later."""
    read = [source.fetched for source in verdict.provenance if source.source == OWN_WORD]
    if asked.read_at is None or not read:
        return asked
    local = max(read).astimezone(ZoneInfo(verdict.plan.water.time_zone))
    return replace(asked, read_at=f"{local:%Y-%m-%dT%H:%M}")


def _news(before: Severity, now: Severity) -> str:
    if before == now:
        return f"With the new limit the verdict is still {now}."
    return f"With the new limit the verdict changes from {before} to {now}."


def required(done: StoredCheck | None) -> StoredCheck:
    """Return the check that a form refers to.

    Raises
    ------
    PlanError
        Where it is no longer stored.
    """
    if done is None:
        raise PlanError("this check is no longer available; check again, then change the limit.")
    return done
