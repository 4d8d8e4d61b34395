"""The checks that the live page shows: read from the history, the newest few held in memory."""

from __future__ import annotations

import itertools
import threading
from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property

from safety_check import __version__
from safety_check.errors import DataError, PlanError, SafetyCheckError
from safety_check.model.verdict import Verdict
from safety_check.report.page.page_map import PageMap, draw_map
from safety_check.settings.settings import Settings, load_settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import CheckRecord, Store
from safety_check.use_cases.asked_again import request_again
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.wave_map import map_hours_around

REMEMBERED = 20  # checks, about a megabyte each; the history has all of them


@dataclass(frozen=True)
class StoredCheck:
    """A check as its page shows it.

    Parameters
    ----------
    number
        Its number in the history; negative where it could not be stored there.
    asked
        A request for the same trip.
    settings
        Today's, for the units and whom to call.
    verdict
        The answer.
    remarks
        What the reader should know about the history, or about the version that made it.
    """

    number: int
    asked: PlanRequest
    settings: Settings
    verdict: Verdict
    remarks: tuple[str, ...] = ()

    @cached_property
    def lake(self) -> PageMap | None:
        """The map; None where the water has no shoreline, or it can't be drawn (see `no_map`)."""
        return self._drawn[0]

    @property
    def no_map(self) -> str:
        """Why the map can't be drawn; empty where it can, or where there is none."""
        return self._drawn[1]

    @cached_property
    def _drawn(self) -> tuple[PageMap | None, str]:
        try:
            maps = map_hours_around(self.verdict, self.settings)
        except SafetyCheckError as trouble:
            return None, f"The map can't be drawn. {trouble}"
        return draw_map(self.verdict, maps, self.settings.preferences), ""


class Shelf:
    """The checks by number; those used last are held in memory, all others are read again.

    Parameters
    ----------
    remembered
        How many are held in memory.
    """

    def __init__(self, remembered: int = REMEMBERED) -> None:
        self.remembered = remembered
        self._held: OrderedDict[int, StoredCheck] = OrderedDict()
        self._not_stored = itertools.count(-1, -1)
        self._lock = threading.Lock()

    def number(self, stored: int | None) -> int:
        """Return the number of a new check: that of the history, else a negative one."""
        return next(self._not_stored) if stored is None else stored

    def hold(self, check: StoredCheck) -> StoredCheck:
        """Hold a check in memory, in place of the one that was used longest ago."""
        with self._lock:
            self._held[check.number] = check
            self._held.move_to_end(check.number)
            while len(self._held) > self.remembered:
                self._held.popitem(last=False)
        return check

    def check(self, number: int) -> StoredCheck | None:
        """Return a check; None where there is none of this number.

        Raises
        ------
        DataError
            Where the history or this check can't be read.
        """
        held = self._held.get(number)
        if held is not None:
            return self.hold(held)
        return None if number < 1 else self._read(number)

    def _read(self, number: int) -> StoredCheck | None:
        settings = load_settings()
        try:
            with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
                record = store.check(number)
        except PlanError:
            return None
        return self.hold(as_stored(record, settings))

    def newest(self) -> int | None:
        """Return the number of the newest check; None where there is none.

        Raises
        ------
        DataError
            Where the history can't be read and no check is held in memory.
        """
        with self._lock:
            mine = min((number for number in self._held if number < 0), default=None)
            lost = None if mine is None else self._held[mine]
        try:
            with Store.open(load_settings().folders.data, SHORT_PATIENCE) as store:
                line = next(iter(store.checks(1)), None)
        except DataError:
            if lost is None:
                raise
            line = None
        if lost is not None and (line is None or line.at <= lost.verdict.at):
            return lost.number
        return None if line is None else line.id


def as_stored(record: CheckRecord, settings: Settings) -> StoredCheck:
    """Return a check of the history as its page shows it."""
    kept = record.kept
    return StoredCheck(
        number=record.line.id,
        asked=request_again(kept),
        settings=settings.at(kept.plan.launch),
        verdict=kept.verdict,
        remarks=_on_version(record.line.program),
    )


def _on_version(program: str) -> tuple[str, ...]:
    if program == __version__:
        return ()
    return (
        f"safety-check {program} made this check, and this is {__version__}. Check again for what"
        " this version says.",
    )
