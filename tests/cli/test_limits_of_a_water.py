"""Limits per water on the command line: set, show, reset."""

from __future__ import annotations

from pathlib import Path

from tests.cli import forecasts
from tests.cli.conftest import Runner


def test_a_limit_of_a_water_is_set_shown_used_and_reset(ready: Runner, tmp_path: Path) -> None:
    asked = ("--start", "2026-06-13T06:00", "--hours", 4, "--water-temp", "74 F", "--as-of",
             "2026-06-12T20:00", "--forecast", forecasts.write(tmp_path))  # fmt: skip
    assert ready("check", "pond", *asked).status == 0
    done = ready("limits", "set", "wind", "--water", "POND", "--marginal", "1 mph")
    assert "Set wind_speed for 'pond'" in done.out
    assert ready("check", "pond", *asked).status == 20
    shown = ready("limits", "show", "--water", "pond").out
    assert "Limits for mine (sit-on-top kayak) on pond" in shown
    assert "personal: your own settings for pond" in shown
    assert "on pond: caution from 1 mph" in ready("limits", "show").out
    row = ready("limits", "show", "--water", "pond", "--json").json["wind_speed"]
    assert (row["basis"], row["set_at"]) == ("personal", ["pond"])
    assert ready("limits", "show", "--json").json["wind_speed"]["set_at"] == []
    assert ready("limits", "reset", "wind", "--craft", "mine").status == 2
    assert ready("limits", "reset", "wind", "--water", "pond").status == 0
    assert ready("check", "pond", *asked).status == 0


def test_what_would_change_nothing_or_belongs_to_nothing_is_refused(ready: Runner) -> None:
    for options, told in (
        (("--water", "pond", "--no-go", "40 mph"), "would change nothing"),
        (("--water", "lake x", "--no-go", "5 mph"), "lake x"),
        (("--no-go", "5 mph"), "whose limit?"),
        (("--water", "pond", "--craft", "mine", "--no-go", "40 mph"), "looser than the default"),
    ):
        done = ready("limits", "set", "wind", *options)
        assert done.status in (1, 2), options
        assert told in done.err
    loose = ("limits", "set", "wind", "--water", "pond", "--no-go", "40 mph", "--loosen")
    assert ready(*loose).status == 0
    assert "looser than the default" in ready("limits", "show", "--water", "pond").out
