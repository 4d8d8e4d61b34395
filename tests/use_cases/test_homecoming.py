"""The user is reminded once, the contact is told once, and the wait ends half a day later."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from safety_check.use_cases.homecoming import Return, await_home
from safety_check.use_cases.watch import Clock

DUE = datetime(2026, 6, 13, 20, tzinfo=UTC)
ALARM = DUE + timedelta(hours=1)
TRIP = Return(DUE, ALARM)


class Wait:
    """A clock that runs only while the program sleeps, and a user who comes home at a time."""

    def __init__(self, now: datetime, home_at: datetime | None) -> None:
        self.time, self.home_at = now, home_at
        self.told: list[tuple[str, datetime]] = []
        self.after_alarm: bool | None = None

    def now(self) -> datetime:
        return self.time

    def sleep(self, seconds: float) -> None:
        assert 0 < seconds <= 60  # a reminder is at most a minute late
        self.time += timedelta(seconds=seconds)

    def says_home(self) -> bool:
        return self.home_at is not None and self.time >= self.home_at

    def due(self, now: datetime) -> None:
        self.told.append(("due", now))

    def overdue(self, now: datetime) -> None:
        self.told.append(("overdue", now))

    def home(self, now: datetime, after_alarm: bool) -> None:
        self.told.append(("home", now))
        self.after_alarm = after_alarm

    def run(self) -> bool:
        return await_home(TRIP, Clock(self.now, self.sleep), self.says_home, self)


@pytest.mark.parametrize(
    ("home_at", "told", "after_alarm"),
    [
        (DUE - timedelta(minutes=10), ["home"], False),
        (DUE + timedelta(minutes=10), ["due", "home"], False),
        (ALARM + timedelta(minutes=10), ["due", "overdue", "home"], True),
        (ALARM + timedelta(hours=11, minutes=50), ["due", "overdue", "home"], True),
    ],
)
def test_what_was_due_when_the_user_came_home_has_been_told_once(
    home_at: datetime, told: list[str], after_alarm: bool
) -> None:
    wait = Wait(DUE - timedelta(minutes=30), home_at)
    assert wait.run()
    assert [word for word, _ in wait.told] == told
    assert wait.after_alarm is after_alarm


def test_the_reminder_and_the_alarm_come_at_their_times_and_not_before() -> None:
    wait = Wait(DUE - timedelta(minutes=30), ALARM + timedelta(hours=1))
    wait.run()
    times = dict(wait.told)
    assert timedelta() <= times["due"] - DUE <= timedelta(minutes=1)
    assert timedelta() <= times["overdue"] - ALARM <= timedelta(minutes=1)


def test_at_the_very_time_of_return_the_reminder_is_given() -> None:
    wait = Wait(DUE, DUE + timedelta(seconds=1))
    wait.run()
    assert wait.told[0] == ("due", DUE)


def test_a_program_that_begins_late_tells_all_that_is_due_at_once() -> None:
    late = ALARM + timedelta(hours=1)
    wait = Wait(late, late + timedelta(minutes=5))
    assert wait.run()
    assert wait.told[:2] == [("due", late), ("overdue", late)]


def test_twelve_hours_after_the_alarm_the_wait_is_given_up() -> None:
    wait = Wait(DUE, None)
    assert not wait.run()
    assert [word for word, _ in wait.told] == ["due", "overdue"]
    assert timedelta() <= wait.time - (ALARM + timedelta(hours=12)) <= timedelta(minutes=1)
