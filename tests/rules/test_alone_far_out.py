"""Alone and farther out than one can swim or be helped from: never a GO."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.alone_in_water import time_in_water_share
from safety_check.model.craft import Paddler
from safety_check.model.verdict import Finding, Severity
from safety_check.settings.rescue import load_rescue_table
from safety_check.units import parse
from tests import scenes

MILE = 1609.344
TABLE = load_rescue_table()
ALONE = replace(scenes.READY, company="alone")
CLOTHES = ("none", "wetsuit", "drysuit")


def finding(paddler: Paddler, water: str, from_shore: float) -> Finding:
    trip = scenes.plan(paddler=paddler, water_temperature=parse(water, "temperature", "water"))
    lake = scenes.open_water(12_000.0, from_shore=from_shore)
    verdict = scenes.verdict(trip=trip, water=lake)
    found = next(one for one in verdict.findings if one.hazard == "alone_far_out")
    assert verdict.severity >= found.severity
    return found


@pytest.mark.parametrize(
    ("wearing", "water", "from_shore"),
    [("drysuit", "41.5 F", 3 * MILE), ("none", "75 F", 3 * MILE), ("wetsuit", "55 F", 3 * MILE)],
)
def test_alone_three_miles_out_is_marginal_at_best(
    wearing: str, water: str, from_shore: float
) -> None:
    out = finding(replace(ALONE, wearing=wearing), water, from_shore)
    assert out.severity == Severity.MARGINAL
    assert "phone or radio" in out.reason


@pytest.mark.parametrize("water", ["72 F", "65 F", "60 F"])
@pytest.mark.parametrize("from_shore", [20.0, 200.0, 0.5 * MILE])
def test_alone_close_in_is_not_affected(water: str, from_shore: float) -> None:
    assert finding(ALONE, water, from_shore).severity == Severity.GO


def test_company_a_phone_and_practice_count_and_not_declared_is_not_yes() -> None:
    base = finding(ALONE, "75 F", 3 * MILE)
    for change in ({"company": "group"}, {"means_to_call": True}, {"self_rescue": True}):
        assert finding(replace(ALONE, **change), "75 F", 3 * MILE).severity == Severity.GO
    undeclared = replace(ALONE, means_to_call=None, self_rescue=None)
    refused = replace(ALONE, means_to_call=False, self_rescue=False)
    for paddler in (undeclared, refused):
        assert finding(paddler, "75 F", 3 * MILE).value == base.value


def test_a_drysuit_has_a_limit_too() -> None:
    with_phone = replace(ALONE, wearing="drysuit", means_to_call=True)
    assert finding(with_phone, "33 F", 3 * MILE).severity == Severity.MARGINAL


def test_water_of_unknown_temperature_is_unknown() -> None:
    trip = scenes.plan(paddler=ALONE, water_temperature=None)
    found = {one.hazard: one for one in scenes.verdict(trip=trip).findings}
    assert found["alone_far_out"].severity == Severity.UNKNOWN


PADDLERS = st.builds(
    Paddler,
    wearing=st.sampled_from((*CLOTHES, None)),
    company=st.sampled_from(("alone", "group", None)),
    means_to_call=st.sampled_from((True, False, None)),
    self_rescue=st.sampled_from((True, False, None)),
)


@given(PADDLERS, st.floats(0, 20_000), st.floats(0, 5_000), st.floats(272, 303), st.floats(0, 10))
def test_farther_out_and_colder_is_never_better(
    paddler: Paddler, near: float, more: float, warm: float, colder: float
) -> None:
    here = time_in_water_share(paddler, near, warm, TABLE)
    assert time_in_water_share(paddler, near + more, warm, TABLE) >= here
    assert time_in_water_share(paddler, near, max(warm - colder, 271.5), TABLE) >= here
    assert math.isnan(time_in_water_share(replace(paddler, company="alone"), near, math.nan, TABLE))


@given(PADDLERS, st.floats(1, 20_000), st.floats(272, 303))
def test_it_grades_without_a_step(paddler: Paddler, from_shore: float, water: float) -> None:
    here = time_in_water_share(paddler, from_shore, water, TABLE)
    near = time_in_water_share(paddler, from_shore * 1.001, water - 0.001, TABLE)
    assert near == pytest.approx(here, rel=0.01)


@given(PADDLERS, st.floats(0, 20_000), st.floats(272, 303))
def test_declaring_an_ability_never_makes_it_worse(
    paddler: Paddler, from_shore: float, water: float
) -> None:
    here = time_in_water_share(paddler, from_shore, water, TABLE)
    for change in ({"means_to_call": True}, {"self_rescue": True}, {"company": "group"}):
        assert time_in_water_share(replace(paddler, **change), from_shore, water, TABLE) <= here
