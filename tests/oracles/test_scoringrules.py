"""The score of an ensemble, and how often its intervals hold the truth, against scoringrules."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.widening import crps
from safety_check.physics.ensemble_calibration import widened_value
from tests.physics.test_ensemble_calibration import constant
from tests.properties import cases

scoringrules: Any = pytest.importorskip(
    "scoringrules", reason="oracle: scoringrules is not installed here"
)


@cases(60)
@given(st.integers(1, 40), st.integers(0, 10_000))
def test_the_score_of_members_is_the_librarys(members: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    values = rng.gamma(2.0, 3.0, (members, 50))
    observed = rng.gamma(2.0, 3.0, 50)
    found = crps(values, np.full(members, 1 / members), observed)
    expected = scoringrules.crps_ensemble(observed, values.T, estimator="nrg")
    np.testing.assert_allclose(found, expected, rtol=1e-9, atol=1e-12)  # sums in another order


@pytest.mark.promise("winds are widened")
@pytest.mark.parametrize("observed", [98.0, 100.0, 101.5, 104.0])
def test_the_widened_forecast_is_the_logistic_that_it_says(observed: float) -> None:
    level = (np.arange(20_000) + 0.5) / 20_000
    members = widened_value(np.full((20_000, 1), 100.0), level, np.zeros(1), constant())
    found = crps(members, np.full(20_000, 1 / 20_000), np.array([observed]))
    # Levels below one in twenty count as that, 97.06: by hand, ∫ F² below it is -ln 0.95 - 0.05.
    expected = scoringrules.crps_logistic(observed, 100.0, 1.0) + np.log(0.95) + 0.05
    assert found == pytest.approx([expected], abs=1e-4)  # 20,000 members stand for the curve
