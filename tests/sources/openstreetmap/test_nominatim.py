"""Waters by name: only what has an outline, and the pace and identity that the service asks for."""

from __future__ import annotations

import asyncio
import json
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from safety_check.errors import DataError
from safety_check.sources.http import client
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.http.pace import Pace
from safety_check.sources.openstreetmap import nominatim
from safety_check.sources.openstreetmap.nominatim import NamedWater, parse, query
from safety_check.sources.openstreetmap.overpass import query_outline
from safety_check.sources.registry import load_sources
from tests.recordings import shared_folder
from tests.sources.fake_server import FakeServer, json_reply
from tests.sources.spoiled import NO_JSON, provenance

QUICK = RetryPolicy(deadline=9.0, patience=3.0, first_pause=0.01)


def place(**changes: Any) -> dict[str, Any]:
    """Return an invented lake as the service describes one."""
    return {
        "place_id": 1,
        "licence": "Data © OpenStreetMap contributors, ODbL 1.0.",
        "osm_type": "relation",
        "osm_id": 17,
        "lat": "44.9",
        "lon": "-99.6",
        "category": "natural",
        "type": "water",
        "name": "Invented Lake",
        "display_name": "Invented Lake, Invented County, Nowhere",
        "boundingbox": ["44.88", "44.92", "-99.62", "-99.58"],
    } | changes


def found(*places: dict[str, Any], name: str = "Invented Lake") -> tuple[NamedWater, ...]:
    return parse(json.dumps(places).encode(), provenance(), name)


def test_a_lake_is_read_with_its_place_and_identity() -> None:
    [water] = found(place())
    assert water == NamedWater(
        "Invented Lake", "Invented Lake, Invented County, Nowhere", "water", "relation", 17,
        44.9, -99.6,
    )  # fmt: skip
    outline = query_outline(water.osm_type, water.osm_id)["data"]
    assert "relation(17);out geom;" in outline


def test_only_what_has_an_outline_of_water_is_offered() -> None:
    others = [
        place(category="place", type="village"),
        place(osm_type="node"),
        place(osm_id="x"),
        place(lat="95"),
        place(lat=None),
        {},
    ]
    pond = place(osm_type="way", osm_id=5, name="", category="landuse", type="reservoir")
    waters = found(*others, pond, place(), place())
    assert [(water.osm_type, water.osm_id) for water in waters] == [("way", 5), ("relation", 17)]
    assert waters[0].name == "Invented Lake"


def test_a_name_that_is_no_water_is_said_with_what_was_found() -> None:
    village = place(category="place", type="village", display_name="Orvel, Nowhere")
    with pytest.raises(DataError, match="It found Orvel, Nowhere, which is not a lake"):
        found(village, name="Orvel")
    with pytest.raises(DataError, match="no lake or reservoir named 'Orvel' was found"):
        found(name="Orvel")


@pytest.mark.parametrize("body", [*NO_JSON.values(), b'{"error": "bad"}', b"[1]", b"null"])
def test_what_is_no_answer_is_refused(body: bytes) -> None:
    with pytest.raises(DataError):
        parse(body, provenance(), "x")


@pytest.mark.parametrize("name", ["nominatim_search_berlin", "nominatim_search_salzburg"])
def test_recorded_answers_without_a_lake_name_what_they_know(name: str) -> None:
    body = (shared_folder("recorded", "osm") / f"{name}.json").read_bytes()
    with pytest.raises(DataError, match="which is not a lake or reservoir"):
        parse(body, provenance(), "a place")


def test_the_whole_name_is_asked_for_at_once() -> None:
    asked = query("  Orvel   Lake,  Minnesota ")
    assert (asked["q"], asked["format"]) == ("Orvel Lake, Minnesota", "jsonv2")
    assert len(query("x" * 5000)["q"]) <= 200


# -- the rules of the public server ---------------------------------------------------------------


def ask(server: FakeServer, cache: Path | None, name: str) -> tuple[NamedWater, ...]:
    async def go() -> tuple[NamedWater, ...]:
        async with client.open_client(
            cache,
            contact="me@example.org",
            addresses={"nominatim": server.url},
            policy=QUICK,
        ) as open_client:
            return await nominatim.ask(open_client, name)

    return asyncio.run(go())


def test_the_program_and_the_user_s_contact_are_named_and_the_answer_is_kept(
    tmp_path: Path,
) -> None:
    with FakeServer() as server:
        server.serve("/search", json_reply([place()]))
        for _ in range(3):
            assert ask(server, tmp_path, "Invented Lake")[0].osm_id == 17
        [asked] = server.asked
    named = {key.lower(): value for key, value in asked.headers.items()}["user-agent"]
    assert named.startswith("safety-check/")
    assert "me@example.org" in named


def test_two_names_are_asked_for_more_than_a_second_apart(tmp_path: Path) -> None:
    with FakeServer() as server:
        server.serve("/search", json_reply([place()]), json_reply([place()]))
        began = time.monotonic()
        ask(server, tmp_path, "one")
        ask(server, tmp_path, "two")
        assert time.monotonic() - began > 1.0
        assert len(server.asked) == 2


RESERVE = """
import sys, time
from pathlib import Path
from safety_check.sources.http.pace import Pace
now = time.time()
print(*[now + Pace(Path(sys.argv[1])).reserve("host", 1.5, now) for _ in range(3)])
"""


def test_processes_share_the_turns(tmp_path: Path) -> None:
    running = [
        subprocess.Popen(
            [sys.executable, "-c", RESERVE, str(tmp_path)], stdout=subprocess.PIPE, text=True
        )
        for _ in range(3)
    ]
    turns = sorted(float(turn) for process in running for turn in process.communicate()[0].split())
    assert len(turns) == 9
    gaps = [later - earlier for earlier, later in pairwise(turns)]
    assert min(gaps) > 1.0


def test_a_clock_that_was_set_back_does_not_stop_a_search(tmp_path: Path) -> None:
    pace = Pace(tmp_path)
    assert pace.reserve("host", 1.5, 1e9) == 0.0
    assert pace.reserve("host", 1.5, 1e9 - 3600) == 0.0
    assert pace.reserve("host", 1.5, 1e9 - 3600) == pytest.approx(1.5, abs=1e-6)  # of 1e9 s


def test_where_no_turn_can_be_stored_the_whole_pause_is_waited(tmp_path: Path) -> None:
    assert Pace(None).reserve("host", 1.5, 0.0) == 1.5
    assert Pace(tmp_path / "no" / "such").reserve("host", 0.0, 0.0) == 0.0
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert Pace(tmp_path / "file").reserve("host", 1.5, 0.0) == 1.5


def test_the_registry_keeps_a_longer_pause_than_the_service_asks_for() -> None:
    entry = load_sources()["nominatim"]
    assert entry.pause > 1.0  # usage policy: at most one request a second
    assert entry.contact
    assert "OpenStreetMap contributors" in entry.attribution
