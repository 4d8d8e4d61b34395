"""The wind limits of each craft class follow from what it can do, and keep to common practice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from safety_check.model.verdict import Severity
from safety_check.physics.own_speed import wind_at_share_of_cruise
from safety_check.physics.wind import lowered_by_beaufort
from safety_check.rules.limits import REDUCTION_CAUSES
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.limits import load_default_limits, load_practice, load_reductions
from safety_check.settings.propulsion import derive_drive
from safety_check.units import MILE_PER_HOUR
from tests import scenes

LIMITS = load_default_limits()
MUSCLE = [name for name in load_craft_classes() if name != "small-motor-skiff"]
ALONE = np.array(
    sum(reduction.beaufort for reduction in load_reductions() if reduction.when == "alone")
)


def wind_keeping(share: float, craft: str) -> float:
    """Return the head wind in which a class keeps a share of its cruise speed [m s⁻¹]."""
    return wind_at_share_of_cruise(derive_drive(scenes.settings().craft(craft)), share)


@pytest.mark.parametrize("craft", MUSCLE)
def test_no_craft_is_allowed_a_wind_that_leaves_it_a_third_of_its_speed(craft: str) -> None:
    limit = LIMITS["wind_speed", craft]
    assert limit.no_go is not None
    assert limit.no_go <= wind_keeping(1 / 3, craft) + 0.2  # rounded, and found in steps of 0.1


@pytest.mark.parametrize("craft", MUSCLE)
def test_caution_starts_about_where_half_of_the_speed_is_left(craft: str) -> None:
    limit = LIMITS["wind_speed", craft]
    assert limit.marginal is not None
    assert limit.marginal <= wind_keeping(0.5, craft) + 0.5  # the kayaks': Beaufort 4, 5.5 m/s


@pytest.mark.promise("alone is lower")
@pytest.mark.parametrize("craft", [whom for quantity, whom in load_practice() if quantity])
def test_alone_the_limits_are_no_milder_than_common_practice(craft: str) -> None:
    practice, limit = load_practice()["wind_speed", craft], LIMITS["wind_speed", craft]
    assert limit.marginal is not None
    assert limit.no_go is not None
    assert practice.marginal is not None
    assert practice.no_go is not None
    assert lowered_by_beaufort(np.array(limit.marginal), ALONE) <= practice.marginal
    assert lowered_by_beaufort(np.array(limit.no_go), ALONE) <= practice.no_go


# Common practice: a forecast whose upper end is 14 mph keeps a lone angler off a large lake.
@pytest.mark.one_in(6)
@pytest.mark.parametrize("mph", [13.5, 14.0])
@pytest.mark.parametrize("craft", [name for name in MUSCLE if name != "rowing-boat"])
@pytest.mark.parametrize("upwind", [100.0, 1500.0, 12_000.0])
def test_14_mph_alone_on_a_large_lake_is_no_go_by_the_wind_wherever_one_is(
    mph: float, craft: str, upwind: float
) -> None:
    wind = {"wind_speed": mph * MILE_PER_HOUR, "wind_speed_of_gust": 1.3 * mph * MILE_PER_HOUR}
    trip = scenes.plan(craft, replace(scenes.READY, company="alone"))
    verdict = scenes.verdict(scenes.forecast(wind), trip, scenes.open_water(upwind))
    found = next(one for one in verdict.findings if one.hazard == "wind_too_strong")
    assert found.severity == Severity.NO_GO


def test_every_cause_that_may_lower_a_limit_has_words() -> None:
    assert {entry.when for entry in load_reductions()} <= REDUCTION_CAUSES.keys()
    assert all(words.strip() for words in REDUCTION_CAUSES.values())
