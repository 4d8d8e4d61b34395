"""A contact is asked for once, on a terminal, and sent only to the services that want one."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from safety_check.sources.registry import load_sources
from tests.cli import forecasts
from tests.cli.conftest import Runner, point_at
from tests.cli.terminal import run_on_terminal
from tests.sources.fakes import SAYS, Services

ASKED = "for a contact in each request"
TRIP = ("--start", "tomorrow 10:00", "--hours", "3", "--reach", "1 mi", "--water-temp", "74 F")
CHECK = ("check", "pond", *TRIP)


@pytest.fixture
def services(ready: Runner, home: Path) -> Iterator[Services]:
    with Services() as running:
        point_at(home, running.addresses())
        yield running


def stored(home: Path) -> object:
    return tomllib.loads((home / "settings.toml").read_text("utf-8")).get("contact")


def agents(services: Services) -> dict[str, set[str]]:
    """Return the User-Agents that each source received."""
    received: dict[str, set[str]] = {}
    for request in services.server.asked:
        point = request.path.startswith("/points/")
        for name, replies in SAYS.items():
            if (name == "nws_points" and point) or request.path in replies(False):
                received.setdefault(name, set()).add(request.headers["user-agent"])
    return received


@pytest.mark.promise("who gets your address", "asked once")
def test_an_address_is_asked_for_once_and_goes_only_where_it_is_wanted(home, services):
    answers = ("paddler", "me@example.org")
    _, printed = run_on_terminal(home, CHECK, answers)
    question = " ".join(printed.split())
    assert "MET Norway and National Weather Service ask for a contact" in question
    assert "'paddler' is not an e-mail address" in printed
    assert stored(home) == {"email": "me@example.org"}
    for name, received in agents(services).items():
        wanted = load_sources()[name].contact
        assert all(("me@example.org" in agent) == wanted for agent in received), name
    assert {"nws_points", "nws_alerts", "open_meteo", "usgs"} <= set(agents(services))

    _, printed = run_on_terminal(home, CHECK, ())
    assert ASKED not in printed


@pytest.mark.thorough
@pytest.mark.parametrize("command", [CHECK, ("outlook", "pond:ramp", *TRIP[4:])])
def test_an_empty_answer_is_remembered(command, home, services):
    _, printed = run_on_terminal(home, command, ("",))
    assert printed.count(ASKED) == 1
    assert stored(home) == {"email": ""}
    assert all("(+" not in agent for received in agents(services).values() for agent in received)

    _, printed = run_on_terminal(home, command, ())
    assert ASKED not in printed


def test_a_saved_forecast_needs_no_contact(home, tmp_path, ready):
    options = ("--forecast", forecasts.write(tmp_path), "--warnings", "none", "--read-at", "now")
    _, printed = run_on_terminal(home, (*CHECK, *options), ())
    assert ASKED not in printed
    assert stored(home) is None


@pytest.mark.thorough
def test_only_services_that_cover_the_water_are_named(home, ready):
    sectors = "N 300 m, E 300 m, S 300 m, W 300 m"
    ready("water", "add", "tarn", "--fetch", sectors, "--launch", "ramp=59.9,10.7")
    point_at(home, dict.fromkeys((*SAYS, "met_norway_alerts"), "http://127.0.0.1:9"))
    command = ("check", "tarn", *TRIP, "--warnings", "none", "--read-at", "now")
    _, printed = run_on_terminal(home, command, ("",))
    assert "MET Norway asks for a contact" in " ".join(printed.split())


def test_a_program_is_never_asked(home, services, ready):
    done = ready(*CHECK)
    assert ASKED not in done.out + done.err
    assert stored(home) is None
