"""A shoreline from the open map: shown, asked, stored with its credit."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run, Runner
from tests.sources.fake_server import FakeServer, html_page, json_reply

WEST, SOUTH = -99.62, 44.88
ISLAND = (WEST + 0.01, SOUTH + 0.01, 0.005)


def ring(west: float, south: float, side: float) -> list[dict[str, float]]:
    corners = [(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)]
    return [{"lat": south + y * side, "lon": west + x * side} for x, y in corners]


LAKE: dict[str, Any] = {
    "type": "relation",
    "id": 17,
    "tags": {"type": "multipolygon", "natural": "water", "water": "lake", "name": "Invented Lake"},
    "members": [
        {"type": "way", "ref": 1, "role": "outer", "geometry": ring(WEST, SOUTH, 0.04)},
        {
            "type": "way",
            "ref": 2,
            "role": "inner",
            "geometry": ring(*ISLAND),
        },
    ],
}
POND = {
    "type": "way",
    "id": 18,
    "tags": {"natural": "water", "name": "Tesk Pond"},
    "nodes": [1, 2, 3, 4, 1],
    "geometry": ring(WEST + 0.1, SOUTH, 0.002),
}
AT = "44.9,-99.6"
RAMP = ("--launch", "ramp=44.9,-99.62")


@pytest.fixture
def server(run: Runner) -> Iterator[FakeServer]:
    with FakeServer() as running:
        run("settings", "set", "services.overpass", running.url)
        running.serve("/api/interpreter", answer(LAKE, POND))
        yield running


def answer(*elements: dict[str, Any]) -> Any:
    return json_reply(
        {
            "version": 0.6,
            "osm3s": {"timestamp_osm_base": "2026-06-01T00:00:00Z"},
            "elements": list(elements),
        }
    )


def add(run: Runner, *more: object) -> Run:
    return run("water", "add", "mine", "--near", AT, *more)


def test_the_nearest_water_is_shown_and_stored_with_its_credit(
    run: Runner, server: FakeServer, tmp_path: Path
) -> None:
    done = add(run, "--yes", "--depth", "6 m", *RAMP)
    assert done.status == 0
    assert "Invented Lake (lake)" in done.err
    assert "1 island" in done.err
    assert "OpenStreetMap contributors" in done.out
    kept = run("water", "show", "mine", "--json").json
    assert "ODbL" in kept["properties"]["attribution"]
    assert "relation/17" in kept["properties"]["attribution"]
    drawn = tmp_path / "mine.svg"
    run("water", "map", "mine", "--wind", "12 mph", "--from", "NW", "--out", drawn)
    assert "OpenStreetMap contributors" in drawn.read_text(encoding="utf-8")


def test_the_point_that_was_looked_up_is_no_launch_unless_it_is_at_the_shore(
    run: Runner, server: FakeServer
) -> None:
    done = add(run, "--yes")
    assert done.status == 2
    assert "m from the shore, on the water" in done.err
    assert run("water", "list", "--json").json == []
    at_the_shore = ("--near", "44.9,-99.6202")  # 16 m inland
    assert run("water", "add", "mine", *at_the_shore, "--yes").status == 0
    assert "launch: launch (44.90000, -99.62020)" in run("water", "show", "mine").out


def test_nothing_is_stored_before_the_user_has_said_so(
    run: Runner, server: FakeServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("typer.prompt", lambda *_, **__: 0)
    assert add(run).status == 2
    assert run("water", "list", "--json").json == []
    monkeypatch.setattr("typer.prompt", lambda *_, **__: 2)
    assert add(run, "--launch", "bank=44.881,-99.52").status == 0
    assert "0 islands" in run("water", "show", "mine").out


def test_a_place_without_water_is_one_clear_paragraph(run: Runner, server: FakeServer) -> None:
    server.serve("/api/interpreter", answer())
    done = add(run, "--yes")
    assert done.status in (1, 2)
    assert len(done.err.strip().splitlines()) == 1
    assert run("water", "list", "--json").json == []


def test_a_silent_map_is_one_clear_paragraph(run: Runner, server: FakeServer) -> None:
    server.serve("/api/interpreter", html_page(400))
    done = add(run, "--yes")
    assert done.status == 1
    assert len(done.err.strip().splitlines()) == 1
