"""The float plan as a user runs it: of a plan, or of the last check."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal

TRIP = ("pond", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp", "74 F",
        "--as-of", "2026-06-12T20:00")  # fmt: skip


@pytest.fixture
def known(ready: Runner) -> Runner:
    """Return the runner of a user who has said who goes and who waits."""
    for key, value in {
        "name": "A. Angler",
        "phone": "5550100",
        "emergency_name": "B. Ashore",
        "emergency_phone": "5550199",
        "vehicle": "grey pickup",
        "colours": "orange kayak",
    }.items():
        ready("settings", "set", f"contact.{key}", value)
    return ready


@pytest.mark.promise("nothing else is sent")
def test_a_plan_needs_no_forecast_and_no_network(known: Runner) -> None:
    done = known("plan", *TRIP)
    assert (done.status, done.err) == (0, "")
    assert done.out.startswith("FLOAT PLAN: A. Angler on pond, Sat 13 Jun 2026, back by 10:00;")
    assert "alarm at 11:00" in done.out
    assert "not checked for this float plan" in done.out


def test_the_last_check_brings_its_verdict(known: Runner, tmp_path: Path) -> None:
    known("check", *TRIP, "--forecast", forecasts.write(tmp_path), "--name", "bass")
    for arguments in (("--last",), ("--name", "bass")):
        done = known("plan", *arguments)
        assert done.status == 0
        assert "last check     GO, made Fri 12 Jun 2026 20:00" in done.out


def test_with_a_forecast_the_plan_is_weighed(known: Runner, tmp_path: Path) -> None:
    done = known("plan", *TRIP, "--forecast", forecasts.write(tmp_path))
    assert "last check     GO" in done.out


def test_the_page_is_written_and_says_that_nothing_was_sent(known: Runner, tmp_path: Path) -> None:
    page = tmp_path / "plan.html"
    done = known("plan", *TRIP, "--html", page, "--note", "Bass & pike")
    assert done.status == 0
    assert "Nothing has been sent. Give this to B. Ashore" in done.out
    assert "Bass &amp; pike" in page.read_text(encoding="utf-8")


def test_what_the_user_has_not_said_is_told_with_its_command(ready: Runner) -> None:
    done = ready("plan", *TRIP)
    assert done.status == 0
    assert "settings set contact.name" in done.err
    assert "not given" in done.out


def test_as_json_the_times_are_instants(known: Runner) -> None:
    said = known("plan", *TRIP, "--alarm-after", "45 min", "--json").json
    assert said["return_by"] == "2026-06-13T15:00:00+00:00"
    assert said["alarm"] == "2026-06-13T15:45:00+00:00"
    assert said["clothing"] == {"none": "GO", "wetsuit": "GO", "drysuit": "GO"}


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--last",), "no check"),
        (("pond", "--last"), "--last"),
        ((), "which water"),
        ((*TRIP, "--alarm-after", "45"), "--alarm-after"),
        ((*TRIP, "--alarm-after", "20 h"), "--alarm-after"),
    ],
)
def test_what_can_not_be_meant_is_refused(
    known: Runner, arguments: tuple[object, ...], told: str
) -> None:
    done = known("plan", *arguments)
    assert done.status == 2
    assert told in done.err


def test_the_short_form_fits_a_text_message_and_says_what_a_search_needs(known: Runner) -> None:
    done = known("plan", *TRIP, "--text")
    assert done.status == 0
    [said] = done.out.splitlines()
    assert len(said) <= 306  # two joined text messages
    for part in ("A. Angler", "orange kayak", "44.90000,-99.60000", "Sat 13 Jun 06:00",
                 "back by 10:00", "by 11:00: raise", "5550100", "grey pickup"):  # fmt: skip
        assert part in said


@pytest.mark.thorough
def test_contacts_are_asked_for_once_in_one_line(ready: Runner, home: Path, tmp_path: Path) -> None:
    ready("check", *TRIP, "--forecast", forecasts.write(tmp_path))
    line = "A. Angler; 5550100; B. Ashore; 5550199; ; orange"
    status, printed = run_on_terminal(home, ["plan", "--last", "--text"], (line,))
    assert status == 0, printed
    assert "A. Angler, in company, sit-on-top kayak (orange), pond from" in printed
    status, again = run_on_terminal(home, ["plan", "--last"], ())
    assert status == 0
    assert "Who goes and who waits" not in again
    assert "B. Ashore 5550199" in again
    assert ready("settings", "show", "--json").json["contact"]["vehicle"] == ""
