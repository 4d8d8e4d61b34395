"""Craft, paddler, limits and settings, as a user changes them."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety_check.rules.hazards import HAZARDS
from tests.cli import forecasts
from tests.cli.conftest import Runner


def test_a_craft_is_added_listed_shown_and_removed(run: Runner) -> None:
    added = run("craft", "add", "my kayak", "--class", "sit-on-top-kayak", "--cruise", "2.7 mph")
    assert added.status == 0
    assert run("craft", "list", "--json").json["craft"] == {"my kayak": "sit-on-top-kayak"}
    shown = run("craft", "show", "my kayak", "--json").json
    assert shown["cruise_speed"] == pytest.approx(2.7 * 0.44704, rel=1e-12)
    assert "how it fails" in run("craft", "show", "my kayak").out
    run("limits", "set", "wind", "--craft", "my kayak", "--no-go", "12 mph")
    assert run("craft", "remove", "my kayak").status == 0
    assert run("settings", "show", "--json").json["limit"] == []
    assert run("craft", "remove", "my kayak").status == 2


def test_every_class_has_its_figures_and_says_where_they_are_from(run: Runner) -> None:
    classes = run("craft", "list", "--json").json["classes"]
    assert len(classes) == 9
    for name in classes:
        done = run("craft", "show", name)
        assert done.status == 0
        assert "judgement" in done.out


BAD_CRAFT = [
    (("--class", "sit-on-top"), 2, "Did you mean 'sit-on-top-kayak'"),
    (("--class", "canoe", "--cruise", "3"), 2, "no unit"),
    (("--class", "canoe", "--cruise", "90 mph"), 2, "at most"),
    (("--class", "canoe", "--beam", "0 in"), 2, "greater than zero"),
]


@pytest.mark.parametrize(("arguments", "status", "part"), BAD_CRAFT)
def test_a_craft_that_can_not_be_is_refused_and_nothing_is_written(
    run: Runner, home: Path, arguments: tuple[str, ...], status: int, part: str
) -> None:
    done = run("craft", "add", "x", *arguments)
    assert done.status == status
    assert part in done.err
    assert not (home / "settings.toml").exists()


def test_the_paddler_declares_bit_by_bit(run: Runner) -> None:
    run("paddler", "set", "--life-jacket", "worn")
    run("paddler", "set", "--light", "no", "--self-rescue", "yes")
    told = run("paddler", "show", "--json").json
    assert (told["life_jacket"], told["light"], told["self_rescue"]) == ("worn", False, True)
    assert told["wearing"] is None
    assert run("paddler", "set").status == 2
    assert run("paddler", "set", "--life-jacket", "perhaps").status == 2


def test_limits_show_where_each_is_from_and_what_it_can_not_see(run: Runner) -> None:
    done = run("limits", "show", "--craft", "float-tube")
    assert done.status == 0
    assert "cannot see" in done.out
    told = run("limits", "show", "--craft", "float-tube", "--json").json
    assert told["wind_speed"]["no_go"] == 4.9
    assert all({"basis", "source", "since", "unit"} <= item.keys() for item in told.values())


def test_limits_show_asks_for_the_declaration_that_a_limit_waits_for(run: Runner) -> None:
    shown = run("limits", "show", "--craft", "float-tube").out
    blocks = [block for block in shown.split("\n\n") if ": not declared." in block]
    assert len(blocks) == 6
    for block in blocks:
        assert ("--wearing none" in block) != ("--light yes" in block), block


def test_trolling_speeds_are_the_users_own(ready: Runner, home: Path) -> None:
    assert "trolls at      1.0 to 2.0 mph" in ready("craft", "show", "mine").out
    add = ("craft", "add", "mine", "--class", "sit-on-top-kayak", "--troll")
    assert ready(*add, "1.2-1.5 mph").status == 0
    assert "trolls at      1.2 to 1.5 mph" in ready("craft", "show", "mine").out
    for wrong in ("2-1 mph", "fast", "1-2", "0-1 mph", "1-2 ft", "1-400 mph", "9" * 400 + " mph"):
        refused = ready(*add, wrong)
        assert refused.status == 2, wrong
        assert "troll" in refused.err
    assert "trolls at      1.2 to 1.5 mph" in ready("craft", "show", "mine").out


@pytest.mark.promise("limits loosen only when told")
def test_limits_tighten_freely_and_loosen_only_in_so_many_words(ready: Runner) -> None:
    show = ("limits", "show", "--craft", "mine", "--json")
    default = ready(*show).json["wind_speed"]["no_go"]
    tight = ("limits", "set", "wind", "--craft", "mine", "--no-go", "12 mph")
    assert ready(*tight).status == 0
    loose = ("limits", "set", "wind", "--craft", "mine", "--no-go", "25 mph")
    refused = ready(*loose)
    assert refused.status == 1
    assert "--loosen" in refused.err
    assert ready(*loose, "--loosen").status == 0
    assert ready(*show).json["wind_speed"]["loosened"]
    assert ready("limits", "reset", "wind", "--craft", "mine").status == 0
    assert ready(*show).json["wind_speed"]["no_go"] == default
    assert ready("limits", "reset", "wind", "--craft", "mine").status == 2


BAD_LIMIT = [
    (("wnd_speed", "--no-go", "10 mph"), "Did you mean 'wind_speed'"),
    (("wind", "--marginal", "14 mph", "--no-go", "10 mph"), "cannot be reached before"),
    (("wind", "--no-go", "10"), "no unit"),
    (("wind", "--no-go", "2 ft"), "not a known unit of speed"),
    (("life_jacket_worn", "--no-go", "1"), "cannot be changed"),
    (("official_warning", "--no-go", "9", "--loosen"), "cannot be changed"),
    (("solar_elevation_angle", "--no-go", "-20", "--loosen"), "cannot be changed"),
    (("wind",), "--marginal and --no-go"),
]


@pytest.mark.promise("limits loosen only when told")
@pytest.mark.parametrize(("arguments", "part"), BAD_LIMIT)
def test_a_limit_that_can_not_stand_is_refused(
    ready: Runner, arguments: tuple[str, ...], part: str
) -> None:
    done = ready("limits", "set", *arguments, "--craft", "mine")
    assert done.status in (1, 2)
    assert part in done.err
    assert ready("settings", "show", "--json").json["limit"] == []


@pytest.mark.promise("limits loosen only when told")
def test_a_loosened_limit_is_said_in_every_report(ready: Runner, tmp_path: Path) -> None:
    ready("limits", "set", "wind", "--craft", "mine", "--marginal", "14 mph", "--no-go",
          "25 mph", "--loosen")  # fmt: skip
    file = forecasts.write(tmp_path, forecasts.answer(wind_speed_10m=7.0, wind_gusts_10m=7.5))
    check = ("check", "pond", "--forecast", file, "--as-of", "2026-06-12 20:00", "--start",
             "2026-06-13 09:00", "--hours", "4", "--water-temp", "74 F")  # fmt: skip
    for form in ((), ("--full",)):
        said = " ".join(ready(*check, *form).out.split())
        assert "You loosened the limit for wind speed: caution from 14 mph" in said
        assert "no-go from 25 mph" in said


@pytest.mark.promise("hazards list what they cannot see")
def test_each_hazard_lists_what_it_cannot_see(ready: Runner) -> None:
    said = " ".join(ready("limits", "show", "--craft", "sit-on-top-kayak").out.split())
    for part in (
        "cannot see: local funnels, lake breezes, shelter from trees and banks",
        "cannot see: boat wakes, waves reflected by a wall, wind against current, weed beds",
    ):
        assert part in said
    assert [one.name for one in HAZARDS if f"cannot see: {one.limitations}" not in said] == []


def test_settings_keep_comments_and_refuse_what_they_do_not_know(run: Runner, home: Path) -> None:
    home.mkdir()
    (home / "settings.toml").write_text("# my own\n", encoding="utf-8")
    assert run("settings", "set", "units.wind", "kt").status == 0
    assert run("settings", "set", "odds.tolerance", "0.05").status == 0
    raised = ("settings", "set", "odds.tolerance", "0.2")
    refused = run(*raised)
    assert refused.status == 1
    assert "--loosen" in refused.err
    assert run(*raised, "--loosen").status == 0
    assert run("settings", "show", "--json").json["odds"]["loosen"]
    assert run("settings", "set", "odds.tolerance", "0.05").status == 0
    assert not run("settings", "show", "--json").json["odds"]["loosen"]
    assert "# my own" in (home / "settings.toml").read_text(encoding="utf-8")
    refused = run("settings", "set", "units.wnd", "kt")
    assert refused.status == 1
    assert "not known" in refused.err
    assert run("settings", "show", "--json").json["units"]["wind"] == "kt"


@pytest.mark.parametrize(
    ("key", "value", "part"),
    [
        ("services.overpas", "http://127.0.0.1:1", "there is no such service"),
        ("services.overpass", "ftp://127.0.0.1", "base_url"),
        ("services.a.b", "http://127.0.0.1:1", "services"),
    ],
)
def test_an_unknown_service_or_address_is_refused_before_it_is_written(
    run: Runner, home: Path, key: str, value: str, part: str
) -> None:
    done = run("settings", "set", key, value)
    assert done.status == 1
    assert part in done.err
    assert not (home / "settings.toml").exists()
