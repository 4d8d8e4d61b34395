"""Tide and current in the report, the page, the JSON and the float plan."""

from __future__ import annotations

import json as json_module
import math
from dataclasses import replace

import pytest

from safety_check.assess.float_plan import build_float_plan
from safety_check.assess.outlook import best_first, build_outlook
from safety_check.conditions.case import Case
from safety_check.report import float_plan, json
from safety_check.report.layout import Layout
from safety_check.report.moving_water import movement_lines
from safety_check.report.outlook import add_outlook
from safety_check.report.page.page import render_page
from safety_check.report.terminal import add_verdict
from safety_check.settings.user_file import ContactTable
from safety_check.units import Preferences
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import afloat, scenes


def told(dries: float | None = None) -> list[str]:
    found = afloat.verdict(afloat.plan(afloat.ESTUARY, dries), afloat.tidal(0.8))
    return movement_lines(found, Preferences())


def test_the_report_has_high_water_slack_and_the_turn_against_the_way_home() -> None:
    lines = " ".join(told())
    assert "high water 12:00 (6.6 ft)" in lines
    assert "slack 12:00" in lines
    assert "ebb 15:06 (0.8 kt)" in lines
    assert "Slack is not high or low water." in lines
    assert "Invented Narrows" in lines


def test_a_launch_that_dries_has_the_hours_with_water() -> None:
    line = next(text for text in told(1.0) if "has water" in text)
    first, last = (scenes.START.replace(hour=hour) for hour in (13, 20))
    assert first < last
    assert "08:" in line or "09:" in line  # before the start at 10:00
    assert any("no water" in text for text in told(9.0))


def test_still_water_says_nothing_of_it() -> None:
    found = scenes.verdict()
    assert found.movement is None
    assert movement_lines(found, Preferences()) == []
    assert json.build_report(found, "0", 0).movement is None
    assert "Current, kt" not in render_page(found, scenes.settings())


def test_terminal_page_and_json_say_the_same() -> None:
    found = afloat.verdict(afloat.plan(afloat.ESTUARY), afloat.tidal(0.8))
    layout = Layout(400)
    add_verdict(found, Preferences(), layout)
    page = render_page(found, scenes.settings())
    for line in movement_lines(found, Preferences()):
        assert any(line in printed for printed in layout.lines)
        assert line in page
    assert "Current, kt" in page
    assert "above lowest" in page  # of these hours
    assert "tide and current" in page.split('id="slim-said"')[1].split("</desc>")[0]
    part = json_module.loads(json.text(found, "0", 0))["movement"]
    assert {turn["what"] for turn in part["turns"]} >= {"high water", "slack", "ebb"}


def test_a_tide_without_heights_has_no_empty_panel() -> None:
    found = afloat.verdict(afloat.plan(afloat.ESTUARY), afloat.tidal(0.8))
    assert found.movement is not None
    times_only = replace(found.movement, height=(math.nan,) * len(found.movement.height))
    shown = render_page(replace(found, movement=times_only), scenes.settings())
    assert "Current, kt" in shown
    assert "above the lowest of these hours" not in shown


def test_the_float_plan_has_high_and_low_water_and_the_turn() -> None:
    trip = afloat.plan(afloat.ESTUARY)
    found = afloat.verdict(trip, afloat.tidal(0.8))
    made = build_float_plan(trip, ContactTable(), found)
    text = float_plan.text(made, Preferences())
    assert "Tide, current and river" in text
    assert "high water 12:00" in text
    assert "slack 12:00" in text
    still = float_plan.text(build_float_plan(scenes.plan(), ContactTable(), scenes.verdict()),
                            Preferences())  # fmt: skip
    assert "Tide, current and river" not in still


def test_the_services_of_tide_and_current_have_their_credit() -> None:
    credit = "tides: invented service, CC BY 4.0"
    origin = replace(scenes.FROM_A_FILE, source="Tides of an invented service", attribution=credit)
    moving = afloat.tidal(0.3, tides=(replace(afloat.tides(), provenance=origin),))
    found = afloat.verdict(afloat.plan(afloat.ESTUARY), moving)
    assert origin in found.provenance
    layout = Layout(400)
    add_verdict(found, Preferences(), layout)
    assert credit in " ".join(layout.lines)


@pytest.mark.parametrize("unit", ["ft", "m"])
def test_a_river_is_told_in_the_units_of_the_reader(unit: str) -> None:
    found = afloat.verdict(afloat.plan(afloat.TAILWATER), afloat.flowing(afloat.river(rise=1e-5)))
    prefer = replace(Preferences(), wave=unit, distance="mi" if unit == "ft" else "km")
    line = next(text for text in movement_lines(found, prefer) if text.startswith("River"))
    assert "rising" in line
    assert ("cfs" if unit == "ft" else "m³/s") in line


def test_an_outlook_has_the_turns_of_each_day() -> None:
    trip = afloat.plan(afloat.ESTUARY)
    told = replace(scenes.briefing(scenes.forecast({})), moving=afloat.tidal(0.8))
    case = Case(trip, told, scenes.POND, scenes.settings(), load_trust())
    days = build_outlook(case, 3, load_rulebook())
    layout = Layout(400)
    add_outlook([days], best_first([days]), Preferences(), layout)
    assert "Tide and current, Sat 13 Jun: " in layout.text
    assert "slack 12:00" in layout.text
    assert {turn.what for turn in days.turns} >= {"high water", "slack"}
    still = replace(case, plan=scenes.plan(), briefing=replace(told, moving=None))
    assert build_outlook(still, 3, load_rulebook()).turns == ()
