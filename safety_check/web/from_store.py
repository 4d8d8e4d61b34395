"""What the pages of history and log read from the store."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from safety_check.errors import PlanError
from safety_check.model.history import CheckLine
from safety_check.model.trip import SuggestedLimits
from safety_check.settings.settings import Settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import Store
from safety_check.use_cases.trip_log import suggest_limits
from safety_check.web.session import Session


def read_history(session: Session, number: int, before: int | None = None) -> tuple[CheckLine, ...]:
    """Return checks of the history, the newest first.

    Parameters
    ----------
    session
        Whose.
    number
        How many at most.
    before
        Only checks that were stored before the one with this number.
    """
    with _store(session.settings()) as store:
        return store.checks(number, before=before)


def read_suggestions(session: Session) -> list[SuggestedLimits]:
    """Return what the log suggests for each craft with a logged trip that is still known."""
    settings = session.settings()
    with _store(settings) as store:
        crafts = dict.fromkeys(trip.craft for trip in store.trips())
        return [found for craft in crafts if (found := _of_craft(store, settings, craft))]


def _of_craft(store: Store, settings: Settings, craft: str) -> SuggestedLimits | None:
    try:
        return suggest_limits(store, settings, craft)
    except PlanError:  # the craft was removed or renamed since; its trips stay in the log
        return None


@contextmanager
def _store(settings: Settings) -> Iterator[Store]:
    with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
        yield store
