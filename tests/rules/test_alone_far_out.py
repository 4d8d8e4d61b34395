"""Alone and farther out than one can swim, or without practice or a phone: never a better GO."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.coefficients import load_coefficients
from safety_check.conditions.drift import Swimmer, quantities
from safety_check.model.craft import Paddler
from safety_check.model.verdict import Finding, Severity
from safety_check.rules.hazards import HAZARDS
from safety_check.units import parse
from tests import scenes

MILE = 1609.344
TABLE = load_coefficients()
ALONE = replace(scenes.READY, company="alone")
ABLE = replace(ALONE, self_rescue=True, means_to_call=True)
CLOTHES = ("none", "wetsuit", "drysuit")
ABILITIES: tuple[dict[str, bool | str], ...] = (
    {"means_to_call": True},
    {"self_rescue": True},
    {"company": "group"},
)


def finding(paddler: Paddler, water: str, from_shore: float) -> Finding:
    trip = scenes.plan(paddler=paddler, water_temperature=parse(water, "temperature", "water"))
    lake = scenes.open_water(12_000.0, from_shore=from_shore)
    verdict = scenes.verdict(trip=trip, water=lake)
    found = next(one for one in verdict.findings if one.hazard == "too_far_to_swim")
    assert verdict.severity >= found.severity
    return found


def share(paddler: Paddler, from_shore: float, water: float, wind: float = 1.5) -> float:
    swimmer = Swimmer(np.array([from_shore]), np.array([water]), paddler, TABLE.swim)
    one = np.ones((1, 1))
    said = quantities(one * wind, one, one * 12_000.0, swimmer, TABLE)
    return float(said["swim_to_shore_share"][0, 0])


@pytest.mark.promise("alone is lower")
@pytest.mark.parametrize(
    ("wearing", "water", "from_shore"),
    [("drysuit", "41.5 F", 3 * MILE), ("none", "75 F", 3 * MILE), ("wetsuit", "55 F", 3 * MILE)],
)
def test_alone_three_miles_out_is_marginal_at_best(
    wearing: str, water: str, from_shore: float
) -> None:
    for paddler in (ALONE, ABLE):
        out = finding(replace(paddler, wearing=wearing), water, from_shore)
        assert out.severity >= Severity.MARGINAL
        assert "phone or radio" in out.reason


@pytest.mark.one_in(2)
@pytest.mark.parametrize("water", ["72 F", "65 F", "60 F"])
@pytest.mark.parametrize("from_shore", [20.0, 200.0, 400.0])
def test_alone_close_in_is_not_affected(water: str, from_shore: float) -> None:
    assert finding(ALONE, water, from_shore).severity == Severity.GO


def test_company_a_phone_and_practice_count_and_not_declared_is_not_yes() -> None:
    base = finding(ALONE, "75 F", MILE)
    assert base.severity == Severity.MARGINAL
    assert finding(ABLE, "75 F", MILE).severity == Severity.GO
    for change in ABILITIES:
        assert finding(replace(ALONE, **change), "75 F", MILE).value < base.value  # type: ignore[arg-type]
    undeclared = replace(ALONE, means_to_call=None, self_rescue=None, company=None)
    refused = replace(ALONE, means_to_call=False, self_rescue=False)
    for paddler in (undeclared, refused):
        assert share(paddler, MILE, 297.0) == share(ALONE, MILE, 297.0)


def test_a_drysuit_has_a_limit_too() -> None:
    assert finding(replace(ABLE, wearing="drysuit"), "33 F", 3 * MILE).severity == Severity.NO_GO


@pytest.mark.promise("offshore, far and cold count once")
def test_one_danger_is_weighed_by_one_table() -> None:
    assert [one.name for one in HAZARDS if "swim" in one.weighs or "water_share" in one.weighs] == [
        "too_far_to_swim"
    ]


def test_water_of_unknown_temperature_is_unknown() -> None:
    trip = scenes.plan(paddler=ALONE, water_temperature=None)
    found = {one.hazard: one for one in scenes.verdict(trip=trip).findings}
    assert found["too_far_to_swim"].severity == Severity.UNKNOWN


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
    here = share(paddler, near, warm)
    assert share(paddler, near + more, warm) >= here
    assert share(paddler, near, max(warm - colder, 271.5)) >= here
    assert np.isnan(share(paddler, near, np.nan))


@pytest.mark.promise("offshore, far and cold count once")
@given(PADDLERS, st.floats(1, 20_000), st.floats(272, 303))
def test_it_grades_without_a_step(paddler: Paddler, from_shore: float, water: float) -> None:
    here = share(paddler, from_shore, water)
    near = share(paddler, from_shore * 1.001, water - 0.001)
    assert near == pytest.approx(here, rel=0.01)


@given(PADDLERS, st.floats(0, 20_000), st.floats(272, 303), st.sampled_from(ABILITIES))
def test_declaring_an_ability_never_makes_it_worse(
    paddler: Paddler, from_shore: float, water: float, change: dict[str, bool | str]
) -> None:
    able = replace(paddler, **change)  # type: ignore[arg-type]
    assert share(able, from_shore, water) <= share(paddler, from_shore, water)
