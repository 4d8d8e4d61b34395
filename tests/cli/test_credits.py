"""Every output for an OpenStreetMap shore and the world's forecast carries both credits."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner
from tests.cli.test_water import LAKE, RAMP, collection, feature, polygon

SHORE = "© OpenStreetMap contributors, ODbL 1.0 (https://www.openstreetmap.org/copyright)"
PARTS = ("Open-Meteo.com", "CC BY 4.0", "OpenStreetMap contributors")
TRIP = ("--start", "2026-06-13 09:00", "--hours", "4", "--as-of", "2026-06-12 20:00")
WARM = ("--water-temp", "74 F", "--reach", "1/2 mi")
FORECAST = "FORECAST"
OUT = "OUT"
COMMANDS = {
    "check": ("check", "heron", *TRIP, *WARM, "--forecast", FORECAST),
    "check, JSON": ("check", "heron", *TRIP, *WARM, "--forecast", FORECAST, "--json"),
    "page": ("page", "heron", *TRIP, *WARM, "--forecast", FORECAST, "--out", OUT),
    "outlook": ("outlook", "heron", "--as-of", TRIP[-1], *WARM, "--forecast", FORECAST),
    "outlook, JSON": (
        *("outlook", "heron", "--as-of", TRIP[-1], *WARM, "--forecast", FORECAST, "--json"),
    ),
    "history show": ("history", "show", "1"),
    "history show, JSON": ("history", "show", "1", "--json"),
    "recheck": ("recheck", "--forecast", FORECAST, "--as-of", "2026-06-13 08:00"),
    "recheck, JSON": ("recheck", "--forecast", FORECAST, "--as-of", "2026-06-13 08:00", "--json"),
    "plan": ("plan", "--last"),
    "plan, JSON": ("plan", "--last", "--json"),
    "plan, HTML": ("plan", "--last", "--html", OUT),
    "map of a trip": (*("water", "map", "heron", *TRIP, "--forecast", FORECAST, "--out", OUT),),
    "map of a trip, JSON": (
        *("water", "map", "heron", *TRIP, "--forecast", FORECAST, "--out", OUT, "--json"),
    ),
}


@pytest.fixture
def checked(ready: Runner, tmp_path: Path) -> Runner:
    """Return the runner of a user who has checked a trip on a credited shore."""
    shape = tmp_path / "heron.geojson"
    content = collection(feature(polygon(LAKE), attribution=SHORE), RAMP)
    shape.write_text(json.dumps(content), encoding="utf-8")
    assert ready("water", "add", "heron", "--file", shape).status == 0
    file = forecasts.write(tmp_path)
    done = ready("check", "heron", *TRIP, *WARM, "--forecast", file)
    assert done.status in (0, 20, 30, 40), done.err
    return ready


@pytest.mark.parametrize("name", COMMANDS)
def test_every_output_carries_both_credits(checked: Runner, tmp_path: Path, name: str) -> None:
    out = tmp_path / "written"
    places = {FORECAST: tmp_path / "forecast.json", OUT: out}
    done = checked(*(places.get(str(part), part) for part in COMMANDS[name]))
    said = [" ".join(done.out.split())]
    if OUT in COMMANDS[name]:
        written = out.read_text(encoding="utf-8")
        said = [" ".join(written.split())]
        if "JSON" in name:
            said.append(done.out)
    for text in said:
        for part in PARTS:
            assert part in text, f"{name} lacks {part}"


@pytest.mark.parametrize("name", ["page", "plan, HTML"])
def test_a_page_links_to_the_licence(checked: Runner, tmp_path: Path, name: str) -> None:
    out = tmp_path / "written"
    places = {FORECAST: tmp_path / "forecast.json", OUT: out}
    checked(*(places.get(str(part), part) for part in COMMANDS[name]))
    page = out.read_text(encoding="utf-8")
    assert 'href="https://creativecommons.org/licenses/by/4.0/"' in page
    assert 'href="https://www.openstreetmap.org/copyright"' in page
