"""A water by its name from the open map: what was found is shown, and the ramp is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal
from tests.cli.test_water_near import LAKE, answer
from tests.sources.fake_server import FakeServer, json_reply, status


def named(number: int = 17, **changes: Any) -> dict[str, Any]:
    return {
        "osm_type": "relation",
        "osm_id": number,
        "lat": "44.9",
        "lon": "-99.6",
        "category": "natural",
        "type": "water",
        "name": "Invented Lake",
        "display_name": f"Invented Lake, County {number}, Nowhere",
    } | changes


@pytest.fixture
def server(run: Runner) -> Iterator[FakeServer]:
    with FakeServer() as running:
        run("settings", "set", "services.overpass", running.url)
        run("settings", "set", "services.nominatim", running.url)
        running.serve("/search", json_reply([named()]))
        running.serve("/api/interpreter", answer(LAKE))
        yield running


FIND = ("water", "add", "mine", "--find", "Invented Lake, Nowhere")
RAMP = ("--launch", "ramp=44.9,-99.62")


def test_a_water_is_found_by_name_and_stored_with_its_credit(
    run: Runner, server: FakeServer
) -> None:
    done = run(*FIND, *RAMP, "--yes")
    assert done.status == 0, done.err
    assert "1 Invented Lake, County 17, Nowhere (water)" in done.err
    assert "Search: © OpenStreetMap contributors" in done.err
    assert "Invented Lake (lake)" in done.err
    [search, outline] = server.asked
    assert search.query["q"] == "Invented Lake, Nowhere"
    assert "relation(17);out geom;" in outline.query["data"]
    kept = run("water", "show", "mine", "--json").json
    assert "relation/17" in kept["properties"]["attribution"]


def test_of_several_waters_of_the_name_the_user_picks_one(
    run: Runner, server: FakeServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    server.serve("/search", json_reply([named(16), named(17)]))
    monkeypatch.setattr("typer.prompt", lambda *_, **__: 0)
    assert run(*FIND, *RAMP).status == 2
    assert run("water", "list", "--json").json == []

    done = run(*FIND, *RAMP, "--pick", "2")
    assert done.status == 0, done.err
    assert "relation(17)" in server.asked[-1].query["data"]
    assert [request.path for request in server.asked].count("/search") == 1  # kept
    assert run(*FIND, *RAMP, "--pick", "3").status == 2


def test_an_unknown_name_is_one_paragraph_with_what_to_do(run: Runner, server: FakeServer) -> None:
    server.serve("/search", json_reply([]))
    done = run(*FIND)
    assert done.status == 1
    assert "no lake or reservoir named 'Invented Lake, Nowhere' was found" in done.err
    assert "--near LAT,LON" in done.err
    assert len(done.err.strip().splitlines()) == 1


def test_a_refused_search_is_one_paragraph(run: Runner, server: FakeServer) -> None:
    server.serve("/search", status(403))
    done = run(*FIND, "--yes")
    assert done.status == 1
    assert "OpenStreetMap (Nominatim)" in done.err
    assert run("water", "list", "--json").json == []


@pytest.mark.thorough
def test_on_a_terminal_the_ramp_is_chosen_on_a_small_map(home: Path, server: FakeServer) -> None:
    done, printed = run_on_terminal(home, FIND, ("12", "north", "3+", "5", ""))
    assert done == 0, printed
    assert "North is up; the map is" in printed
    assert printed.count("of the middle: ") == 18  # nine places, and nine closer ones
    assert "'north' is not one of the choices" in printed
    assert "launch: ramp (44." in printed


@pytest.mark.thorough
def test_coordinates_off_the_shore_are_asked_for_again_with_a_map(
    home: Path, server: FakeServer
) -> None:
    done, printed = run_on_terminal(home, FIND, ("44.9,-99.6", "1", ""))
    assert done == 0, printed
    assert "m from the shore, on the water" in printed
    assert printed.count("North is up") == 2
