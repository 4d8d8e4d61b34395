"""The lowest whole degree that would be warm enough is found by halving."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, Literal

import numpy as np
import pytest

from safety_check.assess import enough_warmth
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity, WaterReading
from safety_check.settings.user_file import UnitsTable
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.assess import by_hand

RULES = load_rulebook()
CASE = Case(scenes.plan(), scenes.briefing(), scenes.POND, scenes.settings(), load_trust())
Finder = Callable[..., float | None]


def assessment(water: WaterReading | None, severity: Severity = Severity.MARGINAL) -> Any:
    """Return an assessment of one hour, as far as it is looked at."""
    hours = SimpleNamespace(time=np.zeros(1), with_water=lambda kelvin: kelvin)
    whole = SimpleNamespace(members=None, calibration=None, forecast=None, conditions=hours)
    verdict = replace(by_hand.verdict(severity=severity), water=water)
    return SimpleNamespace(verdict=verdict, whole=whole)


@pytest.fixture
def enough(monkeypatch: pytest.MonkeyPatch) -> Finder:
    """Return what is found where water from some degrees Celsius on is a GO."""

    def found(
        cold: float, warm: float, needed: float, unit: Literal["C", "F"] = "C"
    ) -> float | None:
        def brief(case: Case, *_: Any) -> tuple[Severity, str]:
            kelvin = case.plan.water_temperature
            assert kelvin is not None
            warm_enough = kelvin - 273.15 >= needed - 1e-9
            return (Severity.GO, "") if warm_enough else (Severity.MARGINAL, "cold")

        monkeypatch.setattr(enough_warmth, "weigh_conditions", lambda *_: None)
        monkeypatch.setattr(enough_warmth, "verdict_in_brief", brief)
        own = scenes.settings()
        own = replace(own, user=own.user.model_copy(update={"units": UnitsTable(temperature=unit)}))
        reading = WaterReading(cold + 273.15, warmest=warm + 273.15)
        kelvin = enough_warmth.find_enough_warmth(
            replace(CASE, settings=own), assessment(reading), RULES
        )
        return None if kelvin is None else kelvin - 273.15

    return found


@pytest.mark.parametrize("needed", range(15, 26))
def test_each_whole_degree_of_the_range_is_found(enough: Finder, needed: int) -> None:
    assert enough(14.2, 25.9, needed) == pytest.approx(needed)
    assert enough(14.2, 25.9, needed - 0.5) == pytest.approx(needed)


def test_degrees_below_and_above_the_range_are_not_promised(enough: Finder) -> None:
    assert enough(14.2, 25.9, 0.0) == pytest.approx(15)
    assert enough(14.2, 25.9, 25.5) is None
    assert enough(14.2, 14.8, 0.0) is None  # there is no whole degree between
    assert enough(14.2, 15.3, 0.0) == pytest.approx(15)  # there is one


def test_degrees_are_those_of_the_user(enough: Finder) -> None:
    # 14.2 °C is 57.6 °F, 20.7 °C is 69.3 °F, 25.9 °C is 78.6 °F.
    assert enough(14.2, 25.9, 0.0, "F") == pytest.approx((58 - 32) * 5 / 9)
    assert enough(14.2, 25.9, 20.7, "F") == pytest.approx((70 - 32) * 5 / 9)
    assert enough(14.2, 25.9, 25.5, "F") == pytest.approx((78 - 32) * 5 / 9)
    assert enough(14.2, 25.9, 25.6, "F") is None


@pytest.mark.parametrize(
    ("water", "severity"),
    [
        (None, Severity.MARGINAL),
        (WaterReading(287.0), Severity.MARGINAL),  # it was measured
        (WaterReading(287.0, warmest=299.0), Severity.GO),
    ],
)
def test_nothing_is_looked_for_where_water_is_not_estimated_or_cold_enough(
    monkeypatch: pytest.MonkeyPatch, water: WaterReading | None, severity: Severity
) -> None:
    monkeypatch.setattr(enough_warmth, "weigh_conditions", lambda *_: None)
    monkeypatch.setattr(enough_warmth, "verdict_in_brief", lambda *_: (Severity.GO, ""))
    found = enough_warmth.find_enough_warmth(CASE, assessment(water, severity), RULES)
    assert found is None
