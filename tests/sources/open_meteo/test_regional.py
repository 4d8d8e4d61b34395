"""Regional models by place: what is asked, and what silence of one of them means."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.weather import Briefing
from safety_check.sources import registry
from safety_check.sources.http.client import open_client
from safety_check.sources.model_hosts import hosts, regional_models
from safety_check.sources.open_meteo.regional import REGIONAL, ask_regional
from tests.sources.fake_server import FakeServer, json_reply, status
from tests.sources.fakes import HOURS, NOW, UNITS, open_meteo
from tests.sources.gathering import question, settings, trip

LOUGH_NEAGH = (54.6, -6.4)
BRITISH, DANISH = regional_models(*LOUGH_NEAGH)
WINDS = {"wind_speed_10m": 6.0, "wind_direction_10m": 200}


def columns(*models: str) -> dict[str, Any]:
    """Return wind columns that name their model, or plain ones for one without a name."""
    named = {
        f"{name}_{model}" if model else name: value
        for model in models
        for name, value in WINDS.items()
    }
    units = {
        name: UNITS[next(known for known in WINDS if name.startswith(known))] for name in named
    }
    north, east = LOUGH_NEAGH
    return open_meteo(named, units) | {"latitude": north, "longitude": east}


def asked(reply: Any, tmp_path, here=LOUGH_NEAGH) -> tuple[Briefing, FakeServer]:
    plan = replace(question(trip(), settings({}, tmp_path)), here=here, launches=(here,))

    async def call() -> Briefing:
        address = {"open_meteo": server.url}
        async with open_client(tmp_path, addresses=address, now=lambda: NOW) as client:
            return await ask_regional(client, plan)

    with FakeServer() as server:
        server.serve("/v1/forecast", reply)
        return asyncio.run(call()), server


def test_the_models_of_the_place_are_asked_for_wind_and_direction_once(tmp_path):
    told, server = asked(json_reply(columns(BRITISH, DANISH)), tmp_path)

    (request,) = server.asked
    assert request.query["models"] == f"{BRITISH},{DANISH}"
    assert request.query["hourly"] == "wind_speed_10m,wind_direction_10m"
    assert told.forecasts[0].models == (BRITISH, DANISH)
    assert (told.forecasts[0].quantities["wind_speed"] == 6.0).all()
    assert told.silences == ()


def test_where_no_regional_model_reaches_nothing_is_asked(tmp_path):
    told, server = asked(json_reply({}), tmp_path, here=(44.9, -99.6))

    assert (server.asked, told) == ([], Briefing(at=NOW))


def test_a_model_that_the_service_leaves_out_does_not_cover_the_place(tmp_path):
    # of three models asked the service left two out: recorded answer "models_one_covering"
    told, _ = asked(json_reply(columns("")), tmp_path)

    assert told.forecasts[0].models == (BRITISH,)
    assert told.silences == ()


def test_a_model_with_columns_but_no_numbers_is_missed(tmp_path):
    reply = columns(BRITISH, DANISH)
    reply["hourly"][f"wind_speed_10m_{DANISH}"] = [None] * HOURS
    reply["hourly"][f"wind_direction_10m_{DANISH}"] = [None] * HOURS

    told, _ = asked(json_reply(reply), tmp_path)

    (failure,) = told.silences
    assert failure.applies
    assert failure.source == "Open-Meteo, Danish Harmonie of 2 km"


def test_without_any_model_for_the_place_nothing_is_missing(tmp_path):
    reply = status(400, b'{"error":true,"reason":"No data is available for this location"}')

    told, _ = asked(reply, tmp_path)

    assert len(told.silences) == 2
    assert not any(failure.applies for failure in told.silences)


@pytest.mark.parametrize(
    "reply", [status(500), status(400, b'{"error":true,"reason":"x"}'), json_reply(b"null")]
)
def test_a_service_that_fails_is_missed(reply, tmp_path):
    told, _ = asked(reply, tmp_path)

    assert any(failure.applies for failure in told.silences)


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_at_any_place_few_models_are_asked_and_each_shares_a_vote(latitude, longitude):
    models = regional_models(latitude, longitude)

    assert len(models) <= 2
    assert set(models) <= hosts().keys()


def test_what_is_asked_is_what_the_models_have():
    for area in registry.regional_areas()[0]:
        assert not registry.lacks()[area.name] & REGIONAL.keys()
