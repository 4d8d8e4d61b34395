"""A watch as a user runs it: the clock is the test's own, and nobody sleeps."""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import jsonschema
import pytest

from safety_check.model.changes import CompletedRecheck
from safety_check.report.schemas import schema_of
from safety_check.settings.settings import load_settings
from safety_check.use_cases import recheck
from safety_check.use_cases.check import check_plan
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.watch import Clock
from tests.cli import forecasts
from tests.cli.conftest import Runner

EVENING = "2026-06-12T20:00"


class Passing:
    """A clock that a sleep moves on; at one moment a newer forecast arrives."""

    def __init__(self, at: datetime) -> None:
        self.now = at
        self.arrival: tuple[datetime, Path, str] | None = None

    def sleep(self, seconds: float) -> None:
        self.now += timedelta(seconds=seconds)
        if self.arrival and self.now >= self.arrival[0]:
            _, path, text = self.arrival
            path.write_text(text, encoding="utf-8")
            self.arrival = None

    @property
    def clock(self) -> Clock:
        return Clock(lambda: self.now, self.sleep)


class FakeLibrary:
    """Takes every address and every notice, and remembers them."""

    def __init__(self) -> None:
        self.addresses: list[str] = []
        self.titles: list[str] = []
        self.bodies: list[str] = []

    def add(self, address: str) -> bool:
        self.addresses.append(address)
        return True

    def notify(self, body: str, title: str) -> bool:
        self.titles.append(title)
        self.bodies.append(body)
        return True


@pytest.fixture
def passing(monkeypatch: pytest.MonkeyPatch) -> Passing:
    time = Passing(datetime(2026, 6, 13, 9, 30, tzinfo=UTC))  # 04:30 at the water
    monkeypatch.setattr("safety_check.use_cases.watch.system_clock", lambda: time.clock)
    return time


@pytest.fixture
def forecast(tmp_path: Path) -> Path:
    return forecasts.write(tmp_path)


@pytest.fixture
def planned(ready: Runner, forecast: Path) -> Runner:
    """Return the runner of a user who means to launch at six, after a calm forecast."""
    done = ready("check", "pond", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp",
                 "74 F", "--forecast", forecast, "--as-of", EVENING)  # fmt: skip
    assert done.status == 0, done.out + done.err
    return ready


WORSE = json.dumps(forecasts.answer(wind_speed_10m=9.0, wind_gusts_10m=13.0))


@pytest.mark.thorough
def test_it_says_each_check_and_ends_at_the_launch_with_the_last_verdict(
    planned: Runner, passing: Passing, forecast: Path
) -> None:
    done = planned("watch", "--forecast", forecast)
    assert done.status == 0, done.out + done.err
    assert done.out.count("Open-Meteo.com (") == 1  # the credit, once
    assert [line[:14] for line in done.out.splitlines() if line[0] != " "] == [
        "04:30 GO, as b",
        "05:00 GO, as b",
        "05:30 GO, as b",
        "06:00 GO, as b",
    ]
    assert passing.now == datetime(2026, 6, 13, 11, tzinfo=UTC)


def test_a_newer_forecast_that_forbids_rings_once_and_is_sent(
    planned: Runner, passing: Passing, forecast: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fake = FakeLibrary()
    monkeypatch.setitem(sys.modules, "apprise", SimpleNamespace(Apprise=lambda: fake))
    passing.arrival = (passing.now + timedelta(minutes=40), forecast, WORSE)
    done = planned("watch", "--every", "30 min", "--forecast", forecast, "--notify", "ntfy://me")
    assert done.status == 30
    assert done.out.count("\a") == 1
    assert "05:30 NO-GO, was GO: Wind reaches 20 mph" in done.out
    assert fake.titles == ["NO-GO: pond, Sat 06:00"]
    assert "CC BY 4.0" in fake.bodies[0]


@pytest.mark.thorough
def test_a_setting_names_who_gets_the_notice(
    planned: Runner, passing: Passing, forecast: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fake = FakeLibrary()
    monkeypatch.setitem(sys.modules, "apprise", SimpleNamespace(Apprise=lambda: fake))
    planned("settings", "set", "notify.to", "ntfy://ramp")
    planned("watch", "--forecast", forecast)
    assert fake.addresses == ["ntfy://ramp"]


@pytest.mark.thorough
@pytest.mark.usefixtures("passing")
def test_a_file_that_is_missing_for_a_while_does_not_end_the_watch(
    planned: Runner, passing: Passing, forecast: Path
) -> None:
    text = forecast.read_text(encoding="utf-8")
    forecast.unlink()
    passing.arrival = (passing.now + timedelta(minutes=40), forecast, text)
    done = planned("watch", "--forecast", forecast)
    assert done.status == 0
    assert done.err.count("could not check") == 2
    assert len([line for line in done.out.splitlines() if line[0] != " "]) == 2


@pytest.mark.thorough
def test_it_stays_with_its_plan_whatever_else_is_checked_meanwhile(
    planned: Runner, passing: Passing, forecast: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plans = []
    first = recheck.recheck_plan

    def other_check_before(*arguments: Any) -> CompletedRecheck:
        done = first(*arguments)
        plans.append((done.verdict.plan.water.name, done.verdict.plan.start.hour))
        check_plan(
            PlanRequest("large lake", start="2026-06-13T09:00", hours=2, as_of=EVENING),
            load_settings(),
            forecast,
        )
        return done

    monkeypatch.setattr(recheck, "recheck_plan", other_check_before)
    planned("watch", "--forecast", forecast)
    assert plans == [("pond", 11)] * 4


@pytest.mark.usefixtures("passing")
def test_where_no_check_was_possible_the_watch_has_failed(planned: Runner, tmp_path: Path) -> None:
    done = planned("watch", "--forecast", tmp_path / "none.json", "--at", "05:00")
    assert done.status == 1
    assert done.err.count("could not check") == 3


@pytest.mark.usefixtures("passing")
def test_as_json_every_check_is_one_line(planned: Runner, forecast: Path) -> None:
    done = planned("watch", "--at", "05:45", "--at", "5:00", "--forecast", forecast, "--json")
    told = [json.loads(line) for line in done.out.splitlines()]
    for line in told:
        jsonschema.validate(line, schema_of("watch"))
    assert [entry["at"][11:16] for entry in told] == ["09:30", "10:00", "10:45", "11:00"]
    assert not any(entry["changed"] for entry in told)


def test_after_the_launch_there_is_nothing_to_watch_for(
    planned: Runner, passing: Passing, forecast: Path
) -> None:
    passing.now = datetime(2026, 6, 13, 11, tzinfo=UTC)
    done = planned("watch", "--forecast", forecast)
    assert done.status == 2
    assert "recheck" in done.err


@pytest.mark.one_in(2)
@pytest.mark.usefixtures("passing")
@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--every", "1 min"), "--every"),
        (("--every", "often"), "--every"),
        (("--every", "30 min", "--at", "05:00"), "contradict"),
        (("--at", "soon"), "--at"),
    ],
)
def test_what_can_not_be_meant_is_refused(
    planned: Runner, forecast: Path, arguments: tuple[str, ...], told: str
) -> None:
    done = planned("watch", *arguments, "--forecast", forecast)
    assert done.status == 2
    assert told in done.err


def test_a_telephone_number_is_kept_as_it_was_written(run: Runner) -> None:
    assert run("settings", "set", "contact.phone", "5550100").status == 0
    assert run("settings", "set", "contact.emergency_phone", "+1 555 0100").status == 0
    kept = run("settings", "show", "--json").json["contact"]
    assert (kept["phone"], kept["emergency_phone"]) == ("5550100", "+1 555 0100")
