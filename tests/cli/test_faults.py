"""No fault of a file, a folder or a number ends in a traceback or takes the verdict away."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command

from safety_check.cli.app import app_for
from safety_check.settings.private_files import LEFT_BEHIND, PART, make_folder, write_file
from tests.cli import forecasts
from tests.cli.conftest import Run, Runner
from tests.cli.read_only import run_one, run_read_only

DAY = ("--start", "2026-06-13 09:00", "--hours", "4", "--as-of", "2026-06-12 20:00")
WARM = ("--water-temp", "74 F", "--reach", "1/2 mi")
READ = ("--warnings", "none", "--read-at", "now")
VERDICTS = (0, 20, 30, 40)
REFUSED = (1,)
ANSWERED = (0,)

# Every command of the program: what a user runs in a home that can't be written, and the exit
# statuses that are right. OUT is a file in that home, FORECAST a saved forecast.
UNWRITABLE: dict[str, tuple[tuple[str, ...], tuple[int, ...]]] = {
    "check": (("check", "pond", *DAY, *WARM, *READ, "--forecast", "FORECAST"), VERDICTS),
    "recheck": (("recheck", "--forecast", "FORECAST", "--as-of", "2026-06-13 08:00"), VERDICTS),
    "watch": (("watch", "--last", "--every", "0 min"), (1, 2)),  # its launch is over
    "outlook": (
        ("outlook", "pond", "--as-of", DAY[-1], *WARM, "--forecast", "FORECAST", *READ),
        ANSWERED,
    ),
    "climate": (("climate", "pond", "--years", "0"), (1, 2)),  # it would ask a service
    "survey": (("survey", "FORECAST", "--forecasts", "FORECAST", "--out", "OUT"), REFUSED),
    "pack": (("pack", "pond", *DAY[:4]), (1, 2)),  # no service can be asked on that day
    "page": (
        ("page", "pond", *DAY, *WARM, *READ, "--forecast", "FORECAST", "--out", "OUT"),
        REFUSED,
    ),
    "plan write": (("plan", "write", "--last", "--html", "OUT"), REFUSED),
    "plan save": (("plan", "save", "bass", "pond", "--reach", "1 mi"), REFUSED),
    "plan list": (("plan", "list"), ANSWERED),
    "plan remove": (("plan", "remove", "bass"), (1, 2)),
    "serve": (("serve", "--port", "99999"), (1, 2)),  # it would run for ever
    "schema": (("schema",), ANSWERED),
    "history list": (("history", "list"), ANSWERED),
    "history show": (("history", "show", "1"), ANSWERED),
    "history repeat": (("history", "repeat", "1"), ANSWERED),
    "limits show": (("limits", "show"), ANSWERED),
    "limits set": (("limits", "set", "wind_speed", "--craft", "mine", "--no-go", "9 mph"), REFUSED),
    "limits reset": (("limits", "reset", "wind_speed", "--craft", "mine"), (1, 2)),
    "limits suggest": (("limits", "suggest"), ANSWERED),
    "craft add": (("craft", "add", "other", "--class", "canoe"), REFUSED),
    "craft list": (("craft", "list"), ANSWERED),
    "craft show": (("craft", "show", "mine"), ANSWERED),
    "craft remove": (("craft", "remove", "mine"), REFUSED),
    "craft measure": (("craft", "measure", "mine", "--track", "FORECAST"), (1, 2)),
    "paddler set": (("paddler", "set", "--company", "alone"), REFUSED),
    "paddler show": (("paddler", "show"), ANSWERED),
    "water add": (
        (
            "water",
            "add",
            "new",
            "--fetch",
            "N 1 km, E 1 km, S 1 km, W 1 km",
            "--launch",
            "ramp=44.9,-99.6",
        ),
        REFUSED,
    ),
    "water set": (("water", "set", "pond", "--elevation", "1200 ft"), REFUSED),
    "water rule": (
        ("water", "rule", "pond", "--name", "west wind", "--from", "SW-NW", "--add", "5 mph"),
        (1, 2),
    ),
    "water list": (("water", "list"), ANSWERED),
    "water show": (("water", "show", "pond"), ANSWERED),
    "water remove": (("water", "remove", "pond"), REFUSED),
    "water map": (
        ("water", "map", "lake", "--wind", "9 mph", "--from", "N", "--out", "OUT"),
        REFUSED,
    ),
    "trip log": (("trip", "log", "pond", "--began", "2026-06-13 09:00"), (1, 2)),
    "trip list": (("trip", "list"), ANSWERED),
    "trip export": (("trip", "export"), ANSWERED),
    "trip remove": (("trip", "remove", "1"), REFUSED),
    "settings show": (("settings", "show"), ANSWERED),
    "settings set": (("settings", "set", "units.wind", "kt"), REFUSED),
}


def commands_of(group: Any, above: tuple[str, ...] = ()) -> list[str]:
    found = []
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            found += commands_of(command, (*above, name))
        else:
            found.append(" ".join((*above, name)))
    return found


def test_the_table_has_every_command() -> None:
    assert set(UNWRITABLE) == set(commands_of(get_command(app_for(()))))


def shoreline(folder: Path) -> Path:
    ring = [[-99.65, 44.88], [-99.55, 44.88], [-99.55, 44.95], [-99.65, 44.95], [-99.65, 44.88]]
    path = folder / "lake.geojson"
    path.write_text(json.dumps({"type": "Polygon", "coordinates": [ring]}), encoding="utf-8")
    return path


@pytest.mark.thorough
def test_no_command_fails_without_words_in_a_home_that_can_not_be_written(
    ready: Runner, home: Path, tmp_path: Path
) -> None:
    forecast = forecasts.write(tmp_path)
    ready("water", "add", "lake", "--file", shoreline(tmp_path), "--launch", "ramp=44.9,-99.65")
    assert ready("check", "pond", *DAY, *WARM, "--forecast", forecast).status == 0
    places = {"FORECAST": str(forecast), "OUT": str(home / "written")}
    before = {path: path.read_bytes() for path in home.rglob("*") if path.is_file()}

    done = run_read_only(
        home,
        home,
        [[places.get(part, part) for part in command] for command, _ in UNWRITABLE.values()],
    )

    wrong: list[tuple[str, Run]] = []
    for (name, (_, expected)), outcome in zip(UNWRITABLE.items(), done, strict=True):
        wrong += [(name, outcome)] if outcome.status not in expected else []
        assert "Traceback" not in outcome.err, (name, outcome)
        if expected == REFUSED:
            assert outcome.err.startswith("safety-check: ") or "\nsafety-check: " in outcome.err, (
                outcome
            )
    assert wrong == []
    named = dict(zip(UNWRITABLE, done, strict=True))
    assert "not in the history" in named["check"].err
    assert named["page"].out.startswith(("GO", "MARGINAL"))  # the verdict is given all the same
    after = {path: path.read_bytes() for path in home.rglob("*") if path.is_file()}
    assert {path: body for path, body in after.items() if path in before} == before
    assert not [path for path in after if path.name == "written"]


@pytest.mark.thorough
@pytest.mark.parametrize("out", ["a folder", "under a file"])
def test_a_page_that_can_not_be_written_is_said_after_the_verdict(
    ready: Runner, tmp_path: Path, out: str
) -> None:
    (tmp_path / "a folder").mkdir()
    (tmp_path / "under a file").write_text("in the way", encoding="utf-8")
    place = {"a folder": "a folder", "under a file": "under a file/page.html"}[out]
    forecast = forecasts.write(tmp_path)
    done = ready("page", "pond", *DAY, *WARM, "--forecast", forecast, "--out", tmp_path / place)
    assert done.status == 1
    assert done.out.startswith("GO")
    assert "cannot be written" in done.err


@pytest.mark.thorough
def test_out_says_when_it_replaces_a_file(ready: Runner, tmp_path: Path) -> None:
    forecast, out = forecasts.write(tmp_path), tmp_path / "page.html"
    told = [
        ready("page", "pond", *DAY, *WARM, "--forecast", forecast, "--out", out).out
        for _ in range(2)
    ]
    assert "in place of" not in told[0]
    assert f"Wrote {out}, in place of the file that was there." in " ".join(told[1].split())


# -- numbers and times -------------------------------------------------------------------------

NINES = "9" * 400
ODD_NUMBERS = [NINES, "9" * 5000, "1e999", "-" + NINES, "nan", f"1/{NINES}", f"{NINES}/3"]
ODD_TIMES = ["9999-12-31", "9999-12-31 23:59", "0001-01-01", "2026-06-13T09:00+23:59", NINES]
TRIP = (*DAY, "--forecast", "FORECAST")
WITH_NUMBER = [
    ("check", "pond", *TRIP, "--reach", "? mi"),
    ("check", "pond", *TRIP, "--water-temp", "? F"),
    ("check", "pond", *TRIP, "--from-shore", "? yd"),
    ("check", "pond", *TRIP, "--launch", "?,?"),
    ("check", "pond", *TRIP, "--route", "44.9,?; 44.91,-99.6"),
    ("check", "pond", "--start", DAY[1], "--hours", "?", *DAY[4:], "--forecast", "FORECAST"),
    ("craft", "add", "x", "--class", "canoe", "--length", "? ft"),
    ("craft", "add", "x", "--class", "canoe", "--cruise", "? mph"),
    ("limits", "set", "wind_speed", "--craft", "mine", "--no-go", "? mph"),
    ("settings", "set", "odds.tolerance", "?"),
    ("history", "show", "?"),
    ("history", "repeat", "?"),
    ("history", "list", "--limit", "?"),
    ("trip", "remove", "?"),
    ("trip", "log", "pond", "--wind", "? mph", "--began", DAY[1]),
    ("outlook", "pond", "--days", "?", "--forecast", "FORECAST", "--as-of", DAY[-1]),
    ("recheck", "--wind", "? mph", "--forecast", "FORECAST", "--as-of", "2026-06-13 08:00"),
    ("water", "map", "pond", "--wind", "? mph", "--from", "?", "--out", "OUT"),
    (
        "water",
        "add",
        "a",
        "--fetch",
        "N ? m, E 1 km, S 1 km, W 1 km",
        "--launch",
        "ramp=44.9,-99.6",
    ),
    ("water", "add", "a", "--fetch", "N 1 km, E 1 km, S 1 km, W 1 km", "--launch", "ramp=?,-99.6"),
    (
        "water",
        "add",
        "a",
        "--fetch",
        "N 1 km, E 1 km, S 1 km, W 1 km",
        "--launch",
        "r=44.9,-99.6",
        "--depth",
        "? m",
    ),
    ("plan", "--last", "--alarm-after", "? min"),
    ("watch", "--every", "? min", "--last"),
    ("serve", "--port", "?"),
]
WITH_TIME = [
    ("check", "pond", "--start", "?", "--hours", "5", "--forecast", "FORECAST"),
    ("check", "pond", *DAY[:2], "--end", "?", *DAY[4:], "--forecast", "FORECAST"),
    ("check", "pond", *DAY[:4], "--as-of", "?", "--forecast", "FORECAST"),
    ("check", "pond", *TRIP, "--warnings", "none", "--read-at", "?"),
    ("outlook", "pond", "--as-of", "?", "--forecast", "FORECAST"),
    ("plan", "pond", "--start", "?", "--hours", "5"),
    ("trip", "log", "pond", "--began", "?"),
    ("recheck", "--as-of", "?", "--forecast", "FORECAST"),
    ("watch", "--last", "--at", "?"),
]


def filled(command: tuple[str, ...], value: str, folder: Path) -> list[str]:
    places = {"FORECAST": str(folder / "forecast.json"), "OUT": str(folder / "out.svg")}
    return [places.get(part, part).replace("?", value) for part in command]


def require_words(done: Run, command: list[str]) -> None:
    assert done.status in (*VERDICTS, 1, 2), (command[:3], done.err)
    assert "Traceback" not in done.err
    assert len(done.err) < 8000, "the number itself is not repeated at length"


@pytest.mark.one_in(6)
@pytest.mark.parametrize("number", ODD_NUMBERS, ids=range(len(ODD_NUMBERS)))
def test_no_number_ends_in_a_traceback(ready: Runner, tmp_path: Path, number: str) -> None:
    forecasts.write(tmp_path)
    for command in WITH_NUMBER:
        written = filled(command, number, tmp_path)
        require_words(Run(*run_one(written)), written)


@pytest.mark.one_in(3)
@pytest.mark.parametrize("moment", ODD_TIMES, ids=range(len(ODD_TIMES)))
def test_no_time_ends_in_a_traceback(ready: Runner, tmp_path: Path, moment: str) -> None:
    forecasts.write(tmp_path)
    for command in WITH_TIME:
        written = filled(command, moment, tmp_path)
        require_words(Run(*run_one(written)), written)


def ring(number: str) -> str:
    whole = '{"type": "Polygon", "coordinates": [[[?, 0], [1, 0], [1, 1], [0, 0]]]}'
    return whole.replace("?", number)


ODD_FILES: dict[str, str | bytes] = {
    "400 digits": ring(NINES),
    "5000 digits": ring("9" * 5000),
    "infinite": ring("1e999"),
    "only digits": "9" * 5000,
    "nested": "[" * 100_000,
    "UTF-16": "{}".encode("utf-16"),
    "no text": b"\xff\xfe\x00",
}


@pytest.mark.parametrize("name", ODD_FILES)
def test_no_file_ends_in_a_traceback(ready: Runner, home: Path, tmp_path: Path, name: str) -> None:
    body = ODD_FILES[name]
    shape = tmp_path / "shape.geojson"
    shape.write_bytes(body if isinstance(body, bytes) else body.encode())
    forecast = forecasts.write(tmp_path)
    for command in (
        ("water", "add", "b", "--file", shape),
        ("check", "pond", *DAY, "--forecast", forecast, "--route", shape),
        ("check", "pond", *DAY, "--forecast", shape),
    ):
        done = Run(*run_one([str(part) for part in command]))
        assert done.status in (1, 2), done.err
        assert "Traceback" not in done.err


@pytest.mark.one_in(3)
@pytest.mark.parametrize("number", [NINES, "9" * 5000, "1e999", '"x"', "null"])
@pytest.mark.parametrize("place", ["300.0", "44.9", "depth"])
def test_a_number_in_a_waters_file_never_ends_in_a_traceback(
    ready: Runner, home: Path, tmp_path: Path, number: str, place: str
) -> None:
    file = home / "waters" / "pond.geojson"
    good = file.read_text(encoding="utf-8")
    bad = good.replace('"depth_m": null', f'"depth_m": {number}')
    bad = bad if place == "depth" else good.replace(place, number)
    file.write_text(bad, encoding="utf-8")
    forecast = forecasts.write(tmp_path)
    for command in (("check", "pond", *DAY, *WARM, "--forecast", forecast), ("water", "list")):
        done = Run(*run_one([str(part) for part in command]))
        assert done.status in (*VERDICTS, 1, 2), done.err
        assert bad == good or done.status in (1, 20, 30, 40), done.out
        assert "Traceback" not in done.err


# -- private files -----------------------------------------------------------------------------


@pytest.mark.skipif(os.name == "nt", reason="system: files have other rights on Windows")
def test_all_that_is_stored_is_for_its_owner_only(
    ready: Runner, home: Path, tmp_path: Path
) -> None:
    before = os.umask(0)
    try:
        shape = shoreline(tmp_path)
        ready("water", "add", "lake", "--file", shape, "--launch", "ramp=44.9,-99.65")
        forecast = forecasts.write(tmp_path)
        ready("check", "lake", *DAY, *WARM, "--forecast", forecast)
        ready("trip", "log", "lake", "--began", "2026-06-13 09:00", "--wind", "5 mph")
    finally:
        os.umask(before)
    stored = list(home.rglob("*"))
    assert {"settings.toml", "history.sqlite3", "lake.geojson"} <= {path.name for path in stored}
    assert any(path.suffix == ".npz" for path in stored)
    for path in (home, *stored):
        assert path.stat().st_mode & 0o777 == (0o700 if path.is_dir() else 0o600), path


@pytest.mark.skipif(os.name == "nt", reason="system: files have other rights on Windows")
def test_an_older_history_that_others_could_read_is_closed_to_them(
    ready: Runner, home: Path, tmp_path: Path
) -> None:
    forecast = forecasts.write(tmp_path)
    ready("check", "pond", *DAY, *WARM, "--forecast", forecast)
    history = home / "data" / "history.sqlite3"
    history.chmod(0o644)
    ready("history", "list")
    assert history.stat().st_mode & 0o777 == 0o600


def test_what_dead_runs_left_behind_is_removed(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b")
    path = tmp_path / "a" / "b" / "settings.toml"
    dead, alive = (path.with_name(f"{path.name}{state}{PART}") for state in ("dead", "alive"))
    same_kind = path.with_name(f"limits.tomlab3d_f9h{PART}")  # of a file that nobody writes again
    other, download = (path.with_name(f"{name}{PART}") for name in ("own", "trip.toml"))
    for file in (dead, alive, same_kind, other, download):
        file.write_text("half", encoding="utf-8")
    long_ago = time.time() - 2 * LEFT_BEHIND
    for file in (dead, same_kind, other, download):
        os.utime(file, (long_ago, long_ago))
    assert not write_file(path, lambda file: file.write(b"whole"))
    assert sorted(file.name for file in path.parent.iterdir()) == sorted(
        [alive.name, other.name, download.name, path.name]
    )
