"""The main job, as a user runs it."""

from __future__ import annotations

import json
import re
import socket
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from safety_check.report.json import SCHEMA_VERSION
from tests.cli import forecasts
from tests.cli.conftest import Run, Runner
from tests.recordings import shared_folder

AS_OF = ("--as-of", "2026-06-12 20:00", "--start", "2026-06-13 09:00", "--hours", "4")
WARM = ("--water-temp", "74 F")


def check(run: Runner, file: Path, *more: object, water: str = "pond") -> Run:
    return run("check", water, "--forecast", file, *AS_OF, *WARM, "--json", *more)


def test_a_calm_day_on_a_pond_is_a_go(ready: Runner, tmp_path: Path) -> None:
    done = check(ready, forecasts.write(tmp_path))
    assert (done.status, done.json["verdict"]) == (0, "GO")


def test_the_report_follows_its_schema(ready: Runner, tmp_path: Path) -> None:
    schema = ready("schema").json
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(check(ready, forecasts.write(tmp_path)).json, schema)
    jsonschema.validate(ready("check", "--sample", "--json").json, schema)


def test_the_report_has_what_scripts_rely_on(ready: Runner, tmp_path: Path) -> None:
    told = check(ready, forecasts.write(tmp_path)).json
    assert told["schema_version"] == SCHEMA_VERSION
    assert {"time", "verdict", "odds"} <= told["hours"][0].keys()
    keys = {"quantity", "severity", "value", "unit", "limit", "hours", "reason", "source", "basis"}
    assert all(keys <= finding.keys() for finding in told["findings"])
    assert {"unknown", "provenance"} <= told.keys()


# Common practice, no source: an upper end of 14 mph keeps a lone angler off a large open lake.
@pytest.mark.one_in(3)
@pytest.mark.parametrize("mph", [10, 12, 14])
def test_an_upper_end_of_14_mph_counts_on_the_lake_and_raises_no_sea_on_the_pond(
    ready: Runner, tmp_path: Path, mph: float
) -> None:
    wind: dict[str, Any] = {"wind_speed_10m": mph * 0.44704, "wind_gusts_10m": mph * 0.62}
    file = forecasts.write(tmp_path, forecasts.answer(**wind))
    assert check(ready, file, water="large lake").json["verdict"] in ("MARGINAL", "NO-GO")
    waves = [
        finding
        for finding in check(ready, file).json["findings"]
        if finding["quantity"] == "sea_surface_wave_significant_height"
    ]
    assert [wave["severity"] for wave in waves] == ["GO"]


def missing_column(column: str) -> dict[str, Any]:
    changes: dict[str, Any] = {column: None}
    return forecasts.answer(**changes)


@pytest.mark.parametrize("column", ["wind_speed_10m", "wind_gusts_10m", "wind_direction_10m"])
def test_a_forecast_without_a_wind_column_is_unknown(
    ready: Runner, tmp_path: Path, column: str
) -> None:
    done = check(ready, forecasts.write(tmp_path, missing_column(column)))
    assert (done.status, done.json["verdict"]) == (40, "UNKNOWN")


def test_a_wrong_unit_is_unknown(ready: Runner, tmp_path: Path) -> None:
    said = forecasts.answer()
    said["hourly_units"]["wind_gusts_10m"] = "furlongs"
    assert check(ready, forecasts.write(tmp_path, said)).status == 40


def test_a_plan_beyond_the_forecast_is_unknown(ready: Runner, tmp_path: Path) -> None:
    file = forecasts.write(tmp_path, forecasts.answer(hours=40))
    assert check(ready, file).status == 40


def test_a_stale_file_is_unknown(ready: Runner, tmp_path: Path) -> None:
    late = ("--as-of", "2026-06-14 06:00", "--start", "2026-06-14 09:00", "--hours", "2")
    file = forecasts.write(tmp_path)
    done = ready("check", "pond", "--forecast", file, *late, *WARM, "--json")
    assert done.status == 40


def test_without_a_water_temperature_it_is_unknown_and_says_how_to_enter_it(
    ready: Runner, tmp_path: Path
) -> None:
    done = ready("check", "pond", "--forecast", forecasts.write(tmp_path), *AS_OF)
    assert done.status == 40
    assert "--water-temp" in done.out


@pytest.mark.promise("what is not declared is unknown")
def test_undeclared_readiness_is_unknown_with_the_commands(run: Runner, tmp_path: Path) -> None:
    run("water", "add", "pond", "--fetch", "N 1 km, E 1 km, S 1 km, W 1 km", "--launch",
        "ramp=44.9,-99.6")  # fmt: skip
    file = forecasts.write(tmp_path)
    done = run("check", "pond", "--craft", "canoe", "--forecast", file, *AS_OF, *WARM)
    assert done.status == 40
    said = " ".join(done.out.split())
    for option in ("--life-jacket", "--wearing", "--company", "--light"):
        assert f"safety-check paddler set {option}" in said


def test_one_check_can_declare_otherwise(ready: Runner, tmp_path: Path) -> None:
    file = forecasts.write(tmp_path)
    assert check(ready, file, "--life-jacket", "carried").status == 30
    assert check(ready, file).status == 0


MENDABLE: list[tuple[tuple[str, ...], int, str]] = [
    (("check",), 2, "which water"),
    (("check", "pnd", *AS_OF), 2, "Did you mean 'pond'"),
    (("check", "pond", *AS_OF, "--craft", "kanoo"), 2, "Did you mean 'canoe'"),
    (("check", "pond", *AS_OF, "--launch", "rampe"), 2, "Did you mean 'ramp'"),
    (("check", "pond"), 2, "--start"),
    (("check", "pond", "--start", "soon", "--hours", "4"), 2, "is not a time"),
    (("check", "pond", "--start", "tomorrow 06:00"), 2, "--hours"),
    (("check", "pond", "--start", "tomorrow 06:00", "--hours", "0"), 2, "is not after the start"),
    (("check", "pond", "--start", "tomorrow 06:00", "--hours", "nan"), 2, "--hours"),
    (
        ("check", "pond", "--start", "tomorrow 6:00", "--end", "today 23:59"),
        2,
        "is not after the start",
    ),
    (("check", "pond", "--start", "2020-01-01 06:00", "--hours", "4"), 2, "in the past"),
    (("check", "pond", *AS_OF, "--reach", "1"), 2, "no unit"),
    (("check", "pond", *AS_OF, "--water-temp", "58"), 2, "F, C, K"),
    (("check", "pond", *AS_OF, "--water-temp", "451 F"), 2, "open water is between"),
    (("check", "pond", *AS_OF, "--forecast", "nowhere.json"), 1, "no such file"),
]


@pytest.mark.parametrize(("arguments", "status", "part"), MENDABLE)
def test_a_user_error_is_one_clear_paragraph(
    ready: Runner, arguments: tuple[str, ...], status: int, part: str
) -> None:
    done = ready(*arguments)
    assert (done.status, done.out) == (status, "")
    assert done.err.startswith("safety-check: ")
    assert len(done.err.strip().splitlines()) == 1
    assert part in done.err


BODIES = {
    "empty": b"",
    "a page": b"<!DOCTYPE html><title>502</title>",
    "cut off": json.dumps(forecasts.answer()).encode()[:-40],
    "an error": b'{"error":true,"reason":"No data is available for this location"}',
    "binary": bytes(range(256)),
}


@pytest.mark.parametrize("name", BODIES)
def test_a_file_that_means_nothing_is_one_clear_paragraph(
    ready: Runner, tmp_path: Path, name: str
) -> None:
    file = tmp_path / "forecast.json"
    file.write_bytes(BODIES[name])
    done = check(ready, file)
    assert (done.status, done.out) == (1, "")
    assert "forecast.json" in done.err


RECORDED = "open_meteo"


def _first_day(document: Any) -> str:
    first = document[0] if isinstance(document, list) else document
    times = first.get("hourly", {}).get("time", []) if isinstance(first, dict) else []
    return str(times[min(9, len(times) - 1)]) if times else "2026-01-01T09:00"


def _names() -> list[str]:
    folder = Path(__file__).parents[3] / "shared" / "recorded" / RECORDED
    return sorted(path.name for path in folder.glob("*.json")) or ["(none)"]


@pytest.mark.one_in(6)
@pytest.mark.parametrize("name", _names())
def test_every_recorded_answer_gives_a_verdict_or_one_clear_error(ready: Runner, name: str) -> None:
    file = shared_folder("recorded", RECORDED) / name
    document = json.loads(file.read_text(encoding="utf-8"))
    start = _first_day(document)
    done = ready("check", "pond", "--forecast", file, "--as-of", start, "--start", start,
                 "--hours", "2", *WARM, "--json")  # fmt: skip
    if done.out:
        assert done.json["verdict"] in ("MARGINAL", "UNKNOWN", "NO-GO")
        if "wind_gusts_10m" not in str(document):
            assert done.json["verdict"] in ("UNKNOWN", "NO-GO")
            assert any(
                unknown_item["what"] == "gust speed" for unknown_item in done.json["unknown"]
            )
    else:
        assert done.status == 1
        assert json.loads(done.err)["error"]["message"].startswith(name)


def test_the_first_line_is_the_verdict_and_nothing_is_wider_than_80(ready: Runner) -> None:
    done = ready("check", "--sample")
    assert done.status == 30
    lines = done.out.splitlines()
    assert lines[0].startswith("NO-GO: do not launch as planned.")
    assert max(map(len, lines)) <= 80


@pytest.mark.promise("the sample needs no network")
def test_the_sample_is_checked_with_the_network_cut(
    ready: Runner, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError("the network is cut")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    assert ready("check", "--sample").out.startswith("NO-GO")


@pytest.mark.promise("never a permission", "the usual cautions")
def test_a_go_is_no_permission_and_is_followed_by_the_usual_cautions(
    ready: Runner, tmp_path: Path
) -> None:
    given = ("--forecast", forecasts.write(tmp_path), *AS_OF, *WARM)
    said = " ".join(ready("check", "pond", *given, "--full").out.split())
    assert said.startswith("GO")
    for caution in (
        "This is an aid, not a permission. Local regulations, official forecasts and warnings,"
        " and your own judgment at the water come first.",
        "Wear your life jacket, fastened, before you leave the shore.",
        "Tell someone where you are going and when you will be back.",
        "No alcohol or drugs",
    ):
        assert caution in said
    short = " ".join(ready("check", "pond", *given).out.split())
    assert "Wear your life jacket, fastened, before you leave the shore." in short


@pytest.mark.promise("the exit status")
@pytest.mark.parametrize(
    ("wind", "status", "verdict"), [(2.0, 0, "GO"), (5.8, 20, "MARGINAL"), (12.0, 30, "NO-GO")]
)
def test_the_exit_status_is_the_verdict(
    ready: Runner, tmp_path: Path, wind: float, status: int, verdict: str
) -> None:
    hour = forecasts.answer(wind_speed_10m=wind, wind_gusts_10m=wind + 0.5)
    done = check(ready, forecasts.write(tmp_path, hour))
    assert (done.status, done.json["verdict"]) == (status, verdict)


def test_units_print_as_the_user_prefers(ready: Runner, tmp_path: Path) -> None:
    ready("settings", "set", "units.wind", "kt")
    ready("settings", "set", "units.wave", "m")
    file = forecasts.write(tmp_path, forecasts.answer(wind_speed_10m=9.0, wind_gusts_10m=12.0))
    done = ready("check", "pond", "--forecast", file, *AS_OF, *WARM)
    assert "17 kt" in done.out
    assert "waves, m" in done.out


def test_a_personal_limit_is_called_yours(ready: Runner, tmp_path: Path) -> None:
    ready("limits", "set", "gust", "--craft", "mine", "--marginal", "12 mph", "--no-go", "15 mph")
    file = forecasts.write(tmp_path, forecasts.answer(wind_speed_10m=3.0, wind_gusts_10m=8.5))
    done = check(ready, file, "--craft", "mine")
    reason = next(
        finding["reason"]
        for finding in done.json["findings"]
        if finding["quantity"] == "wind_speed_of_gust"
    )
    assert reason == (
        "Gusts reach 19 mph between 09:00 and 10:00; your limit for this craft is 15 mph (yours,"
        " default 22.3 mph)."
    )
    assert done.status == 30


def test_loosened_limits_are_repeated_on_a_go(ready: Runner, tmp_path: Path) -> None:
    loose = ("--craft", "mine", "--marginal", "30 mph", "--no-go", "35 mph", "--loosen")
    assert ready("limits", "set", "wind", *loose).status == 0
    assert ready("settings", "set", "odds.tolerance", "0.2", "--loosen").status == 0
    file = forecasts.write(tmp_path)
    sentences = check(ready, file, "--craft", "mine").json["loosened"]
    assert sentences[0].startswith("You loosened the limit for wind speed")
    assert "20 %" in sentences[1]
    text = ready("check", "pond", "--forecast", file, *AS_OF, *WARM, "--craft", "mine")
    above_the_hours = " ".join(text.out.split(" hours ")[0].split())
    assert all(sentence in above_the_hours for sentence in sentences)
    page = tmp_path / "page.html"
    asked = ("page", "pond", "--forecast", file, *AS_OF, *WARM, "--craft", "mine", "--out", page)
    ready(*asked)
    assert sentences[0] in page.read_text(encoding="utf-8")


def test_a_reach_that_was_not_given_is_named_in_the_head(ready: Runner, tmp_path: Path) -> None:
    asked = ("check", "pond", "--forecast", forecasts.write(tmp_path), *AS_OF)
    head = " ".join(ready(*asked).out.split(" hours ")[0].split())
    assert re.search("1 mi( from the launch)? assumed", head)
    assert "assumed" not in ready(*asked, "--reach", "1/2 mi").out
