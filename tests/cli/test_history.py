"""The history, as a user runs it."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from safety_check.model.verdict import Limit
from safety_check.model.weather import Provenance
from safety_check.settings.limits import load_default_limits
from safety_check.store.schema import NAME
from tests.cli import forecasts
from tests.cli.conftest import Run, Runner
from tests.cli.test_check import AS_OF, WARM, check

LATER = ("--as-of", "2026-06-13 06:00", "--start", "2026-06-13 09:00", "--hours", "4")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return forecasts.write(tmp_path)


def windy(folder: Path, speed: float) -> Path:
    said = forecasts.answer(wind_speed_10m=speed, wind_gusts_10m=speed)
    return forecasts.write(folder, said)


def listed(run: Runner, *more: object) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = run("history", "list", "--json", *more).json
    return found


# -- what is kept ------------------------------------------------------------------------------


def test_every_check_is_listed_the_newest_first(ready: Runner, file: Path) -> None:
    check(ready, file, "--name", "dawn")
    check(ready, file, water="large lake")
    first, second = listed(ready)
    assert (first["id"], first["water"], first["severity"]) == (2, "large lake", "GO")
    assert (second["id"], second["water"], second["name"]) == (1, "pond", "dawn")
    assert [entry["id"] for entry in listed(ready, "--name", "Dawn")] == [1]
    assert [entry["id"] for entry in listed(ready, "--water", "large lake")] == [2]
    told = ready("history", "list").out
    assert "GO" in told
    assert "Sat 13 Jun 09:00 to 13:00" in told
    assert max(map(len, told.splitlines())) <= 80


@pytest.mark.one_in(3)
@pytest.mark.parametrize("width", [40, 60, 80])
def test_the_list_and_the_repeat_fit_the_terminal_and_cut_nothing(
    ready: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    check(ready, windy(tmp_path, 12.0), "--name", "the long way round to the northern arm")
    monkeypatch.setattr("safety_check.report.history.terminal_width", lambda: width)
    told = ready("history", "list").out
    assert max(map(len, told.splitlines())) <= width
    assert "…" not in told
    [line] = listed(ready)
    assert line["because"] in " ".join(told.split())
    repeated = ready("history", "repeat", 1).out
    assert max(map(len, repeated.splitlines())) <= width


def test_the_list_tells_the_reason_that_decided(ready: Runner, tmp_path: Path) -> None:
    check(ready, forecasts.write(tmp_path))
    refused = check(ready, windy(tmp_path, 12.0)).json
    hold, good = listed(ready)
    deciding = [found["reason"] for found in refused["findings"] if found["severity"] == "NO-GO"]
    assert (hold["severity"], good["severity"]) == ("NO-GO", "GO")
    assert hold["because"] in deciding
    assert good["because"] == ""


def test_an_error_of_a_program_s_call_is_json(ready: Runner) -> None:
    done = ready("check", "nowhere", "--json", "--start", "sat 5:3")
    told = json.loads(done.err)["error"]
    assert (done.status, done.out, told["kind"]) == (2, "", "PlanError")
    assert told["exit_status"] == 2
    assert "nowhere" in told["message"]


@pytest.mark.parametrize("key", ["units.wnd", "nonsense", "units.wind.more", "contact.emial"])
def test_an_unknown_setting_is_refused_before_it_is_written(ready: Runner, key: str) -> None:
    before = ready("settings", "show").out
    assert ready("settings", "set", key, "kt").status in (1, 2)
    assert ready("settings", "show").out == before


def test_the_sample_and_refused_plans_are_not_kept(ready: Runner) -> None:
    ready("check", "--sample")
    ready("check", "pond", *AS_OF, "--reach", "1")
    assert listed(ready) == []
    assert "No checks yet" in ready("history", "list").out


def test_an_old_check_is_shown_as_it_was_given(ready: Runner, file: Path) -> None:
    given = check(ready, file)
    text = ready("check", "pond", "--forecast", file, *AS_OF, *WARM, "--full").out
    assert ready("history", "show", "1", "--json").json == given.json
    assert ready("history", "show", "2").out == text


def test_an_unknown_number_is_one_clear_paragraph(ready: Runner) -> None:
    for command in ("show", "repeat"):
        done = ready("history", command, "7")
        assert (done.status, done.out) == (2, "")
        assert "no check 7" in done.err


# -- a check made again ------------------------------------------------------------------------


def test_a_check_repeats_to_the_last_digit_when_its_forecast_and_water_are_gone(
    ready: Runner, file: Path
) -> None:
    check(ready, file)
    file.unlink()
    ready("water", "remove", "pond", "--yes")
    done = ready("history", "repeat", "1")
    assert (done.status, done.out) == (0, "The same verdict, GO, to the last digit.\n")


def test_a_check_that_weighed_earlier_ones_repeats_with_them(
    ready: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Only what a service forecast counts as an earlier forecast; files stand in for it here.
    monkeypatch.setattr(Provenance, "read_from_file", property(lambda _: False))
    check(ready, windy(tmp_path, 1.0))
    grown = ready("check", "pond", "--forecast", windy(tmp_path, 4.0), *LATER, *WARM, "--json")
    check(ready, windy(tmp_path, 5.0))
    assert grown.json["verdict"] == "MARGINAL"
    assert ready("history", "repeat", "2").out.startswith("The same verdict, MARGINAL")


def test_a_repeat_tells_which_of_your_settings_would_change_it(ready: Runner, file: Path) -> None:
    check(ready, file, "--craft", "mine")
    ready("limits", "set", "wind", "--craft", "mine", "--marginal", "2 mph", "--no-go", "3 mph")
    done = ready("history", "repeat", "1")
    assert done.status == 0
    assert "With today's settings: NO-GO." in done.out
    assert "wind_too_strong: GO became NO-GO; its limit was caution 5.5 m s-1" in done.out
    told = ready("history", "repeat", "1", "--json").json
    assert (told["same"], told["then"], told["again"], told["today"]) == (True, "GO", "GO", "NO-GO")


def test_a_repeat_tells_which_default_limit_has_changed_since(
    ready: Runner, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    check(ready, file)
    stricter = dict(load_default_limits())
    key = ("wind_speed", "sit-on-top-kayak")
    old: Limit = stricter[key]
    stricter[key] = Limit(**{**vars(old), "marginal": 0.5, "no_go": 1.0, "since": date(2027, 3, 2)})
    monkeypatch.setattr("safety_check.use_cases.rulebook.load_default_limits", lambda: stricter)
    done = ready("history", "repeat", "1")
    assert done.status == 1
    said = " ".join(done.out.split())
    assert said.startswith("A different verdict: it was GO, now it is NO-GO.")
    was = f"no-go {old.no_go:g} m s-1 ({old.basis}, since {old.since})"
    assert f"{was}; now it is caution 0.5 m s-1" in said
    assert "since 2027-03-02" in said
    assert "With today's settings" not in said


# -- trouble with the file ---------------------------------------------------------------------


def test_a_verdict_is_given_even_where_the_history_can_not_be_kept(
    ready: Runner, home: Path, file: Path
) -> None:
    (home / "data").write_text("a file where the folder should be")
    done = check(ready, file)
    assert (done.status, done.json["verdict"]) == (0, "GO")
    assert "safety-check: This check is not in the history." in done.err


def test_a_damaged_history_is_set_aside_and_said_once(
    ready: Runner, home: Path, file: Path
) -> None:
    check(ready, file)
    (home / "data" / NAME).write_bytes(b"\0" * 9000)
    done = check(ready, file)
    assert done.status == 20  # the old file may have held that the forecast missed something
    assert "was damaged" in done.err
    assert "no hour is better than MARGINAL" in " ".join(done.err.split())
    aside = [path for path in (home / "data").iterdir() if "damaged" in path.name]
    assert str(aside[0]) in done.err
    assert aside[0].read_bytes() == b"\0" * 9000
    again = ready("history", "list", "--json")
    assert (len(again.json), again.err) == (1, "")


def test_every_number_of_the_history_is_json(ready: Runner, file: Path) -> None:
    check(ready, file, "--water-temp", "40 F")
    done: Run = ready("history", "show", "1", "--json")
    assert json.dumps(done.json, allow_nan=False)


def test_a_name_with_line_breaks_takes_no_line_of_its_own(ready: Runner, tmp_path: Path) -> None:
    file = forecasts.write(tmp_path)
    name = "dawn\u2028   9  2026-06-12 20:00  GO        pond"
    ready("check", "pond", "--start", "2026-06-13 09:00", "--hours", "3", "--as-of",
          "2026-06-12 20:00", "--forecast", file, "--name", name)  # fmt: skip
    first, *others = ready("history", "list").out.splitlines()
    assert first.startswith("   1  ")
    assert all(line.startswith(" " * 6) for line in others)
