"""A watch until the user is home: reminds, and tells the contact only after the user's word."""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest

from tests.cli import test_watch
from tests.cli.conftest import Runner
from tests.cli.test_watch import FakeLibrary, Passing

forecast, planned, passing = test_watch.forecast, test_watch.planned, test_watch.passing
TELL = ("--until-home", "--tell", "ntfy://contact")


@pytest.fixture
def library(monkeypatch: pytest.MonkeyPatch) -> FakeLibrary:
    made = FakeLibrary()
    monkeypatch.setitem(sys.modules, "apprise", SimpleNamespace(Apprise=lambda: made))
    return made


@pytest.fixture
def at_launch(passing: Passing) -> Passing:
    """Return the clock at 08:00 at the water, two hours before the return."""
    passing.now = datetime(2026, 6, 13, 13, tzinfo=UTC)
    return passing


def comes_home(monkeypatch: pytest.MonkeyPatch, time: Passing, at: datetime | None) -> None:
    """Let the user type home at a moment; never where it is None."""
    monkeypatch.setattr(
        "safety_check.cli.homecoming.listen", lambda: lambda: at is not None and time.now >= at
    )


def test_home_before_the_return_sends_nothing(
    planned: Runner, at_launch: Passing, library: FakeLibrary, monkeypatch: pytest.MonkeyPatch
) -> None:
    comes_home(monkeypatch, at_launch, at_launch.now + timedelta(hours=1))
    done = planned("watch", *TELL, "--yes")
    assert done.status == 0, done.err
    assert "Back by 10:00, alarm at 11:00. Type home" in done.out
    assert "09:00 Home." in done.out
    assert library.titles == []
    assert "If you have not typed home by 11:00" in done.err


def test_late_the_user_is_reminded_and_the_contact_is_not_told_yet(
    planned: Runner, at_launch: Passing, library: FakeLibrary, monkeypatch: pytest.MonkeyPatch
) -> None:
    comes_home(monkeypatch, at_launch, at_launch.now + timedelta(hours=2, minutes=30))
    done = planned("watch", *TELL, "--yes", "--notify", "ntfy://me")
    assert done.status == 0
    assert "10:00 You meant to be off the water by now" in done.out
    assert library.titles == ["Back by now?"]


def test_overdue_the_contact_gets_the_short_plan_once_and_the_all_clear_later(
    planned: Runner, at_launch: Passing, library: FakeLibrary, monkeypatch: pytest.MonkeyPatch
) -> None:
    comes_home(monkeypatch, at_launch, at_launch.now + timedelta(hours=5))
    done = planned("watch", *TELL, "--yes")
    assert done.status == 0
    assert "11:00 You are overdue. Your contact is being told." in done.out
    assert library.addresses == ["ntfy://contact"]
    assert library.titles == ["Overdue: pond", "Home again"]
    assert "has not reported back" in library.bodies[0]
    assert "44.90000,-99.60000" in library.bodies[0]


@pytest.mark.promise("nothing else is sent")
def test_without_a_word_nothing_is_ever_sent(
    planned: Runner, at_launch: Passing, library: FakeLibrary, monkeypatch: pytest.MonkeyPatch
) -> None:
    comes_home(monkeypatch, at_launch, None)
    refused = planned("watch", *TELL)
    assert refused.status == 2
    assert "nothing is sent unless you agree" in refused.err

    monkeypatch.setattr("safety_check.cli.homecoming.on_a_terminal", lambda: True)
    monkeypatch.setattr("typer.prompt", lambda *_, **__: "y")  # only the whole word counts
    done = planned("watch", *TELL)
    assert done.status == 1
    assert "Nothing will be sent." in done.err
    assert "You are overdue. Nothing is sent to anybody." in done.out
    assert library.titles == []


def test_a_yes_on_the_terminal_is_enough(
    planned: Runner, at_launch: Passing, library: FakeLibrary, monkeypatch: pytest.MonkeyPatch
) -> None:
    comes_home(monkeypatch, at_launch, None)
    monkeypatch.setattr("safety_check.cli.homecoming.on_a_terminal", lambda: True)
    monkeypatch.setattr("typer.prompt", lambda *_, **__: "Yes ")
    assert planned("watch", *TELL).status == 1
    assert library.titles == ["Overdue: pond"]


def test_before_the_launch_it_checks_first_and_then_waits(
    planned: Runner,
    passing: Passing,
    forecast: object,
    library: FakeLibrary,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    comes_home(monkeypatch, passing, datetime(2026, 6, 13, 14, tzinfo=UTC))
    done = planned("watch", "--until-home", "--forecast", forecast, "--every", "45 min")
    assert done.status == 0, done.err
    assert done.out.index("GO, as before") < done.out.index("Back by 10:00")
    assert library.titles == []


@pytest.mark.parametrize(
    "arguments", [("--tell", "ntfy://x"), ("--yes",), ("--until-home", "--json")]
)
def test_options_that_contradict_each_other_are_refused(
    planned: Runner, at_launch: Passing, arguments: tuple[str, ...]
) -> None:
    assert planned("watch", *arguments).status == 2
