"""What changed from one stored check to another of the same trip, in sentences."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

from safety_check.assess.changes import find_changes
from safety_check.errors import SafetyCheckError
from safety_check.model.changes import Changes
from safety_check.model.local_clock import LocalClock
from safety_check.report.changes import describe_changes, headline
from safety_check.settings.settings import Settings
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import CheckRecord, Store

BY_LIMIT = "limit"


def news_since(before: int, after: int, by: str, settings: Settings) -> list[str]:
    """Return what changed between two checks of the history; empty where that is not known.

    Parameters
    ----------
    before, after
        Their numbers.
    by
        `BY_LIMIT` where the user changed a limit between them.
    settings
        Where the history is, and the units that the user reads in.
    """
    try:
        with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
            old, new = store.check(before), store.check(after)
    except SafetyCheckError:
        return []
    if not same_trip(old, new):
        return []
    if by == BY_LIMIT:
        return [_by_limit(old, new)]
    changes = changes_between(old, new)
    plan = new.kept.plan
    said = headline(changes, new.kept.verdict.at, ZoneInfo(plan.water.time_zone))
    prefer = settings.at(plan.launch).preferences
    return [f"{said}.", *describe_changes(changes, prefer, LocalClock.of(plan))]


def same_trip(old: CheckRecord, new: CheckRecord) -> bool:
    """Return whether two checks are of one trip; the newer one may have lost its first hours."""
    one, other = (
        (plan.water.name, plan.launch, plan.craft.name, plan.end, plan.reach, plan.from_shore)
        for plan in (old.kept.plan, new.kept.plan)
    )
    return one == other


def changes_between(old: CheckRecord, new: CheckRecord) -> Changes:
    """Return what changed, whatever the user saw: the older check does not say what without it."""
    before, after = old.kept, new.kept
    changes = find_changes(
        before.verdict, after.verdict, after.verdict, before.briefing, after.briefing
    )
    return replace(changes, sights=())


def _by_limit(old: CheckRecord, new: CheckRecord) -> str:
    before, now = old.kept.verdict.severity, new.kept.verdict.severity
    if before == now:
        return f"With the new limit the verdict is still {now}."
    return f"With the new limit the verdict changes from {before} to {now}."
