"""Wait for the user to come home: remind at the time of return, tell the contact at the alarm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from safety_check.use_cases.watch import STEP, Clock

GIVES_UP = timedelta(
    hours=12
)  # after the alarm; judgement: by then a search has begun or the user is back


@dataclass(frozen=True)
class Return:
    """When a trip is over.

    Parameters
    ----------
    due, alarm
        When the user means to be back, and when the alarm is to be raised. UTC
    """

    due: datetime
    alarm: datetime


class HomeReporter(Protocol):
    """Reports while the user is on the way home."""

    def due(self, now: datetime) -> None:
        """Remind the user that the time of return has come."""

    def overdue(self, now: datetime) -> None:
        """Report that the user has not come home by the time of the alarm."""

    def home(self, now: datetime, after_alarm: bool) -> None:
        """Report that the user is home."""


def await_home(
    trip: Return, clock: Clock, says_home: Callable[[], bool], reporter: HomeReporter
) -> bool:
    """Return whether the user came home before this gives up.

    Parameters
    ----------
    trip
        When to remind, and when to tell.
    clock
        What time it is, and how to let it pass.
    says_home
        Whether the user has said so.
    reporter
        Called once at each of the two times, and on the return.
    """
    steps = [(trip.due, reporter.due), (trip.alarm, reporter.overdue)]
    while not says_home():
        now = clock.now()
        while steps and now >= steps[0][0]:
            steps.pop(0)[1](now)
        if now >= trip.alarm + GIVES_UP:
            return False
        clock.sleep(STEP)
    reporter.home(clock.now(), after_alarm=not steps)
    return True
