"""No request carries more digits of a place than its service needs (config/sources.toml)."""

from __future__ import annotations

import asyncio
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from safety_check import sources
from safety_check.errors import ConfigError, DataError
from safety_check.model.weather import Provenance
from safety_check.physics.sphere import great_circle_distance
from safety_check.sources.gather import gather_briefing
from safety_check.sources.http.client import Client, open_client
from safety_check.sources.open_meteo import daily_air, previous_runs, reanalysis
from safety_check.sources.openstreetmap import overpass
from safety_check.sources.registry import COUNTRIES, load_sources
from safety_check.sources.sent_place import sent_box, sent_place
from tests.sources.fake_server import Asked, json_reply, status
from tests.sources.fakes import SAYS, Services
from tests.sources.gathering import question, settings, trip

HERE = (44.9004321987, -99.6004321987)
FAR = (44.9123456789, -99.5876543211)
FRACTION = re.compile(r"\d+\.(\d+)")


async def ask_archive(client: Client, *here: float) -> object:
    query = daily_air.archive_query((here[0], here[1]), date(2026, 1, 1), date(2026, 1, 9))
    return await client.read("/v1/archive", query, refuse, source=daily_air.ARCHIVE)


async def ask_recent(client: Client, *here: float) -> object:
    query = daily_air.recent_query((here[0], here[1]))
    return await client.read("/v1/forecast", query, refuse, source=daily_air.RECENT)


async def ask_year(client: Client, *here: float) -> object:
    return await reanalysis.ask_year(client, (here[0], here[1]), 2025)


def refuse(body: bytes, provenance: Provenance) -> object:
    raise DataError(provenance.source)


OTHERS: dict[str, tuple[Any, str]] = {  # of sources that a check does not ask by itself
    "open_meteo_previous_runs": (previous_runs.ask, "/v1/forecast"),
    "open_meteo_archive": (ask_archive, "/v1/archive"),
    "open_meteo_reanalysis": (ask_year, "/v1/archive"),
    "open_meteo_recent": (ask_recent, "/v1/forecast"),
    "overpass": (overpass.ask, "/api/interpreter"),
}


def gathered(tmp_path) -> list[Asked]:
    """Return every request of a check, the older service of the gauges asked too."""
    with Services() as services:
        services.spoil("usgs", lambda reply: status(404))
        own = settings(services.addresses(), tmp_path)
        asked = replace(question(trip(), own), here=HERE, places=(HERE, FAR))
        gather_briefing(asked, own)
        return list(services.server.asked)


def asked_alone(source: str, tmp_path) -> list[Asked]:
    """Return the request of a source that a check does not ask."""
    ask, path = OTHERS[source]

    async def call(address: str) -> None:
        async with open_client(tmp_path, addresses={source: address}) as client:
            await ask(client, *HERE)

    with Services() as services:
        services.server.serve(path, json_reply({}))
        with pytest.raises(Exception, match=r"OpenStreetMap|Open-Meteo"):
            asyncio.run(call(services.server.url))
        return list(services.server.asked)


def digits(request: Asked) -> list[int]:
    """Return how many decimals each fraction in a request has."""
    sent = f"{request.path}?{urlencode(request.query, safe=',:()')}"
    return [len(fraction) for fraction in FRACTION.findall(sent)]


def sources_of(path: str) -> set[str]:
    """Return the sources that are asked at a path."""
    if path.startswith("/points/"):
        return {"nws_points"}
    return {name for name, replies in SAYS.items() if path in replies(False)}


@pytest.mark.promise("no more digits than needed")
def test_no_request_of_a_check_has_more_digits_than_its_service_needs(tmp_path):
    located = set()
    for request in gathered(tmp_path):
        (source,) = sources_of(request.path)
        greatest = load_sources()[source].decimals
        if digits(request):
            located.add(source)
            assert greatest is not None, f"{source} may not receive a place: {request}"
            assert max(digits(request)) <= greatest, request

    # a source that is sent whole degrees never has a fraction to count
    with_a_place = {
        name
        for name, source in load_sources().items()
        if source.decimals and source.covers != COUNTRIES and not source.moving
    }
    assert located == with_a_place - set(OTHERS)


@pytest.mark.promise("no more digits than needed")
@pytest.mark.parametrize("source", OTHERS)
def test_no_other_request_has_more_digits_than_its_service_needs(source, tmp_path):
    (request,) = asked_alone(source, tmp_path)

    assert max(digits(request)) == load_sources()[source].decimals


def test_only_one_module_writes_coordinates() -> None:
    for path in (Path(sources.__file__).parent).rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r'"l(at|on|ng|ongitude|atitude)": f"', text), path


@pytest.mark.parametrize("name", load_sources())
def test_decimals_come_with_their_reason(name):
    source = load_sources()[name]
    assert (source.decimals is None) == (source.decimals_reason == "")
    with pytest.raises(ValidationError, match="give both or neither"):
        type(source)(**{**source.model_dump(), "decimals": 3, "decimals_reason": ""})


def test_a_place_is_not_sent_to_a_source_that_needs_none():
    with pytest.raises(ConfigError, match="no coordinates may be sent"):
        sent_place("ndbc", *HERE)


@given(st.floats(-89, 89), st.floats(-179, 179), st.floats(100.0, 100_000.0))
def test_a_box_holds_its_circle_when_rounded(latitude, longitude, within):
    west, south, east, north = map(float, sent_box("usgs", latitude, longitude, within).split(","))

    assert south <= latitude - within / 111_700.0  # a degree of latitude is 111.7 km at most
    assert north >= latitude + within / 111_700.0
    if abs(latitude) < 84:  # nearer to the pole the box is not widened any further
        assert great_circle_distance(latitude, longitude, latitude, east) >= 0.99 * within
        assert great_circle_distance(latitude, longitude, latitude, west) >= 0.99 * within
