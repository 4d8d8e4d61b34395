from __future__ import annotations

import asyncio
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.sources import registry
from safety_check.sources.http import client
from safety_check.sources.open_meteo import marine, previous_runs
from tests.properties import cases
from tests.sources.fake_server import FakeServer, json_reply
from tests.sources.open_meteo_answers import GOOD, NOON, body, by_model, provenance

SEA: dict[str, list[Any]] = {
    "wave_height": [0.5, 0.6, 0.7],
    "wave_period": [3.0, 3.1, 3.2],
    "wave_direction": [200, 210, 220],
    "sea_surface_temperature": [12.0, 12.0, None],
}
FOUR = registry.default_forecast()


def asked_of(question, path, answer):
    async def go(server):
        names = ("open_meteo_marine", "open_meteo_previous_runs")
        addresses = dict.fromkeys(names, server.url)
        async with client.open_client(None, addresses=addresses, now=lambda: NOON) as asker:
            return await question(asker, 44.98, -93.27)

    with FakeServer() as server:
        server.serve(path, json_reply(answer))
        return asyncio.run(go(server)), server.asked[0].query


def test_the_sea_over_the_wire():
    told, query = asked_of(marine.ask, "/v1/marine", body(SEA))

    assert told.models == ("best_match",)
    assert told.provenance.source == "Open-Meteo marine"
    assert told.quantities["sea_surface_wave_significant_height"][0].tolist() == [0.5, 0.6, 0.7]
    assert told.quantities["sea_surface_temperature"][0, 0] == pytest.approx(285.15)
    assert np.isnan(told.quantities["sea_surface_temperature"][0, 2])
    assert query["length_unit"] == "metric"
    assert query["cell_selection"] == "sea"
    assert "models" not in query


def test_a_lake_without_a_sea_nearby_is_no_calm():
    nothing = {name: [None] * 3 for name in SEA}
    with pytest.raises(DataError, match="outside what the models cover"):
        marine.parse(body(nothing), provenance())


@pytest.mark.parametrize(
    ("name", "quantity", "value"),
    [
        ("wave_height", "sea_surface_wave_significant_height", -0.1),
        ("wave_height", "sea_surface_wave_significant_height", 31.0),
        ("sea_surface_temperature", "sea_surface_temperature", -40.0),
        ("wave_direction", "sea_surface_wave_from_direction", 720),
    ],
)
def test_an_impossible_sea_is_unknown(name, quantity, value):
    told = marine.parse(body({**SEA, name: [value] * 3}), provenance())

    assert np.isnan(told.quantities[quantity]).all()


def runs(days=3):
    names = [f"{name}{end}" for name in GOOD for end in ("", *(f"_previous_day{n}" for n in days))]
    return {
        name: [column + (0.1 * int(name[-1]) if name[-1].isdigit() and "day" in name else 0)
               for column in GOOD[next(known for known in GOOD if name.startswith(known))]]
        for name in names
    }  # fmt: skip


def test_the_runs_before_are_asked_for_and_told_apart():
    answer = body(by_model(*FOUR, columns=runs(days=(1, 2, 3))))
    told, query = asked_of(previous_runs.ask, "/v1/forecast", answer)

    assert "wind_speed_10m_previous_day3" in query["hourly"].split(",")
    assert query["models"] == ",".join(FOUR)
    assert sorted(told) == [0, 1, 2, 3]
    assert all(forecast.models == FOUR for forecast in told.values())
    assert [round(float(told[day].quantities["wind_speed"][0, 0]), 1) for day in told] == [
        3.0,
        3.1,
        3.2,
        3.3,
    ]


def test_a_day_of_nulls_is_left_out():
    columns = runs(days=(1, 2)) | {f"{name}_previous_day2": [None] * 3 for name in GOOD}

    assert sorted(previous_runs.parse(body(columns), provenance())) == [0, 1]


def test_the_newest_run_alone_is_what_a_forecast_reads():
    columns = {f"{name}_previous_day1": column for name, column in GOOD.items()}
    told = previous_runs.parse(body(columns), provenance())

    assert sorted(told) == [1]


@pytest.mark.parametrize("parse", [marine.parse, previous_runs.parse])
@cases(80)
@given(noise=st.binary(max_size=200))
def test_any_bytes_are_an_answer_or_a_data_error(parse, noise):
    for answer in (noise, body(SEA)[: len(noise)] + noise):
        with pytest.raises(DataError):
            parse(answer, provenance())


@pytest.mark.parametrize(
    ("name", "quantity", "unit", "value", "expected"),
    [
        ("wave_height", "sea_surface_wave_significant_height", "ft", 10.0, 3.048),
        ("wave_height", "sea_surface_wave_significant_height", "m", 30.0, 30.0),
        ("wave_period", "sea_surface_wave_mean_period", "s", 40.0, 40.0),
        ("wave_period", "sea_surface_wave_mean_period", "s", 0.0, 0.0),
        ("wave_period", "sea_surface_wave_mean_period", "s", 45.0, None),
        ("wave_direction", "sea_surface_wave_from_direction", "°", 360, 360.0),
        ("sea_surface_temperature", "sea_surface_temperature", "°F", 50.0, 283.15),
        ("sea_surface_temperature", "sea_surface_temperature", "°C", 35.0, 308.15),
        ("sea_surface_temperature", "sea_surface_temperature", "°C", 60.0, None),
        ("sea_surface_temperature", "sea_surface_temperature", "°C", -10.0, None),
    ],
)
def test_each_quantity_of_the_sea_is_in_si_or_unknown(name, quantity, unit, value, expected):
    told = marine.parse(body({**SEA, name: [value] * 3}, units={name: unit}), provenance())

    found = told.quantities[quantity][0, 0]
    assert np.isnan(found) if expected is None else found == pytest.approx(expected)
