"""How much of the air's energy counts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.coefficients import load_coefficients
from safety_check.conditions.storms import CAPE, usable_energy
from safety_check.model.verdict import Severity
from tests import scenes
from tests.properties import note, takes

BY_RAIN = load_coefficients().grades[CAPE, "precipitation_amount"]


def counts(energy: float, rain: float, thunder: float) -> float:
    of_energy, of_rain, of_thunder = (np.array([[value]]) for value in (energy, rain, thunder))
    return float(usable_energy(of_energy, of_rain, of_thunder, BY_RAIN)[0, 0])


@pytest.mark.parametrize(
    ("rain", "thunder", "expected"),
    [
        (0.0, 0.0, 800.0), (0.25, 0.0, 1400.0), (0.5, 0.0, 2000.0), (0.0, 1.0, 2000.0),
        (np.nan, 0.0, 2000.0), (0.0, np.nan, 2000.0),
    ],
)  # fmt: skip
def test_energy_counts_in_full_with_rain_thunder_or_silence(
    rain: float, thunder: float, expected: float
) -> None:
    assert counts(2000.0, rain, thunder) == pytest.approx(expected)


@takes(more_counts=0.5)
@given(st.floats(0, 6000), st.floats(0, 9), st.floats(0, 3000), st.floats(0, 9))
def test_more_energy_or_more_rain_never_counts_for_less(
    energy: float, rain: float, more: float, wetter: float
) -> None:
    before, after = counts(energy, rain, 0.0), counts(energy + more, rain + wetter, 0.0)
    assert after >= before - 1e-9
    note("more_counts", after > before)


def test_unknown_energy_stays_unknown() -> None:
    assert np.isnan(counts(np.nan, 0.0, 0.0))


@pytest.mark.parametrize(
    ("energy", "rain", "severity"),
    [
        (2000.0, 0.0, Severity.GO),
        (2600.0, 0.0, Severity.MARGINAL),
        (1100.0, 1.0, Severity.MARGINAL),
    ],
)
def test_a_humid_morning_without_a_storm_is_a_go(
    energy: float, rain: float, severity: Severity
) -> None:
    given = scenes.forecast({CAPE: energy, "precipitation_amount": rain})
    assert scenes.severity_of(given) == severity
