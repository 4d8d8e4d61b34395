"""An answer that was stored on the way is as old as its rows show, and not new because it came."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from safety_check.model.verdict import Severity
from tests.sources.fake_server import json_reply
from tests.sources.fakes import NOW, SAYS, Services, document
from tests.sources.gathering import briefing, severity_of, silent

PATHS = {
    "open_meteo": "/v1/forecast",
    "open_meteo_ensemble": "/v1/ensemble",
    "open_meteo_marine": "/v1/marine",
}


@pytest.fixture
def services() -> Iterator[Services]:
    with Services() as running:
        yield running


def earlier(answer: dict[str, Any], days: int) -> dict[str, Any]:
    """Return an answer of some days before that still reaches over the trip."""
    rows = answer["hourly"]
    size = len(rows["time"]) + 24 * days
    first = rows["time"][0] - 86_400 * days
    columns = {name: [column[0]] * size for name, column in rows.items()}
    return answer | {"hourly": columns | {"time": [first + 3600 * hour for hour in range(size)]}}


@pytest.mark.one_in(2)
@pytest.mark.promise("missing data never permits")
@pytest.mark.parametrize("days", [1, 5])
@pytest.mark.parametrize("name", PATHS)
def test_a_calm_answer_of_another_day_never_permits(services, name, days, tmp_path):
    old = earlier(document(SAYS[name](False)[PATHS[name]]), days)
    services.server.serve(PATHS[name], json_reply(old))

    assert severity_of(briefing(services, tmp_path)) > Severity.GO


@pytest.mark.parametrize("name", ["open_meteo", "open_meteo_ensemble"])
def test_it_counts_from_the_day_on_which_it_was_made(services, name, tmp_path):
    old = earlier(document(SAYS[name](False)[PATHS[name]]), 5)
    services.server.serve(PATHS[name], json_reply(old))

    issued = [
        forecast.provenance.issued
        for forecast in briefing(services, tmp_path).forecasts
        if forecast.provenance.source.startswith("Open-Meteo") and forecast.provenance.issued
    ]
    assert issued == [NOW.replace(hour=0) - timedelta(days=5)]


def test_old_waves_of_the_sea_are_named(services, tmp_path):
    old = earlier(document(SAYS["open_meteo_marine"](False)["/v1/marine"]), 5)
    services.server.serve("/v1/marine", json_reply(old))

    [note] = silent(briefing(services, tmp_path), "Open-Meteo marine")
    assert note.reason == "Its waves are of 2026-06-08, too old to count. Try again later."


def test_an_answer_from_before_midnight_is_still_of_today(services, tmp_path):
    """Rows begin with the service's yesterday; an answer may cross midnight on its way."""
    at = NOW.replace(hour=1)
    for name, path in PATHS.items():
        answer = earlier(document(SAYS[name](False)[path]), 1)
        services.server.serve(path, json_reply(answer))

    told = briefing(services, tmp_path, now=at)
    assert all(
        forecast.provenance.issued is None
        for forecast in told.forecasts
        if forecast.provenance.source.startswith("Open-Meteo")
    )
