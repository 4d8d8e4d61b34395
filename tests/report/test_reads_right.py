"""Reasons and advice read right: direction of danger, distances, hours, words of the craft."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from safety_check.assess.float_plan import build_float_plan
from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, Verdict
from safety_check.report import float_plan
from safety_check.report.advice import advice_paragraphs
from safety_check.report.layout import Layout
from safety_check.report.page.page_reasons import explain
from safety_check.report.terminal import add_verdict
from safety_check.units import Preferences
from tests import scenes


def finding(verdict: Verdict, hazard: str) -> Finding:
    return next(one for one in verdict.findings if one.hazard == hazard)


def test_a_limit_below_which_it_is_dangerous_says_so() -> None:
    cold = scenes.verdict(trip=scenes.plan(water_temperature=283.15))
    assert "°F or less" in finding(cold, "cold_water").reason


def test_the_swim_is_given_as_distances() -> None:
    far = scenes.verdict(water=scenes.open_water(2000.0, from_shore=1200.0))
    reason = finding(far, "too_far_to_swim").reason
    assert "The shore is up to 0.75 mi away" in reason
    assert "mi away, and in this water you could swim" in reason
    assert "×" not in reason


def test_a_wind_that_rises_within_an_hour_is_given_for_the_whole_hour() -> None:
    made = scenes.forecast()
    at = made.time >= np.datetime64("2026-06-13T17:00:00")
    made.quantities["wind_speed"][:, at] = 12.0
    reason = finding(scenes.verdict(made, scenes.plan(hours=1.5)), "wind_too_strong").reason
    assert "between 11:00 and 12:00" in reason  # calm at 11:00, 12 m/s at 12:00


def test_home_after_dusk_is_counted_from_the_end_of_the_hour_or_the_plan() -> None:
    dusk = datetime(2026, 6, 14, 2, 0, tzinfo=UTC)  # 21:00; civil dusk is at about 21:55
    late = scenes.verdict(trip=scenes.plan(hours=1.5, start=dusk, night=True))
    reason = finding(late, "dusk_before_home").reason
    assert "If you turn back at 22:30, you are home" in reason
    assert "after dusk" in reason


def test_home_in_the_dark_before_dawn_is_not_hours_after_dusk() -> None:
    night = datetime(2026, 6, 13, 7, 0, tzinfo=UTC)  # 02:00
    early = scenes.verdict(trip=scenes.plan(hours=1, start=night, night=True))
    reason = finding(early, "dusk_before_home").reason
    assert "in the dark" in reason
    assert "h after dusk" not in reason


def in_craft(kind: str) -> Plan:
    return replace(scenes.plan(), craft=scenes.settings().craft(kind))


def headings(kind: str) -> dict[str, str]:
    verdict = scenes.verdict(trip=in_craft(kind))
    return {title: " ".join(lines) for title, lines in advice_paragraphs(verdict, Preferences())}


def test_a_float_tube_does_not_troll_and_a_motor_may_fail() -> None:
    crafts = {one.propulsion: one.kind for one in map(scenes.settings().craft, kinds())}
    assert "Trolling" not in headings(crafts["fins"])["Fishing"]
    assert "Trolling" in headings(crafts["paddle"])["Fishing"]
    assert "If the motor fails, or you fall in" in headings(crafts["motor"])
    motor = scenes.verdict(trip=in_craft(crafts["motor"]))
    assert any("fuel" in caution for caution in motor.called_for)
    assert not any("fuel" in caution for caution in scenes.verdict().called_for)


def kinds() -> list[str]:
    from safety_check.settings.crafts import load_craft_classes

    return list(load_craft_classes())


@pytest.mark.parametrize("kind", kinds())
def test_a_craft_has_its_article(kind: str) -> None:
    plan = in_craft(kind)
    made = build_float_plan(plan, scenes.settings().user.contact, scenes.verdict(trip=plan))
    said = " ".join(float_plan.text(made, Preferences()).split())
    label = plan.craft.label
    assert f"launched {'an' if label[0] in 'aeiou' else 'a'} {label}" in said


def test_no_share_of_the_forecasts_is_worse_than_no_go() -> None:
    storm = scenes.verdict(scenes.forecast({"wind_speed": 15.0, "wind_speed_of_gust": 20.0}))
    said = [value for reason in explain(storm, scenes.settings()) for _, value in reason.facts]
    assert any("give NO-GO" in value for value in said)
    assert not any("NO-GO or worse" in value for value in said)


@pytest.mark.parametrize("width", [40, 60, 80])
def test_no_line_of_the_full_report_is_cut_by_the_terminal(width: int) -> None:
    layout = Layout(width)
    add_verdict(scenes.verdict(trip=scenes.plan(hours=20)), Preferences(), layout)
    assert max(map(len, layout.lines)) <= width
