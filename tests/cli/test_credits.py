"""Every output for an OpenStreetMap shore and the world's forecast carries both credits."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer

from safety_check.cli.app import build_app
from tests.cli import forecasts
from tests.cli.conftest import Runner, reads_warnings, run_at
from tests.cli.test_water import LAKE, RAMP, collection, feature, polygon

SHORE = "© OpenStreetMap contributors, ODbL 1.0 (https://www.openstreetmap.org/copyright)"
PARTS = ("Open-Meteo.com", "CC BY 4.0", "OpenStreetMap contributors")
TRIP = ("--start", "2026-06-13 09:00", "--hours", "4", "--as-of", "2026-06-12 20:00")
WARM = ("--water-temp", "74 F", "--reach", "1/2 mi")
FORECAST = "FORECAST"
OUT = "OUT"
COMMANDS = {
    "check": ("check", "orvel", *TRIP, *WARM, "--forecast", FORECAST),
    "check, JSON": ("check", "orvel", *TRIP, *WARM, "--forecast", FORECAST, "--json"),
    "page": ("page", "orvel", *TRIP, *WARM, "--forecast", FORECAST, "--out", OUT),
    "outlook": ("outlook", "orvel", "--as-of", TRIP[-1], *WARM, "--forecast", FORECAST),
    "outlook, JSON": (
        *("outlook", "orvel", "--as-of", TRIP[-1], *WARM, "--forecast", FORECAST, "--json"),
    ),
    "history show": ("history", "show", "1"),
    "history show, JSON": ("history", "show", "1", "--json"),
    "recheck": ("recheck", "--forecast", FORECAST, "--as-of", "2026-06-13 08:00"),
    "recheck, JSON": ("recheck", "--forecast", FORECAST, "--as-of", "2026-06-13 08:00", "--json"),
    "outlook, calendar": (
        *("outlook", "orvel", "--as-of", TRIP[-1], *WARM, "--forecast", FORECAST, "--ical", OUT),
    ),
    "plan": ("plan", "write", "--last"),
    "plan, JSON": ("plan", "write", "--last", "--json"),
    "plan, HTML": ("plan", "write", "--last", "--html", OUT),
    "water show": ("water", "show", "orvel"),
    "water show, JSON": ("water", "show", "orvel", "--json"),
    "map of a trip": (*("water", "map", "orvel", *TRIP, "--forecast", FORECAST, "--out", OUT),),
    "map of a trip, JSON": (
        *("water", "map", "orvel", *TRIP, "--forecast", FORECAST, "--out", OUT, "--json"),
    ),
}

WITHOUT_DATA = {
    "watch": "runs for hours; its credits are tried with its own clock, in test_watch",
    "climate": "needs the service itself; its credits are tried with its fake, in test_climate",
    "survey": "writes digits from the user's own files",
    "pack": "needs the services themselves; its credits are tried with their fakes, in test_pack",
    "serve": "prints its address; it serves the page of a check",
    "schema": "prints the form of the JSON",
    "history list": "lists dates and verdicts",
    "history repeat": "compares digits",
    "limits show": "prints our limits",
    "limits set": "stores",
    "limits reset": "stores",
    "limits suggest": "reads the user's trips",
    "craft add": "stores",
    "craft list": "lists the user's craft",
    "craft show": "prints a craft",
    "craft remove": "removes",
    "craft measure": "measures a track of the user's",
    "paddler set": "stores",
    "paddler show": "prints what the user declared",
    "water add": "stores",
    "water list": "lists names",
    "water remove": "removes",
    "trip log": "stores",
    "trip list": "lists the user's words",
    "trip export": "writes the user's words",
    "trip remove": "removes",
    "settings show": "prints settings",
    "settings set": "stores",
    "plan save": "stores",
    "plan list": "lists the user's plans",
    "plan remove": "removes",
    "water set": "stores",
    "water rule": "stores",
}
"""Each command that shows neither a forecast nor a shore, and why."""

OUTPUTS = {"--json": "JSON", "--out": "", "--page": "page", "--html": "HTML", "--ical": "calendar"}
"""Each option that makes another output, and the word for it in the name of a case above."""

ELSEWHERE = {"page, JSON"}  # prints where the page was written


def all_commands(command: Any, words: tuple[str, ...] = ()) -> Iterator[tuple[str, Any]]:
    """Yield each command of the app with its name."""
    if hasattr(command, "commands"):
        for name, part in command.commands.items():
            yield from all_commands(part, (*words, name))
    else:
        yield " ".join(words), command


APP = dict(all_commands(typer.main.get_command(build_app())))


def tried(name: str) -> dict[str, set[str]]:
    """Return the outputs of a command that are tried above, with their options."""
    words = tuple(name.split())
    return {
        case: {str(part) for part in parts if str(part).startswith("--")}
        for case, parts in COMMANDS.items()
        if tuple(map(str, parts[: len(words)])) == words
    }


@pytest.mark.parametrize("name", APP)
def test_every_command_is_tried_or_shows_no_data(name: str) -> None:
    assert bool(tried(name)) != (name in WITHOUT_DATA)


@pytest.mark.parametrize("name", sorted(APP.keys() - WITHOUT_DATA.keys()))
def test_every_output_of_a_command_is_tried(name: str) -> None:
    options = {option for part in APP[name].params for option in part.opts}
    given = set[str]().union(*tried(name).values())
    missing = {value for value in options & OUTPUTS.keys() if value not in given}
    assert {f"{name}, {OUTPUTS[one_name]}" for one_name in missing} <= ELSEWHERE


def test_every_option_that_writes_a_file_is_known_as_an_output() -> None:
    for name, command in APP.items():
        for part in command.params:
            writes = "write" in (getattr(part, "help", "") or "").lower()
            assert not writes or OUTPUTS.keys() & set(part.opts), f"{name} {part.opts}"


@pytest.fixture(scope="session")
def checked_home(declared_home: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the home of a user who has checked a trip on a credited shore, to copy."""
    folder = tmp_path_factory.mktemp("checked")
    shape = folder / "orvel.geojson"
    content = collection(feature(polygon(LAKE), attribution=SHORE), RAMP)
    shape.write_text(json.dumps(content), encoding="utf-8")
    file = forecasts.write(folder)
    home = shutil.copytree(declared_home, folder / "home")
    assert run_at(home, "water", "add", "orvel", "--file", shape) == 0
    check = ("check", "orvel", *TRIP, *WARM, "--forecast", file, "--warnings", "none")
    assert run_at(home, *check, "--read-at", "now") in (0, 20, 30, 40)
    return home


@pytest.fixture
def checked(run: Runner, home: Path, tmp_path: Path, checked_home: Path) -> Runner:
    """Return the runner of a user who has checked a trip on a credited shore."""
    shutil.copytree(checked_home, home)
    forecasts.write(tmp_path)
    return reads_warnings(run)


@pytest.mark.one_in(6)
@pytest.mark.promise("sources are named")
@pytest.mark.parametrize("name", COMMANDS)
def test_every_output_carries_both_credits(checked: Runner, tmp_path: Path, name: str) -> None:
    out = tmp_path / "written"
    places = {FORECAST: tmp_path / "forecast.json", OUT: out}
    done = checked(*(places.get(str(part), part) for part in COMMANDS[name]))
    said = [" ".join(done.out.split())]
    if OUT in COMMANDS[name]:
        written = out.read_text(encoding="utf-8")
        if "calendar" in name:
            written = written.replace("\n ", "")  # its long lines are folded
        said = [" ".join(written.split())]
        if "JSON" in name:
            said.append(done.out)
    for text in said:
        shore_alone = name.startswith("water show")  # shows no forecast
        for part in PARTS[-1:] if shore_alone else PARTS:
            assert part in text, f"{name} lacks {part}"


@pytest.mark.thorough
@pytest.mark.parametrize("name", ["page", "plan, HTML"])
def test_a_page_links_to_the_licence(checked: Runner, tmp_path: Path, name: str) -> None:
    out = tmp_path / "written"
    places = {FORECAST: tmp_path / "forecast.json", OUT: out}
    checked(*(places.get(str(part), part) for part in COMMANDS[name]))
    page = out.read_text(encoding="utf-8")
    assert 'href="https://creativecommons.org/licenses/by/4.0/"' in page
    assert 'href="https://www.openstreetmap.org/copyright"' in page
