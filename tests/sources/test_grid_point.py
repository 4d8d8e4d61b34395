"""A forecast for another place is unknown, and a model that gives nothing is listed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing
from safety_check.sources.grid_point import check_grid_points, distance_to
from safety_check.sources.registry import greatest_grid_distance, load_models
from safety_check.sources.saved_forecast import read_briefing
from tests import scenes
from tests.cli.forecasts import CALM, answer
from tests.sources.fake_server import json_reply
from tests.sources.fakes import HERE, SAYS, Services, document, ensemble, grid, marine
from tests.sources.gathering import briefing, severity_of, silent

FOUR = ("ncep_gfs_seamless", "ecmwf_ifs", "dwd_icon_seamless", "cmc_gem_seamless")
SQUALL = {"wind_speed_10m": 14.0, "wind_gusts_10m": 20.0}


@pytest.fixture
def services() -> Iterator[Services]:
    with Services() as running:
        yield running


def read(folder: Path, content: object) -> Briefing:
    path = folder / "saved.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    return read_briefing(path, scenes.plan(), scenes.NOW)


# -- a saved file ------------------------------------------------------------------------------


def test_a_file_for_the_launch_is_a_go_and_names_its_grid_point(tmp_path):
    calm = read(tmp_path, answer())

    assert scenes_verdict(calm) == Severity.GO
    [forecast] = calm.forecasts
    assert "grid point 44.90, -99.60, 0.0 mi from the launch" in forecast.provenance.model


def scenes_verdict(calm: Briefing) -> Severity:
    told = scenes.with_warnings_read(replace(calm, silences=()))
    return severity_of(told, scenes.plan())


@pytest.mark.parametrize(
    "place",
    [
        {"latitude": 30.0, "longitude": -60.0},  # 3,500 km away
        {"latitude": 46.0},
        {"longitude": -98.0},
        {"latitude": 44.9, "longitude": 99.6},  # the sign is lost
        {"latitude": 400.0},
    ],
)
def test_a_file_for_another_place_is_unknown(tmp_path, place):
    elsewhere = read(tmp_path, answer() | place)

    assert severity_of(elsewhere, scenes.plan()) == Severity.UNKNOWN
    assert any("another place" in failure.reason for failure in elsewhere.silences)


def test_of_several_places_none_near_is_unknown(tmp_path):
    places = [answer() | {"latitude": north} for north in (30.0, 60.0)]

    assert severity_of(read(tmp_path, places), scenes.plan()) == Severity.UNKNOWN


def by_model(**gone: object) -> dict[str, object]:
    """Return four models of which the last one is stormy; a model in `gone` has these values."""
    calm = answer()
    hours = len(calm["hourly"]["time"])
    columns = {"time": calm["hourly"]["time"]}
    for model in FOUR:
        values = CALM | (SQUALL if model == FOUR[-1] else {})
        for name, value in values.items():
            columns[f"{name}_{model}"] = [gone.get(model, value)] * hours
    units = {
        name: next((u for known, u in calm["hourly_units"].items() if name.startswith(known)), "")
        for name in columns
    }
    return calm | {"hourly": columns, "hourly_units": units}


def test_a_model_whose_columns_are_all_null_is_listed_and_holds_the_verdict(tmp_path):
    whole, gone = read(tmp_path, by_model()), read(tmp_path, by_model(cmc_gem_seamless=None))

    assert severity_of(whole, scenes.plan()) == Severity.NO_GO
    assert severity_of(gone, scenes.plan()) > Severity.GO
    assert gone.forecasts[0].absent == ("cmc_gem_seamless",)
    assert [failure.source for failure in gone.silences if failure.applies] == [
        "Open-Meteo, Canadian GEM"
    ]


# -- live answers ------------------------------------------------------------------------------

FAR = {"latitude": HERE[0] + 5.0}
LIVE = {
    "open_meteo": ("/v1/forecast", lambda: document(SAYS["open_meteo"](False)["/v1/forecast"])),
    "open_meteo_ensemble": ("/v1/ensemble", lambda: ensemble(alarmed=False)),
    "open_meteo_marine": ("/v1/marine", lambda: marine(alarmed=True)),
}


@pytest.mark.one_in(3)
@pytest.mark.promise("missing data never permits")
@pytest.mark.parametrize("change", [FAR, {"latitude": None}, {"longitude": 500.0}], ids=str)
@pytest.mark.parametrize("name", LIVE)
def test_an_answer_for_another_place_never_permits(services, name, change, tmp_path):
    path, answered = LIVE[name]
    services.server.serve(path, json_reply(answered() | change))

    assert severity_of(briefing(services, tmp_path)) > Severity.GO


@pytest.mark.parametrize("selection", ["land", "sea"])
def test_a_neighbouring_cell_for_another_place_is_missed(services, selection, tmp_path):
    far = LIVE["open_meteo"][1]() | FAR
    services.server.serve_where("/v1/forecast", "cell_selection", selection, json_reply(far))

    briefed = briefing(services, tmp_path)

    assert [note.applies for note in silent(briefed, "Open-Meteo")] == [True]
    assert severity_of(briefed) == Severity.MARGINAL


def test_a_neighbouring_land_cell_a_little_too_far_is_left_out(services, tmp_path):
    stormy = document(SAYS["open_meteo"](True)["/v1/forecast"]) | {"latitude": HERE[0] + 0.4}
    services.server.serve_where("/v1/forecast", "cell_selection", "land", json_reply(stormy))

    briefed = briefing(services, tmp_path)

    assert briefed.silences == ()
    assert briefed.forecasts[0].quantities["wind_speed"].max() == 1.5


@pytest.mark.parametrize("geometry", [None, {"type": "Point", "coordinates": [0, 0]}, "shifted"])
def test_a_grid_of_another_cell_never_permits(services, geometry, tmp_path):
    other = grid(alarmed=False)
    if geometry == "shifted":
        corners = other["geometry"]["coordinates"][0]
        geometry = {
            "type": "Polygon",
            "coordinates": [[[east, north + 1.0] for east, north in corners]],
        }
    services.server.serve("/gridpoints/XYZ/1,2", json_reply(other | {"geometry": geometry}))

    assert severity_of(briefing(services, tmp_path)) > Severity.GO


def test_every_forecast_names_its_grid_point_and_distance(services, tmp_path):
    forecasts = briefing(services, tmp_path).forecasts

    assert len(forecasts) == 3
    assert all("0.0 mi from the launch" in forecast.provenance.model for forecast in forecasts)


# -- the mechanism -----------------------------------------------------------------------------


def test_each_model_has_its_own_distance():
    coarse = greatest_grid_distance("ncep_gefs025")

    assert coarse == 3 * 28_000
    assert greatest_grid_distance("ecmwf_ifs") == 3 * 9_000 < coarse
    assert greatest_grid_distance("nws") == 3 * 2_500
    assert greatest_grid_distance("a model that nobody knows") <= coarse


@given(st.floats(-2, 2), st.floats(-2, 2), st.sampled_from(sorted(load_models())))
def test_a_member_is_known_exactly_where_its_grid_point_is_near(north, east, model):
    cell = (HERE[0] + north, HERE[1] + east)
    forecast = replace(scenes.forecast(models=[model]), cell=cell)

    [checked] = check_grid_points(scenes.briefing(forecast), HERE, "mi").forecasts

    near = distance_to(cell, HERE) <= greatest_grid_distance(model)
    assert np.isfinite(checked.quantities["wind_speed"]).all() == near
