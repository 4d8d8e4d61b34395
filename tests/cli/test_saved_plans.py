"""A trip saved under a name: check, recheck, outlook, pack and the float plan take the name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.cli import forecasts
from tests.cli.conftest import Runner

EVENING = "2026-06-12T20:00"
SAVED = ("plan", "save", "bass", "pond", "--reach", "1/2 mi", "--hours", 3, "--start", "6:00",
         "--company", "alone")  # fmt: skip


@pytest.fixture
def saved(ready: Runner) -> Runner:
    """Return the runner of a user who saved a trip as bass."""
    assert ready(*SAVED).out.startswith("Saved 'bass'.")
    return ready


@pytest.fixture
def of_file(tmp_path: Path) -> tuple[object, ...]:
    """Return the options of a check that uses a saved forecast."""
    return ("--forecast", forecasts.write(tmp_path), "--as-of", EVENING, "--water-temp", "74 F")


def plan_of(run: Runner, *arguments: object) -> Any:
    done = run("check", *arguments, "--json")
    assert done.status in (0, 20, 30, 40), done.err
    return done.json["trip"]


def test_a_check_by_name_is_the_check_with_all_options(
    saved: Runner, of_file: tuple[object, ...]
) -> None:
    short = saved("check", "bass", "--start", "sat", *of_file, "--json").json
    long = saved("check", "pond", "--launch", "ramp", "--reach", "1/2 mi", "--hours", 3,
                 "--company", "alone", "--start", "sat 06:00", *of_file, "--json").json  # fmt: skip
    assert short == long
    assert short["trip"]["start"] == "2026-06-13T11:00:00Z"


def test_what_is_asked_for_counts_before_what_was_saved(
    saved: Runner, of_file: tuple[object, ...]
) -> None:
    own = plan_of(saved, "bass", "--start", "sat 9:30", "--hours", 2, "--company", "group",
                  "--reach", "300 m", *of_file)  # fmt: skip
    assert own["start"] == "2026-06-13T14:30:00Z"
    assert own["end"] == "2026-06-13T16:30:00Z"
    assert own["reach"] == 300
    with_others = ("--company", "group", *of_file, "--json")
    alone, group = (saved("check", "bass", "--start", "sat", *more).json
                    for more in (("--json", *of_file), with_others))  # fmt: skip
    assert alone["findings"] != group["findings"]
    until = plan_of(saved, "bass", "--start", "sat", "--end", "08:00", *of_file)
    assert until["end"] == "2026-06-13T13:00:00Z"


def test_recheck_history_and_float_plan_find_the_last_check_of_a_saved_plan(
    saved: Runner, of_file: tuple[object, ...]
) -> None:
    refused = saved("recheck", "bass", "--offline")
    assert (refused.status, "no check named 'bass'" in refused.err) == (2, True)
    saved("check", "bass", "--start", "sat", *of_file)
    saved("check", "large lake", "--start", "sat 06:00", "--hours", 2, *of_file)
    again = saved("recheck", "bass", "--offline", "--as-of", "2026-06-13T05:50", "--json")
    assert again.json["trip"]["place"]["water"] == "pond"
    assert {line["name"] for line in saved("history", "list", "--json").json} == {"", "bass"}
    assert "on pond" in saved("plan", "bass", "--as-of", EVENING).out


def test_a_saved_plan_without_a_start_gives_the_float_plan_of_its_last_check(
    ready: Runner, of_file: tuple[object, ...]
) -> None:
    ready("plan", "save", "later", "pond", "--hours", 2)
    ready("check", "later", "--start", "sat 07:00", *of_file)
    assert "back by 09:00" in ready("plan", "later").out


def test_an_outlook_takes_the_length_of_a_saved_plan_unless_told_otherwise(
    saved: Runner, of_file: tuple[object, ...]
) -> None:
    def hours(*arguments: object) -> int:
        told = saved("outlook", *arguments, *of_file, "--days", 2, "--json").json
        return int(told["hours"])

    assert hours("bass") == 3
    assert hours("bass", "--hours", "5") == 5
    assert hours("bass", "large lake") == 4
    assert hours("large lake") == 4


def test_the_trip_of_the_last_check_can_be_saved(
    saved: Runner, of_file: tuple[object, ...]
) -> None:
    asked = ("large lake", "--start", "sat 07:00", "--hours", "2.5", "--wearing", "wetsuit",
             "--from-shore", "100 m", *of_file)  # fmt: skip
    first = saved("check", *asked, "--json").json
    assert saved("plan", "save", "evening", "--last").status == 0
    assert saved("check", "evening", "--start", "sat", *of_file, "--json").json == first
    kept = saved("plan", "list", "--json").json["evening"]
    assert "company" not in kept  # as the paddler's settings say
    assert "reach" not in kept  # it was assumed


def test_a_route_is_kept_as_its_points_not_as_its_file(saved: Runner, tmp_path: Path) -> None:
    file = tmp_path / "out.geojson"
    file.write_text('{"type": "LineString", "coordinates": [[-99.6, 44.9], [-99.6, 44.901]]}')
    saved("plan", "save", "out", "pond", "--route", file, "--hours", 2)
    assert saved("plan", "list", "--json").json["out"]["route"] == "44.901000,-99.600000"


def test_list_replace_and_remove(saved: Runner) -> None:
    assert saved("plan", "list").out.startswith("bass: water pond, launch ramp, start 6:00")
    assert saved("plan", "save", "Bass", "large lake").out.startswith("Replaced 'Bass'.")
    assert [*saved("plan", "list", "--json").json] == ["Bass"]
    assert saved("plan", "remove", "BASS").out == "Removed 'Bass'.\n"
    assert "No saved plans yet" in saved("plan", "list").out
    gone = saved("plan", "remove", "bass")
    assert (gone.status, "No plan has been saved" in gone.err) == (2, True)


def test_no_name_means_a_water_and_a_plan(saved: Runner, home: Path) -> None:
    plan = saved("plan", "save", "Large Lake", "pond")
    assert plan.status == 2
    assert "a water has this name" in plan.err
    sectors = ("--fetch", "N 1 km, E 1 km, S 1 km, W 1 km", "--launch", "ramp=44.9,-99.6")
    water = saved("water", "add", "bass", *sectors)
    assert water.status == 2
    assert "a saved plan has this name" in water.err
    (home / "waters" / "bass.geojson").write_text("{}")  # put there by hand
    both = saved("check", "bass", "--start", "sat")
    assert both.status == 2
    assert "names both a water and a saved plan" in both.err


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("pond", "--start", "sat 6:00"), "only the usual clock time"),
        (("pond", "--reach", "5"), "reach"),
        (("pond", "--hours", "lots"), "--hours"),
        (("pond", "--craft", "boat"), "craft: 'boat'"),
        (("lake x",), "water: 'lake x'"),
        (("bass",), "is a saved plan"),
        (("pond", "--last"), "leave out water"),
        ((), "which water"),
    ],
)
def test_what_could_not_be_checked_is_not_saved(
    saved: Runner, options: tuple[object, ...], told: str
) -> None:
    before = saved("plan", "list").out
    done = saved("plan", "save", "other", *options)
    assert done.status == 2
    assert told in done.err
    assert saved("plan", "list").out == before


def test_a_saved_plan_is_not_stored_with_each_check(
    saved: Runner, of_file: tuple[object, ...]
) -> None:
    from safety_check.settings.settings import load_settings
    from safety_check.store.store import Store

    saved("check", "bass", "--start", "sat", *of_file)
    with Store.open(load_settings().folders.data) as store:
        assert store.check(1).kept.user.plan == {}


def test_a_removed_water_names_the_plans_and_limits_that_stay(saved: Runner) -> None:
    saved("limits", "set", "wind", "--no-go", "7 mph", "--water", "pond")
    said = saved("water", "remove", "pond").out
    assert "Your own limits for it (1) stay" in said
    assert "safety-check plan remove 'bass'" in said
    assert saved("limits", "reset", "--water", "pond").status == 0
