"""Re-check a plan at given times until its launch; clock and reporter are passed in."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

from safety_check.errors import PlanError, SafetyCheckError
from safety_check.model.changes import CompletedRecheck

SHORTEST = timedelta(minutes=5)  # the services do not update more often, and ask for few requests
USUAL_PERIOD = timedelta(minutes=30)  # between two checks, where the user names no other
STEP = 1.0  # s; so that a changed clock or a suspended computer is noticed soon


@dataclass(frozen=True)
class Clock:
    """The time, and a way to wait.

    Parameters
    ----------
    now
        Returns an aware time.
    sleep
        Takes seconds.
    """

    now: Callable[[], datetime]
    sleep: Callable[[float], None]


def system_clock() -> Clock:
    """Return the computer's own clock."""
    return Clock(lambda: datetime.now(UTC), time.sleep)


class WatchReporter(Protocol):
    """Reports what happens during a watch."""

    def waits(self, now: datetime, until: datetime) -> None:
        """Report that nothing happens before a time."""

    def checked(self, done: CompletedRecheck) -> None:
        """Report a completed re-check."""

    def changed(self, done: CompletedRecheck) -> None:
        """Report that its verdict differs from the last."""

    def failed(self, at: datetime, trouble: SafetyCheckError) -> None:
        """Report that a re-check was not possible."""


def regular_times(period: timedelta, now: datetime, launch: datetime) -> tuple[datetime, ...]:
    """Return the times of re-checks: at once, evenly, and at the launch.

    Raises
    ------
    PlanError
        Where the period is shorter than any service's update interval.
    """
    if period < SHORTEST:
        raise PlanError(
            f"--every {period.total_seconds() / 60:g} min: forecasts are updated only every few"
            f" hours. Give at least {SHORTEST.total_seconds() / 60:.0f} min."
        )
    steps = max(0, -(-(launch - now) // period))
    return (*(now + number * period for number in range(steps)), launch)


def chosen_times(
    moments: Iterable[datetime], now: datetime, launch: datetime
) -> tuple[datetime, ...]:
    """Return the times of re-checks: at once, when the user says, and at the launch."""
    return tuple(sorted({now, launch, *(moment for moment in moments if now < moment < launch)}))


def watch_plan(
    times: Sequence[datetime],
    check: Callable[[datetime], CompletedRecheck],
    clock: Clock,
    reporter: WatchReporter,
) -> CompletedRecheck | None:
    """Re-check at each time, report changes, and return the last result.

    Parameters
    ----------
    times
        Ascending; the last is the launch.
    check
        Re-checks at a time.
    clock, reporter
        As their classes describe.

    Notes
    -----
    Times that passed while the computer slept are skipped. A re-check that fails is
    reported, and the watch goes on.
    """
    last = None
    for number, moment in enumerate(times):
        _wait(moment, clock, reporter)
        if any(time <= clock.now() for time in times[number + 1 :]):
            continue
        try:
            last = check(clock.now())
        except SafetyCheckError as trouble:
            reporter.failed(clock.now(), trouble)
            continue
        reporter.checked(last)
        if last.changes.after != last.changes.before:
            reporter.changed(last)
    return last


def _wait(until: datetime, clock: Clock, reporter: WatchReporter) -> None:
    while (now := clock.now()) < until:
        reporter.waits(now, until)
        clock.sleep(min(STEP, (until - now).total_seconds()))
