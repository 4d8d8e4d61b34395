"""A limit is never shown looser than it is, and a value never contradicts the limit beside it."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.rules.bounds_in_words import EVENTS, FIGURES, describe_bound
from safety_check.rules.hazard import Hazard
from safety_check.rules.loosened import describe_loosened
from safety_check.rules.reasons import ReasonContext, WorstHour, write_brief
from safety_check.units import Preferences
from tests.properties import cases
from tests.rules.test_unbounded import TIME, bounds, context, every_hazard, level

UNITS = [
    Preferences(wind=wind, wave=wave, distance=distance, temperature=temperature)
    for wind, wave, distance, temperature in (
        ("mph", "ft", "mi", "F"),
        ("km/h", "m", "km", "C"),
        ("kt", "ft", "nmi", "F"),
        ("m/s", "m", "km", "C"),
    )
]
WITH_UNIT = [
    (hazard, night)
    for hazard, night in every_hazard()
    if hazard.shown_as in ("wind", "wave", "distance", "temperature")
]


def number(text: str) -> float:
    return float(re.findall(r"-?\d+(?:\.\d+)?", text)[0])


@pytest.mark.parametrize("shown_as", FIGURES)
@pytest.mark.parametrize("worse", ["higher", "lower"])
@given(value=st.floats(0.0, 5000.0))
def test_no_rounding_of_a_bound_loosens_it(shown_as: str, worse: str, value: float) -> None:
    factor, step, _ = FIGURES[shown_as]
    shown = number(describe_bound(value, shown_as, worse, "F") or "")
    looser = shown - value * factor if worse == "higher" else value * factor - shown
    assert looser <= 1e-6 * max(1.0, value * factor)  # a number that was typed stays as typed
    assert abs(shown - value * factor) <= step + 1e-6


@given(st.floats(-90.0, 90.0))
def test_the_height_of_the_sun_as_a_bound_is_never_too_deep(degrees: float) -> None:
    text = describe_bound(degrees, "angle", "lower", "F") or ""
    shown = -number(text) if "below" in text else number(text)
    assert degrees - 1e-6 <= shown <= degrees + 0.1 + 1e-6


@pytest.mark.parametrize("shown_as", EVENTS)
@given(st.floats(-7000.0, 90_000.0))
def test_a_margin_before_an_event_is_never_shown_shorter(shown_as: str, seconds: float) -> None:
    text = describe_bound(seconds, shown_as, "lower", "F") or ""
    shown = 0.0 if text == EVENTS[shown_as] else number(text) * (-1 if "after" in text else 1)
    assert seconds <= shown * 60 + 0.01


@pytest.mark.parametrize(
    ("hazard", "night"), every_hazard(), ids=[hazard.name for hazard, _ in every_hazard()]
)
def test_the_clause_of_a_bound_is_one_sentence(hazard: Hazard, night: bool) -> None:
    told = context(1500.0, night)
    for bound in filter(math.isfinite, bounds(told, hazard)):
        worst = WorstHour(level(told, hazard, bound), bound, bound, TIME, 0.4, "")
        text = write_brief(hazard, told, worst)
        assert not re.search(r"(starts at|limit[^;.]* is) (the sun|\d+ min)", text)


@cases(60)
@pytest.mark.parametrize(
    ("hazard", "night"), WITH_UNIT, ids=[hazard.name for hazard, _ in WITH_UNIT]
)
@given(units=st.sampled_from(UNITS), share=st.floats(-0.02, 0.02))
def test_a_value_never_contradicts_the_limit_beside_it(
    hazard: Hazard, night: bool, units: Preferences, share: float
) -> None:
    told: ReasonContext = replace(context(1500.0, night), preferences=units)
    worse = told.limits.limits[hazard.weighs].worse
    for bound in filter(math.isfinite, bounds(told, hazard)):
        value = bound * (1 + share)
        reached = value >= bound if worse == "higher" else value <= bound
        shown = number(told.value_beside(bound, value, hazard, reached))
        limit = number(told.bound(bound, hazard.shown_as, worse))
        # Within half a shown step of a bound that was rounded, the value may seem to reach it.
        as_read = shown >= limit if worse == "higher" else shown <= limit
        assert as_read or not reached


def test_a_loosened_limit_is_shown_with_its_digits() -> None:
    told = context(1500.0)
    usual = told.limits.limits["wind_speed"]
    own = replace(usual, marginal=6.3, basis="personal", loosened=usual)
    limits = replace(told.limits, limits={"wind_speed": own})
    (sentence,) = describe_loosened(replace(told, limits=limits), 0.1)
    assert "caution from 14 mph (default from 12.3 mph)" in sentence  # 6.3 m/s is 14.09 mph


@pytest.mark.parametrize(
    ("value", "shown_as", "worse", "words"),
    [
        (1000.4, "energy", "higher", "1000 J/kg"),
        (2.57, "rain", "higher", "2.5 mm"),
        (0.5, "share", "higher", "50 %"),
        (0.3337, "part", "higher", "33.3 %"),
        (1.25, "times", "lower", "1.3 ×"),
        (1.41, "times", "lower", "1.5 ×"),
        (90.7, "turn", "higher", "90°"),
        (91.0, "turn", "higher", "91°"),
        (300.0, "pressure", "higher", "3 hPa"),
        (314.0, "pressure", "higher", "3.1 hPa"),
        (1.03 * 1852 / 3600, "current", "higher", "1 kt"),  # a knot is 1852 m an hour
        (1.03 * 1852 / 3600, "current", "lower", "1.05 kt"),
        (0.9, "percentile", "higher", "90 %"),
        (0.9557, "percentile", "higher", "95.5 %"),
        (0.0, "angle", "lower", "0° above the horizon"),
        (-6.0, "angle", "lower", "6° below the horizon"),
        (-0.833, "angle", "lower", "0.8° below the horizon"),
        (61.0, "before_sunset", "lower", "2 min before sunset"),
        (0.0, "before_sunset", "lower", "sunset"),
        (60.0, "before_sunset", "lower", "1 min before sunset"),
        (-600.0, "before_dusk", "lower", "10 min after dusk"),
        (20.0, "temperature_sum", "lower", "100 °F"),  # 10 + 10 °C are 50 + 50 °F
        (20.1, "temperature_sum", "lower", "100.5 °F"),  # 100.18 °F
        (-5.0, "temperature_sum", "lower", "55 °F"),
        (0.3, "rain", "higher", "0.3 mm"),  # a number that was typed
    ],
)
def test_a_bound_reads_as_worked_out_by_hand(
    value: float, shown_as: str, worse: str, words: str
) -> None:
    assert describe_bound(value, shown_as, worse, "F") == words


def test_a_sum_of_temperatures_is_in_the_users_unit_and_a_flag_has_no_number() -> None:
    assert describe_bound(20.1, "temperature_sum", "lower", "C") == "20.5 °C"
    assert describe_bound(1.0, "flag", "higher", "F") is None
