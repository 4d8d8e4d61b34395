"""Newer checks of the trips whose pages are open, made at the pace of a watch."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime

from safety_check.errors import DataError, PlanError, SafetyCheckError
from safety_check.model.local_clock import LocalClock
from safety_check.report.newer import describe_newer
from safety_check.settings.settings import load_settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import CheckRecord, Store
from safety_check.use_cases.watch import USUAL_PERIOD
from safety_check.web.news import changes_between, same_trip
from safety_check.web.session import Session

MOST_TRIPS = 6  # that are checked in one period, whoever opens how many pages
LISTENS = 60.0  # s; how often an open page asks here, which asks no service
SOON = 3.0  # s; while a check is at work
SEARCHED = 100  # of the newest checks at a launch


@dataclass(frozen=True)
class Update:
    """What an open page is told.

    Parameters
    ----------
    text
        What changed, in words; empty where nothing did.
    number
        The newer check; None where there is none, or it changes nothing.
    again_in
        When to ask again [s]; None where nothing will change any more.
    full
        Whether too many trips are open at once, so that this one is not checked.
    """

    text: str = ""
    number: int | None = None
    again_in: float | None = LISTENS
    full: bool = False


class Updates:
    """Checks an open page's trip again in the background; nothing runs where no page asks.

    Parameters
    ----------
    session
        Checks.
    beside
        Does slow work in a thread, few at the same time.
    """

    def __init__(
        self, session: Session, beside: Callable[[Callable[[], None]], Awaitable[None]]
    ) -> None:
        self._session, self._beside = session, beside
        self._tried: OrderedDict[str, tuple[datetime, str]] = OrderedDict()
        self._running: dict[str, asyncio.Future[None]] = {}

    def look(self, number: int) -> tuple[Update, CheckRecord | None]:
        """Return what a page is told now, and the check to repeat where one is due.

        Parameters
        ----------
        number
            The check that the page shows.
        """
        settings = load_settings()
        try:
            with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
                shown = store.check(number)
                newest = newest_of_trip(store, shown)
        except (PlanError, DataError):
            return Update(again_in=None), None
        plan = shown.kept.plan
        now = self._session.now(plan.water.time_zone)
        if plan.end <= now:
            return Update(again_in=None), None
        update = Update()
        if newest.line.id != shown.line.id:
            prefer = settings.at(plan.launch).preferences
            clock = LocalClock.of(plan)
            text = describe_newer(changes_between(shown, newest), prefer, clock)
            update = Update(text, newest.line.id if text else None)
        return update, newest if is_due(newest, now) else None

    def answer(self, update: Update, due: CheckRecord | None) -> Update:
        """Begin the check that is due, unless it was tried a moment ago; return what to tell.

        It must be called in the event loop.
        """
        if due is None:
            return update
        trip = trip_of(due)
        if trip in self._running:
            return Update(update.text, update.number, SOON)
        now = self._session.now(due.kept.plan.water.time_zone)
        self._forget_before(now)
        if trip in self._tried:
            return Update(update.text or self._tried[trip][1], update.number)
        if len(self._tried) >= MOST_TRIPS:
            return Update(update.text, update.number, full=True)
        self._tried[trip] = (now, "")
        self._running[trip] = asyncio.ensure_future(self._check(trip, due.line.id))
        return Update(update.text, update.number, SOON)

    async def _check(self, trip: str, number: int) -> None:
        try:
            await self._beside(lambda: self._again(trip, number))
        finally:
            self._running.pop(trip, None)

    def _again(self, trip: str, number: int) -> None:
        try:
            before = self._session.done(number)
            if before is not None:
                self._session.again(before)
        except SafetyCheckError as trouble:
            self._tried[trip] = (self._tried[trip][0], f"This trip could not be checked: {trouble}")

    def _forget_before(self, now: datetime) -> None:
        for trip, (tried, _) in list(self._tried.items()):
            if not now - USUAL_PERIOD < tried <= now:
                del self._tried[trip]


def is_due(newest: CheckRecord, now: datetime) -> bool:
    """Return whether a watch would check again: a period has passed, or the launch has come."""
    at, start = newest.kept.verdict.at, newest.kept.plan.start
    return now - at >= USUAL_PERIOD or at < start <= now


def newest_of_trip(store: Store, shown: CheckRecord) -> CheckRecord:
    """Return the newest check of a check's trip, whoever made it."""
    line = shown.line
    for other in store.checks(SEARCHED, water=line.water, launch=line.launch, since=line.at):
        if other.id <= line.id:
            break
        if (other.craft, other.end) == (line.craft, line.end):
            found = store.check(other.id)
            if same_trip(shown, found):
                return found
    return shown


def trip_of(record: CheckRecord) -> str:
    """Return what names a trip, whichever of its checks it is."""
    line = record.line
    return "\n".join((line.water, line.launch, line.craft, line.end.isoformat()))
