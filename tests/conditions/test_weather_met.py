"""Weather codes, and the heat that is felt in air whose humidity is not known."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.conditions.weather_met import COOL, FOG, THUNDER, heat_felt, weather_met
from safety_check.physics.exposure import heat_index


@pytest.mark.parametrize(("wanted", "met"), [(THUNDER, {95, 96, 99}), (FOG, {45, 48})])
def test_a_code_is_wanted_other_or_unknown(wanted: tuple[int, ...], met: set[int]) -> None:
    codes = np.array([0.0, 1, 3, 45, 48, 82, 86, 95, 96, 99])
    assert weather_met(codes, wanted).tolist() == [float(code in met) for code in codes]
    unknown = np.array([np.nan, -1.0, 100.0, 45.5])
    assert np.isnan(weather_met(unknown, wanted)).all()


def test_the_codes_that_the_forecast_services_document_are_known_and_no_others() -> None:
    # The list of the service's documentation, "WMO weather interpretation codes" (from memory).
    documented = [
        *(0, 1, 2, 3, 45, 48, 51, 53, 55, 56, 57, 61, 63, 65, 66, 67),
        *(71, 73, 75, 77, 80, 81, 82, 85, 86, 95, 96, 99),
    ]
    known = np.isfinite(weather_met(np.arange(100.0), FOG))
    assert np.flatnonzero(known).tolist() == documented


def test_air_of_unknown_humidity_counts_as_saturated_below_79_f_alone() -> None:
    air = np.array([COOL - 0.01, COOL, COOL + 5.0])
    felt = heat_felt(air, np.full(3, np.nan))
    assert felt[0] == heat_index(air[:1], np.ones(1))[0]
    assert np.isnan(felt[1:]).all()


def test_a_known_humidity_counts_as_it_is() -> None:
    air, humidity = np.array([290.0, 305.0]), np.array([0.3, 0.6])
    assert heat_felt(air, humidity).tolist() == heat_index(air, humidity).tolist()
