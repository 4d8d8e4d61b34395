"""How long a swim to the shore takes, and how long the water leaves strength for it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.physics.swim import MEASURED_SWIM, swimming_time, time_to_shore
from tests.properties import note, takes

SWIM = (0.3, 0.025, 0.025)  # m/s; shares of the wind lost and drifted


def minutes(celsius: float) -> float:
    return float(swimming_time(np.array(celsius + 273.15))) / 60


def needs(distance: float, wind: float, downwind: float) -> float:
    return float(time_to_shore(np.array(distance), np.array(wind), np.array(downwind), *SWIM))


# Lounsbury 2005, novices at 10 °C: 806.5 ± 189.1 m in 47 minutes. Ten minutes: one-ten-one.
@pytest.mark.promise("time in cold water")
def test_cold_water_leaves_less_than_novices_swam() -> None:
    assert minutes(10) < 47 / 2
    assert 0.3 * 60 * minutes(10) < 806.5 - 2 * 189.1
    assert minutes(5) == pytest.approx(10)


# Our own judgement: half of the ten minutes at 0 °C and below, 22 minutes at 10 °C.
@pytest.mark.parametrize(("celsius", "expected"), [(-2, 5), (0, 5), (10, 22)])
def test_the_coldest_water_leaves_half_of_the_ten_minutes(celsius: float, expected: float) -> None:
    assert minutes(celsius) == pytest.approx(expected)


def test_the_farthest_swim_is_half_of_what_novices_swam_rounded_down() -> None:
    assert MEASURED_SWIM == 806.5 / 2 // 100 * 100


def test_between_two_temperatures_the_time_is_their_geometric_mean() -> None:
    # By hand, straight lines in the logarithm: √(5·10) and √(10·22) minutes.
    assert minutes(2.5) == pytest.approx(50**0.5)
    assert minutes(7.5) == pytest.approx(220**0.5)


def test_water_outdoors_is_271_to_313_kelvin() -> None:
    water = np.array([270.99, 271.0, 313.0, 313.01])
    assert np.isnan(swimming_time(water)).tolist() == [True, False, False, True]


# Least time to exhaustion at the warm ends of the rows of the search and rescue table.
@pytest.mark.parametrize(("fahrenheit", "least"), [(60, 60), (70, 120), (80, 180)])
def test_warm_water_leaves_the_least_time_of_the_search_and_rescue_table(
    fahrenheit: float, least: float
) -> None:
    assert minutes((fahrenheit - 32) / 1.8) == pytest.approx(least, rel=0.02)


@given(st.floats(-2, 35), st.floats(0, 1))
def test_a_degree_never_changes_the_time_at_once(celsius: float, warmer: float) -> None:
    before, after = minutes(celsius), minutes(celsius + warmer)
    assert before <= after * (1 + 1e-9)
    assert after <= before * 1.2


@pytest.mark.parametrize("celsius", [float("nan"), -20.0, 60.0])
def test_unknown_or_absurd_water_stays_unknown(celsius: float) -> None:
    assert np.isnan(minutes(celsius))


@takes(later=0.5)
@given(
    st.floats(0, 3000), st.floats(0, 25), st.floats(0, 9000),
    st.floats(0, 500), st.floats(0, 5), st.floats(0, 3000),
)  # fmt: skip
def test_farther_windier_or_wider_is_never_sooner_ashore(
    distance: float, wind: float, downwind: float, farther: float, more: float, wider: float
) -> None:
    before = needs(distance, wind, downwind)
    after = needs(distance + farther, wind + more, downwind + wider)
    assert after >= before * (1 - 1e-12)
    note("later", after > before)


def test_the_time_is_no_less_than_the_swim_and_the_drift_allow() -> None:
    for wind in np.linspace(0.1, 20, 200):
        headway = 0.3 - 0.025 * wind
        swum = 400 / headway if headway > 0 else np.inf
        assert needs(400, wind, 3000) >= min(swum, 3000 / (0.025 * wind)) - 1e-6


def test_at_the_bank_no_wind_makes_a_swim() -> None:
    assert needs(0.0, 30.0, 0.0) == 0.0
    assert needs(5.0, 3.5, 12_000.0) < 30


def test_what_is_not_known_stays_unknown() -> None:
    nan = float("nan")
    for value in ((nan, 1.0, 100.0), (10.0, nan, 100.0), (10.0, 1.0, nan), (0.0, nan, 100.0)):
        assert np.isnan(needs(*value))
    assert np.isnan(needs(nan, 30.0, 100.0))


# By hand, for a swimmer of 0.3 m/s who loses 2 % of the wind and drifts with 4 %: against the wind
# d / (0.3 - 0.02 u), at most (d + 0.02 / 0.04 · downwind) / 0.3.
@pytest.mark.parametrize(
    ("distance", "wind", "downwind", "expected"),
    [
        (300, 0, 9000, 1000),
        (300, 5, 9000, 1500),
        (300, 5, 100, 350 / 0.3),
        (300, 15, 9000, 4800 / 0.3),
        (300, 40, 600, 2000),
        (0.5, 40, 600, 300.5 / 0.3),
        (0, 15, 600, 0),
    ],
)
def test_a_swim_takes_its_way_over_the_headway_or_the_drift_to_the_far_shore(
    distance: float, wind: float, downwind: float, expected: float
) -> None:
    found = time_to_shore(np.array(distance), np.array(wind), np.array(downwind), 0.3, 0.02, 0.04)
    assert found == pytest.approx(expected)
