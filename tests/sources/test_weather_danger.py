"""Thunder is worse than fog, and fog than rain; else the higher code of WMO table 4677."""

from __future__ import annotations

import numpy as np
import pytest

from safety_check.sources.weather_danger import danger, more_dangerous

# 94 is the last code without thunder at the time, 95 the first with it; 45 and 48 are fog.
MILDER_FIRST = [0.0, 3.0, 44.0, 46.0, 47.0, 49.0, 65.0, 94.0, 45.0, 48.0, 95.0, 96.0, 99.0]


def test_codes_are_in_the_order_of_their_danger() -> None:
    assert sorted(MILDER_FIRST[::-1], key=danger) == MILDER_FIRST


@pytest.mark.parametrize("place", range(len(MILDER_FIRST) - 1))
def test_the_more_dangerous_of_two_counts_whoever_says_it(place: int) -> None:
    milder, worse = (np.array([code]) for code in MILDER_FIRST[place : place + 2])
    assert more_dangerous(milder, worse) == worse
    assert more_dangerous(worse, milder) == worse


def test_an_hour_that_one_does_not_know_is_not_known() -> None:
    nothing, rain = np.array([np.nan]), np.array([61.0])
    assert np.isnan(more_dangerous(nothing, rain)).all()
    assert np.isnan(more_dangerous(rain, nothing)).all()
