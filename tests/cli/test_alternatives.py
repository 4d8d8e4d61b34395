"""An alternative names the options of `check` that ask for it, and they give what it claims."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest

from safety_check.report.alternatives import NOTHING
from tests.cli.conftest import Runner

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "config" / "sample"
ASKED = (
    *("check", "arm", "--launch", "mill slip", "--forecast", SAMPLE / "forecast.json"),
    *("--as-of", "2026-06-12T20:30", "--warnings", "none", "--read-at", "20:10"),
)
PLANS = {
    "the sea breeze": ("--start", "2026-06-13T10:00", "--hours", "6", "--water-temp", "72 F"),
    "cold water": ("--start", "2026-06-13T10:00", "--hours", "2", "--water-temp", "58 F"),
    "alone, far out": ("--start", "2026-06-13T10:00", "--hours", "2", "--water-temp", "66 F",
                       "--company", "alone", "--reach", "1 1/2 mi"),
    "a breeze alone": ("--start", "2026-06-13T11:00", "--hours", "2", "--water-temp", "72 F",
                       "--company", "alone"),
    "fog": ("--start", "2026-06-13T06:00", "--hours", "3", "--water-temp", "72 F"),
}  # fmt: skip


@pytest.fixture
def arm(run: Runner) -> Runner:
    run("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
        "--light", "yes")  # fmt: skip
    run("craft", "add", "mine", "--class", "canoe", "--cruise", "3 mph")
    run("craft", "add", "other", "--class", "sit-on-top-kayak")
    run("settings", "set", "default_craft", "mine")
    run("water", "add", "arm", "--file", SAMPLE / "marrowick_arm.geojson", "--kind", "still")
    return run


@pytest.mark.one_in(6)
@pytest.mark.parametrize("plan", PLANS)
def test_a_check_with_an_alternative_s_options_gives_its_verdict(arm: Runner, plan: str) -> None:
    asked = (*ASKED, *PLANS[plan], "--json")
    done = arm(*asked)
    assert done.status in (20, 30)
    for one in done.json["alternatives"]:
        again = arm(*asked, *shlex.split(one["option"]))
        assert again.json["verdict"] == one["verdict"], one["option"]
        assert one["verdict"] in ("GO", "MARGINAL")
        assert bool(one["reason"]) == (one["verdict"] != "GO")


@pytest.mark.thorough
def test_together_the_plans_find_more_than_one_kind(arm: Runner) -> None:
    kinds = {
        one["kind"] for plan in PLANS.values()
        for one in arm(*ASKED, *plan, "--json").json["alternatives"]
    }  # fmt: skip
    assert {"time", "wearing"} <= kinds


def test_text_and_json_tell_the_same_alternatives(arm: Runner) -> None:
    asked = (*ASKED, *PLANS["the sea breeze"])
    found = json.loads(arm(*asked, "--json").out)["alternatives"]
    text = " ".join(arm(*asked).out.split())
    assert found
    assert "What would make it better" in text
    assert all(f" - {one['verdict']} " in text for one in found)
    assert NOTHING not in text


@pytest.mark.thorough
def test_one_line_is_all_that_quiet_prints_and_forms_exclude_each_other(arm: Runner) -> None:
    asked = (*ASKED, *PLANS["the sea breeze"])
    done = arm(*asked, "--quiet")
    assert len(done.out.splitlines()) == 1
    assert done.out.startswith("NO-GO 10:00-16:00 Sat 13 Jun, arm, wind ")
    assert "instead" in done.out
    refused = arm(*asked, "--quiet", "--full")
    assert refused.status == 2
    assert "contradict each other" in refused.err
    full, short = (arm(*asked, *more).out for more in (("--full",), ()))
    assert full.splitlines()[0] == short.splitlines()[0]
    assert len(full.splitlines()) > 2 * len(short.splitlines())


def test_a_stored_check_keeps_its_alternatives_and_repeats_without_a_difference(
    arm: Runner,
) -> None:
    given = arm(*ASKED, *PLANS["the sea breeze"], "--json")
    assert given.json["alternatives"]
    assert arm("history", "show", "1", "--json").json == given.json
    assert "What would make it better" in arm("history", "show", "1").out
    assert arm("history", "repeat", "1").status == 0
