"""A water that nobody measured is judged by both ends of its estimated range."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.assess.enough_warmth import find_enough_warmth
from safety_check.assess.float_plan import build_float_plan
from safety_check.assess.verdict import assess_case
from safety_check.assess.water_reading import read_water
from safety_check.conditions.case import Case
from safety_check.conditions.forecast_trend import PastChecks
from safety_check.model.verdict import Severity
from safety_check.model.water_estimate import WaterEstimate
from safety_check.report.float_plan import sections
from safety_check.report.head import head_parts
from safety_check.report.json_alternatives import water_part
from safety_check.report.page.page import render_page
from safety_check.report.page.water_band import draw_water_band
from safety_check.report.words import assumed_water
from safety_check.units import ZERO_CELSIUS, Preferences
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_memory import own_measurement
from tests import scenes
from tests.properties import cases

TRUST, RULES = load_trust(), load_rulebook()
CAUTION, NO_GO = 21.0, 15.6  # degC; without immersion clothing, config/limits.toml


def case_of(cold=None, warm=None, **said):
    """Return a calm summer morning on a pond whose water nobody measured."""
    said.setdefault("water_temperature", None)
    found = None if cold is None else WaterEstimate(cold + ZERO_CELSIUS, warm + ZERO_CELSIUS)
    plan = scenes.plan(**said)
    return Case(plan, scenes.briefing(), scenes.POND, scenes.settings(), TRUST,
                PastChecks(estimate=found))  # fmt: skip


def judged(cold=None, warm=None, **said):
    return assess_case(case_of(cold, warm, **said), RULES)


def severity(cold=None, warm=None, **said):
    return judged(cold, warm, **said).verdict.severity


def water_finding(made):
    return next(found for found in made.verdict.findings if found.hazard == "cold_water")


def test_go_needs_the_cold_end_and_no_go_the_warm_end():
    assert severity(CAUTION + 0.5, 27.0) == Severity.GO
    assert severity(NO_GO + 1, 27.0) == Severity.MARGINAL
    assert severity(9.0, 27.0) == Severity.MARGINAL
    assert severity(9.0, NO_GO - 0.2) == Severity.NO_GO
    assert severity() == Severity.UNKNOWN
    assert severity(math.nan, math.nan) == Severity.UNKNOWN


def test_a_range_of_one_value_is_judged_like_a_measurement():
    for celsius in (4.0, 12.0, 18.0, 24.0):
        measured = severity(water_temperature=celsius + ZERO_CELSIUS)
        assert severity(celsius, celsius) == measured


@cases(30)
@given(cold=st.floats(0, 30), width=st.floats(0, 12), colder=st.floats(0, 10))
def test_a_colder_or_a_lost_estimate_never_permits(cold, width, colder):
    given_range = severity(cold, cold + width)
    assert severity(max(0.0, cold - colder), cold + width) >= min(given_range, Severity.MARGINAL)
    assert severity(max(0.0, cold - colder), max(0.0, cold + width - colder)) >= given_range
    if given_range != Severity.NO_GO:
        assert severity() >= given_range
    if given_range == Severity.GO:
        assert severity(water_temperature=cold + ZERO_CELSIUS) == Severity.GO


def test_a_measurement_counts_and_the_estimate_does_not():
    case = case_of(22.0, 27.0)
    entered = replace(case, plan=replace(case.plan, water_temperature=283.0))
    assert read_water(entered).value == 283.0
    assert read_water(entered).warmest is None
    stored = own_measurement(290.0, case.briefing.at)
    remembered = replace(case, past=replace(case.past, water=(stored,)))
    assert read_water(remembered).measured == 290.0
    assert read_water(remembered).warmest is None


def test_the_report_says_that_it_is_an_estimate_and_what_would_be_enough():
    made = judged(14.0, 25.0)
    case = case_of(14.0, 25.0)
    enough = find_enough_warmth(case, made, RULES)
    assert enough == pytest.approx((70 - 32) / 1.8 + ZERO_CELSIUS)  # 21 °C is 69.8 °F
    just = replace(case.plan, water_temperature=enough)
    assert assess_case(replace(case, plan=just), RULES).verdict.severity == Severity.GO
    said = water_finding(made).reason
    assert "estimated at 57 °F to 77 °F from air temperature, not measured" in said
    assert "Measure it" in said
    assert made.verdict.water is not None
    water = replace(made.verdict.water, enough=enough)
    verdict = replace(made.verdict, water=water)
    parts = head_parts(verdict, Preferences())
    assert all("estimated" in text and "57 °F to 77 °F" in text for text in parts["data"])
    assert all("70 °F or more makes it a GO" in text for text in parts["instead"])
    line = assumed_water(water, verdict.at, UTC, Preferences())
    assert "57 °F to 77 °F" in line
    assert "70 °F or more makes it a GO" in line
    part = water_part(water)
    assert part is not None
    assert part.source == "estimated from air temperature"
    assert (part.value, part.warmest, part.measured) == (water.value, water.warmest, None)


def test_the_page_shows_the_range_as_a_band_beside_the_limits():
    verdict = judged(14.0, 25.0).verdict
    band = draw_water_band(verdict, Preferences())
    assert band is not None
    caution, no_go = sorted(mark.x for mark in band.limits)
    assert band.left < caution < no_go < band.right
    assert [mark.text for mark in band.ends] == ["57 °F", "77 °F"]
    page = render_page(verdict, scenes.settings())
    assert 'class="water-band"' in page
    assert f'width="{band.right - band.left}"' in page
    measured = judged(water_temperature=290.0).verdict
    assert draw_water_band(measured, Preferences()) is None
    assert 'class="water-band"' not in render_page(measured, scenes.settings())


def test_a_float_plan_says_that_the_temperature_is_the_cold_end_of_an_estimate():
    for verdict, estimated in (
        (judged(14.0, 25.0).verdict, True),
        (judged(water_temperature=290.0).verdict, False),
    ):
        made = build_float_plan(verdict.plan, scenes.settings().user.contact, verdict)
        rows = [row for part in sections(made, Preferences()) for row in part.rows]
        told = " ".join(text for name, text in rows if name == "water")
        assert ("cold end of an estimate" in told) is estimated


def test_nothing_is_promised_where_no_temperature_would_be_a_go():
    case = case_of(8.0, CAUTION - 0.5)
    assert find_enough_warmth(case, assess_case(case, RULES), RULES) is None


def test_why_there_is_no_estimate_is_said():
    case = case_of()
    why = replace(case.past, estimate=WaterEstimate(math.nan, math.nan, "it is deep"))
    made = assess_case(replace(case, past=why), RULES)
    assert made.verdict.severity == Severity.UNKNOWN
    assert "it is deep" in head_parts(made.verdict, Preferences())["data"][0]
