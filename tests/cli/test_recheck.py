"""At the launch: the last plan again, with what is new and what is seen; also with no signal."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from safety_check.model.plan import Plan
from safety_check.model.weather import Briefing, SourceFailure
from tests.cli import forecasts
from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal

EVENING = "2026-06-12T20:00"
AT_THE_RAMP = "2026-06-13T05:50"
WINDY = {"wind_speed_10m": 9.0, "wind_gusts_10m": 13.0}


@pytest.fixture
def planned(ready: Runner, tmp_path: Path) -> Runner:
    """Return the runner of a user who checked a calm morning the evening before."""
    calm = forecasts.write(tmp_path)
    done = ready("check", "pond", "--start", "2026-06-13T06:00", "--hours", 4, "--water-temp",
                 "74 F", "--forecast", calm, "--as-of", EVENING, "--name", "bass")  # fmt: skip
    assert done.status == 0, done.out + done.err
    return ready


def newer(folder: Path, **changes: Any) -> Path:
    path = folder / "newer.json"
    path.write_text(json.dumps(forecasts.answer(**changes)), encoding="utf-8")
    return path


def test_without_signal_the_last_forecast_serves_and_its_age_is_said(planned: Runner) -> None:
    done = planned("recheck", "--offline", "--as-of", AT_THE_RAMP)
    assert done.status == 0, done.out + done.err
    first, *rest = done.out.splitlines()
    assert first == "GO, the same as at the last check (Fri 12 Jun 20:00, 10 h ago)"
    assert any("No newer forecast is available" in line for line in rest)


def test_what_is_seen_leads_and_decides(planned: Runner) -> None:
    done = planned("recheck", "--offline", "--as-of", AT_THE_RAMP, "--wind", "20 mph", "--from",
                   "NW", "--whitecaps")  # fmt: skip
    assert done.status == 30
    assert done.out.startswith("NO-GO, was GO at the last check")
    assert done.out.index("You see wind 20 mph") < done.out.index("Off the water by")


def test_a_newer_forecast_that_is_worse_turns_the_verdict(planned: Runner, tmp_path: Path) -> None:
    worse = newer(tmp_path, **WINDY)
    done = planned("recheck", "pond", "--forecast", worse, "--as-of", AT_THE_RAMP, "--json")
    assert done.status == 30
    assert done.json["since"]["before"] == "GO"
    assert done.json["since"]["alone"] == done.json["verdict"] == "NO-GO"
    assert {"wind_too_strong", "gusts_too_strong"} <= {
        hazard["hazard"] for hazard in done.json["since"]["hazards"]
    }


def test_the_next_recheck_compares_with_this_one(planned: Runner, tmp_path: Path) -> None:
    planned("recheck", "--forecast", newer(tmp_path, **WINDY), "--as-of", AT_THE_RAMP)
    calm = forecasts.write(tmp_path)
    done = planned("recheck", "--forecast", calm, "--as-of", "2026-06-13T05:58", "--json")
    assert done.json["since"]["before"] == "NO-GO"
    assert done.json["since"]["last_check"] == "2026-06-13T10:50:00Z"


# -- the evening before: the forecast said calm, and it blew --------------------------------------

BLOWING = ("--wind", "20 mph", "--gust", "28 mph", "--whitecaps")


def test_a_windy_evening_that_was_forecast_calm_holds_back_the_morning(planned: Runner) -> None:
    planned("recheck", "--offline", "--as-of", EVENING, *BLOWING)

    done = planned("recheck", "--offline", "--as-of", AT_THE_RAMP)

    assert done.status == 20, done.out + done.err
    told = " ".join(done.out.split())
    assert "On Fri 20:00 you saw" in told
    assert "the forecasts said" in told
    assert "No later hour is GO until a newer run shows what was observed." in told


def test_a_fresh_check_of_the_launch_remembers_the_evening(planned: Runner, tmp_path: Path) -> None:
    planned("recheck", "--offline", "--as-of", EVENING, *BLOWING)

    done = planned("check", "pond", "--start", "2026-06-13T06:00", "--hours", 3, "--water-temp",
                   "74 F", "--forecast", forecasts.write(tmp_path), "--as-of", AT_THE_RAMP,
                   "--json")  # fmt: skip

    assert done.status == 20
    held = [finding for finding in done.json["findings"] if finding["hazard"] == "forecast_missed"]
    assert held[0]["severity"] == "MARGINAL"
    assert {entry["time"] for entry in done.json["missed"]} == {"2026-06-13T01:00:00Z"}
    assert all(
        entry["value"] > entry["highest"] > entry["expected"] for entry in done.json["missed"]
    )


def test_whitecaps_read_as_the_least_wind_that_they_mean(planned: Runner) -> None:
    done = planned("recheck", "--offline", "--as-of", AT_THE_RAMP, "--whitecaps")
    assert "You see whitecaps: 12 mph or more (Beaufort 4)" in " ".join(done.out.split())


def test_what_was_seen_a_moment_ago_still_counts(planned: Runner) -> None:
    planned("recheck", "--offline", "--as-of", AT_THE_RAMP, "--wind", "20 mph")
    done = planned("recheck", "--offline", "--as-of", "2026-06-13T05:58", "--full")
    assert done.status == 30
    assert "your own eyes, 8 min ago" in done.out


def test_a_recheck_in_the_same_minute_says_each_observation_once(planned: Runner) -> None:
    seen = ("--wind", "9 mph", "--gust", "14 mph", "--from", "NW")
    planned("recheck", "--offline", "--as-of", AT_THE_RAMP, *seen)
    same = planned("recheck", "--offline", "--as-of", AT_THE_RAMP, *seen, "--full")
    assert same.out.count("wind 9 mph (forecast") == 1
    assert same.out.count("your own eyes, 0 min ago") == 1

    corrected = planned("recheck", "--offline", "--as-of", AT_THE_RAMP, "--wind", "11 mph",
                        "--full")  # fmt: skip
    assert corrected.out.count("You see wind 11 mph") == 1
    assert "wind 9 mph (forecast" not in corrected.out
    assert corrected.out.count("your own eyes, 0 min ago") == 1


@pytest.mark.thorough
def test_a_named_plan_is_found_among_others(planned: Runner, tmp_path: Path) -> None:
    calm = forecasts.write(tmp_path)
    planned("check", "large lake", "--start", "2026-06-13T07:00", "--hours", 3, "--water-temp",
            "74 F", "--forecast", calm, "--as-of", EVENING)  # fmt: skip
    for arguments, water in (
        ((), "large lake"),
        (("--last",), "large lake"),
        (("--name", "bass"), "pond"),
        (("large lake",), "large lake"),
        (("Pond",), "pond"),
    ):
        done = planned("recheck", *arguments, "--offline", "--as-of", EVENING, "--json")
        assert done.json["trip"]["place"]["water"] == water


def test_a_plan_that_is_over_is_refused(planned: Runner) -> None:
    done = planned("recheck", "--offline", "--as-of", "2026-06-13T11:00")
    assert done.status == 2
    assert "ended 2026-06-13 10:00" in done.err


def test_of_a_plan_under_way_the_rest_is_checked(planned: Runner) -> None:
    done = planned("recheck", "--offline", "--as-of", "2026-06-13T08:30", "--json")
    assert done.json["trip"]["start"] == "2026-06-13T13:30:00Z"
    assert [hour["time"][11:16] for hour in done.json["hours"]] == ["13:00", "14:00", "15:00"]


def test_what_the_paddler_has_declared_since_counts(run: Runner, tmp_path: Path) -> None:
    sectors = "N 300 m, E 300 m, S 300 m, W 300 m"
    run("water", "add", "pond", "--fetch", sectors, "--launch", "ramp=44.9,-99.6")
    calm = forecasts.write(tmp_path)
    first = run("check", "pond", "--craft", "sit-on-top-kayak", "--start", "2026-06-13T06:00",
                "--hours", 4, "--water-temp", "74 F", "--forecast", calm, "--as-of",
                EVENING, "--warnings", "none", "--read-at", "now")  # fmt: skip
    assert first.status == 40
    run("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
        "--light", "yes")  # fmt: skip
    assert run("recheck", "--offline", "--as-of", AT_THE_RAMP).status == 0


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--wind", "twelve"), "--wind"),
        (("--wind", "12"), "no unit"),
        (("--from", "up"), "--from"),
        (("--water-temp", "300 F"), "--water-temp"),
        (("nowhere",), "nowhere"),
        (("--name", "nothing of this name"), "nothing of this name"),
        (("pond", "--last"), "--last"),
    ],
)
def test_what_can_not_be_meant_is_refused(
    planned: Runner, arguments: tuple[str, ...], told: str
) -> None:
    done = planned("recheck", *arguments, "--offline", "--as-of", AT_THE_RAMP)
    assert done.status == 2
    assert told in done.err


def test_without_any_check_there_is_nothing_to_check_again(ready: Runner) -> None:
    done = ready("recheck", "--offline")
    assert done.status == 2
    assert "safety-check check" in done.err


def test_no_line_is_wider_than_a_terminal(planned: Runner) -> None:
    done = planned("recheck", "--offline", "--as-of", AT_THE_RAMP, "--wind", "20 mph", "--gust",
                   "25 mph", "--from", "NW", "--waves", "2 ft", "--water-temp", "60 F")  # fmt: skip
    assert max(map(len, done.out.splitlines())) <= 80


def test_with_every_service_silent_the_last_forecast_stands_in_and_permits_no_go(
    planned: Runner, monkeypatch: pytest.MonkeyPatch
) -> None:
    def nobody(plan: Plan, asked: object, settings: object, now: datetime, *_: object) -> Briefing:
        silent = SourceFailure("official warnings", "No answer within 10 s.", ("alerts",))
        other = replace(silent, source="Open-Meteo", wanted=("wind_speed",))
        return Briefing(now, silences=(silent, other))

    monkeypatch.setattr("safety_check.use_cases.recheck.load_briefing", nobody)
    done = planned("recheck", "--as-of", AT_THE_RAMP, "--json")
    assert done.status == 20
    assert done.json["since"]["same_forecast"] is True
    assert done.json["since"]["silent"] == ["official warnings", "Open-Meteo"]
    assert {unknown_item["what"] for unknown_item in done.json["unknown"]} >= {
        "official warnings",
        "Open-Meteo",
    }


def test_a_damaged_history_is_set_aside_and_said(planned: Runner, home: Path) -> None:
    file = next((home / "data").glob("*.sqlite*"))
    file.write_bytes(b"not a history at all" * 100)
    done = planned("recheck", "--offline")
    assert done.status == 2
    assert "no check" in done.err
    assert "damaged" in done.err


ANSWERS = ("twelve", "20 mph", "", "NW", "yes", "", "")


def test_on_a_terminal_it_asks_what_is_seen_and_enter_skips(planned: Runner, home: Path) -> None:
    status, printed = run_on_terminal(
        home, ["recheck", "--offline", "--as-of", AT_THE_RAMP], ANSWERS
    )
    assert status == 30
    assert "'twelve' is not known here" in printed
    assert "You see wind 20 mph" in printed
    assert "from NW" in printed
