"""An air temperature for another height is unknown, and the heights are named."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import DataError
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing, Forecast
from safety_check.report.json import text
from safety_check.sources.elevation import check_elevations
from safety_check.sources.nws import grid
from safety_check.sources.registry import greatest_height_difference
from safety_check.sources.saved_forecast import read_briefing, read_forecast
from tests import scenes
from tests.cli.forecasts import answer
from tests.recordings import shared_folder
from tests.sources import fakes
from tests.sources.fake_server import json_reply
from tests.sources.fakes import SAYS, Services, document
from tests.sources.gathering import briefing, severity_of, silent, trip, verdict

AIR = "air_temperature"


@pytest.fixture
def services() -> Iterator[Services]:
    with Services() as running:
        yield running


def open_meteo(elevation: object) -> dict[str, Any]:
    return document(SAYS["open_meteo"](False)["/v1/forecast"]) | {"elevation": elevation}


def cell(elevation: object) -> dict[str, Any]:
    told = fakes.grid(alarmed=False)
    told["properties"]["elevation"] = elevation
    return told


def at(metres: object, unit: str = "wmoUnit:m") -> dict[str, object]:
    return {"unitCode": unit, "value": metres}


def heard(services: Services, folder: Path, metres: float | None = None) -> Briefing:
    """Return what the services say for a water that lies so high."""
    plan = trip(water_temperature=296.15)
    return briefing(services, folder, replace(plan, water=replace(plan.water, elevation=metres)))


def known(told: Briefing) -> list[bool]:
    """Return of each forecast with an air temperature whether it counts."""
    return [
        bool(np.isfinite(forecast.quantities[AIR]).any())
        for forecast in told.forecasts
        if AIR in forecast.quantities and "ensemble" not in forecast.provenance.source.casefold()
    ]


# -- live ----------------------------------------------------------------------------------------


def test_services_that_agree_about_the_height_give_a_go_and_name_it(services, tmp_path):
    told = heard(services, tmp_path)

    assert severity_of(told) == Severity.GO
    models = [forecast.provenance.model for forecast in told.forecasts]
    assert sum("air temperature for 1640 ft" in model for model in models) == 1
    assert sum("air temperature for 1673 ft" in model for model in models) == 1


@pytest.mark.parametrize("which", ["open_meteo", "nws"])
def test_services_for_different_heights_hold_the_verdict_and_are_named(services, which, tmp_path):
    if which == "open_meteo":
        services.server.serve("/v1/forecast", json_reply(open_meteo(2300.0)))
    else:
        services.server.serve("/gridpoints/XYZ/1,2", json_reply(cell(at(2300.0))))

    told = heard(services, tmp_path)

    assert known(told) == [False, False]
    judged = verdict(told)
    assert judged.severity == Severity.MARGINAL
    reasons = [note.reason for note in told.silences if note.applies]
    assert len(reasons) == 2
    assert all("7546 ft" in reason and "water set" in reason for reason in reasons)
    written = text(judged, "0", 20)
    assert "air temperature for 7546 ft" in written


def test_a_declared_height_shows_which_service_is_wrong(services, tmp_path):
    services.server.serve("/gridpoints/XYZ/1,2", json_reply(cell(at(2300.0))))

    told = heard(services, tmp_path, metres=520.0)

    assert known(told) == [True, False]
    assert severity_of(told) == Severity.MARGINAL
    [note] = silent(told, "National Weather Service")
    assert "7546 ft" in note.reason
    assert "the water is at 1706 ft" in note.reason


def test_wind_of_a_service_at_another_height_still_forbids(services, tmp_path):
    told = cell(at(2300.0))
    gale = {"windSpeed": 45.0, "windGust": 60.0}
    for layer, value in gale.items():
        told["properties"][layer]["values"][0]["value"] = value
    services.server.serve("/gridpoints/XYZ/1,2", json_reply(told))

    assert severity_of(heard(services, tmp_path)) == Severity.NO_GO


@pytest.mark.one_in(4)
@pytest.mark.parametrize(
    "wrong", [None, "x", float("nan"), -9999, 1e30, True, [500.0], {}], ids=str
)
@pytest.mark.parametrize("service", ["open_meteo", "nws"])
def test_a_height_that_cannot_be_read_never_permits(services, service, wrong, tmp_path):
    if service == "open_meteo":
        services.server.serve("/v1/forecast", json_reply(open_meteo(wrong)))
    else:
        services.server.serve("/gridpoints/XYZ/1,2", json_reply(cell(at(wrong))))

    assert severity_of(heard(services, tmp_path)) > Severity.GO


@pytest.mark.parametrize("told", [None, at(500.0, "wmoUnit:ft"), at(500.0, "furlong"), 500.0])
def test_a_height_without_a_known_unit_never_permits(services, told, tmp_path):
    services.server.serve("/gridpoints/XYZ/1,2", json_reply(cell(told)))

    assert severity_of(heard(services, tmp_path)) > Severity.GO


@pytest.mark.parametrize("frost", [-12.0, 41.0])
def test_a_wrong_height_loses_a_cold_or_heat_that_one_service_knows_but_no_launch_is_permitted(
    services, frost, tmp_path
):
    told = fakes.grid(alarmed=False)
    told["properties"]["temperature"]["values"][0]["value"] = frost
    services.server.serve("/gridpoints/XYZ/1,2", json_reply(told))
    assert severity_of(heard(services, tmp_path / "right")) > Severity.GO

    told["properties"]["elevation"] = at(3000.0)
    services.server.serve("/gridpoints/XYZ/1,2", json_reply(told))
    assert severity_of(heard(services, tmp_path / "wrong")) > Severity.GO


# -- a saved file ----------------------------------------------------------------------------------


def saved(folder: Path, elevation: object, metres: float | None) -> Briefing:
    path = folder / "saved.json"
    path.write_text(json.dumps(answer() | {"elevation": elevation}), encoding="utf-8")
    plan = scenes.plan()
    on = replace(plan, water=replace(plan.water, elevation=metres))
    told = scenes.with_warnings_read(read_briefing(path, on, scenes.NOW))
    return replace(told, silences=tuple(note for note in told.silences if note.applies))


@pytest.mark.parametrize(
    ("elevation", "metres", "severity"),
    [
        (500.0, None, Severity.GO),
        (500.0, 500.0, Severity.GO),
        (500.0, 790.0, Severity.GO),
        (500.0, 820.0, Severity.MARGINAL),
        (500.0, 180.0, Severity.MARGINAL),
        (None, None, Severity.MARGINAL),
    ],
)
def test_a_file_for_another_height_than_the_water_holds_the_verdict(
    tmp_path, elevation, metres, severity
):
    assert severity_of(saved(tmp_path, elevation, metres), scenes.plan()) == severity


# -- the mechanism -----------------------------------------------------------------------------


def told_for(*heights: float) -> Briefing:
    return Briefing(
        at=scenes.NOW,
        forecasts=tuple(replace(scenes.forecast(), elevation=height) for height in heights),
    )


def test_the_allowance_is_two_kelvin_of_the_standard_atmosphere():
    # 6.5 K per km: ICAO standard atmosphere, up to 11 km.
    assert greatest_height_difference() == pytest.approx(2.0 / 6.5e-3)


@pytest.mark.parametrize("sign", [-1, 1])
def test_the_allowance_decides_between_two_services_and_against_the_water(sign):
    allowed = greatest_height_difference()
    for apart, counts in ((allowed - 1, True), (allowed + 1, False)):
        between = check_elevations(told_for(1000.0, 1000.0 + sign * apart), None, "mi")
        against = check_elevations(told_for(1000.0 + sign * apart), 1000.0, "mi")
        assert known(between) == [counts, counts]
        assert known(against) == [counts]


def test_only_the_air_temperature_is_lost():
    [before] = told_for(3000.0).forecasts
    [after] = check_elevations(told_for(3000.0), 0.0, "km").forecasts

    changed = [
        name
        for name in before.quantities
        if not np.array_equal(before.quantities[name], after.quantities[name], equal_nan=True)
    ]
    assert changed == [AIR]
    assert "air temperature for 3000 m" in after.provenance.model


def test_a_forecast_of_wind_alone_needs_no_height():
    wind: Forecast = scenes.without(scenes.forecast(), AIR)
    assert check_elevations(Briefing(at=scenes.NOW, forecasts=(wind,)), 0.0, "mi").silences == ()


# -- recorded answers ----------------------------------------------------------------------------


def test_every_recorded_forecast_with_a_temperature_names_its_height() -> None:
    """What the services really send, so a strict reading costs no verdict in flat land."""
    found = []
    for path in sorted(shared_folder("recorded", "open_meteo").glob("forecast_*.json")):
        try:
            found.append(read_forecast(path))
        except DataError:  # a recording without hourly values
            continue
    for path in sorted(shared_folder("recorded", "noaa", "nws").glob("gridpoint_*Z.json")):
        found.append(grid.parse(path.read_bytes(), scenes.FROM_A_FILE))

    told = [one for one in found if np.isfinite(one.quantities[AIR]).any()]
    assert len(told) >= 8
    assert [one.provenance.model for one in told if one.elevation is None] == []
