"""How warm the water would have to be measured to make a verdict a GO."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from safety_check.assess.verdict import Assessment, verdict_in_brief
from safety_check.assess.weighing import ForecastHours, weigh_conditions
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity
from safety_check.rules.rulebook import Rulebook
from safety_check.units import ZERO_CELSIUS


def find_enough_warmth(case: Case, made: Assessment, rulebook: Rulebook) -> float | None:
    """Return the lowest temperature in an estimated range that would be a GO, if measured. [K].

    Whole degrees of the user's unit are tried, by halving: warmer water is never worse. None
    where the water is not estimated, the verdict is a GO, or no temperature would make it one.
    """
    water = made.verdict.water
    if water is None or water.warmest is None or made.verdict.severity == Severity.GO:
        return None
    fahrenheit = case.settings.preferences.temperature == "F"
    low, high = (
        math.ceil(_shown(water.value, fahrenheit)),
        math.floor(_shown(water.warmest, fahrenheit)),
    )
    if low > high or not _go(case, made, _kelvin(high, fahrenheit), rulebook):
        return None
    while low < high:
        middle = (low + high) // 2
        if _go(case, made, _kelvin(middle, fahrenheit), rulebook):
            high = middle
        else:
            low = middle + 1
    return _kelvin(high, fahrenheit)


def _go(case: Case, made: Assessment, temperature: float, rulebook: Rulebook) -> bool:
    """Return whether the plan is a GO on water of a measured temperature."""
    measured = replace(case, plan=replace(case.plan, water_temperature=temperature))
    whole = made.whole
    given = ForecastHours(whole.members, whole.calibration, whole.forecast)
    conditions = whole.conditions.with_water(np.full(len(whole.conditions.time), temperature))
    again = weigh_conditions(measured, given, conditions, rulebook)
    return verdict_in_brief(measured, again, rulebook)[0] == Severity.GO


def _shown(kelvin: float, fahrenheit: bool) -> float:
    celsius = kelvin - ZERO_CELSIUS
    return celsius * 1.8 + 32 if fahrenheit else celsius


def _kelvin(shown: float, fahrenheit: bool) -> float:
    return ((shown - 32) / 1.8 if fahrenheit else shown) + ZERO_CELSIUS
