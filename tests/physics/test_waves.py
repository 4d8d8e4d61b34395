"""The growth law: its shape, its limits, and what it does with senseless input."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.other_growth_laws import kahma_calkoen1992
from safety_check.physics.waves import equivalent_fetch, peak_period, significant_height
from tests.properties import cases

# Wind, fetch, depth, height, period; computed from the formula by another program before
# this one was written: no published example of this law was found.
COMPUTED_APART = [
    (3, 1_000, 10, 0.0624, 0.931),
    (5, 500, 3, 0.0799, 0.974),
    (5, 2_000, 10, 0.1494, 1.419),
    (6.7, 3_000, 5, 0.2458, 1.810),
    (8, 1_000, 2, 0.1808, 1.458),
    (8, 5_000, 10, 0.3772, 2.255),
    (10, 5_000, 10, 0.4812, 2.498),
    (10, 10_000, 30, 0.6604, 3.014),
    (12, 3_000, 8, 0.4668, 2.364),
    (15, 20_000, 30, 1.4008, 4.379),
]

winds = st.floats(0, 60)
fetches = st.floats(0, 500_000)
depths = st.one_of(st.floats(0.001, 300), st.just(np.inf))
ratios = st.floats(1, 100)

# Powers taken before the product may round apart in the last digits.
ROUNDING = 1 + 1e-12


@pytest.mark.parametrize(("wind", "fetch", "depth", "height", "period"), COMPUTED_APART)
def test_the_law_gives_what_another_program_gave(wind, fetch, depth, height, period):
    assert significant_height(wind, fetch, depth) == pytest.approx(height, abs=6e-5)  # 4 digits
    assert peak_period(wind, fetch, depth) == pytest.approx(period, abs=6e-4)


def test_shallows_pull_the_wave_down():
    # The same source as above: wind 10 m/s, fetch 20 km.
    height = significant_height(10.0, 20_000.0, [1.0, 2.0, 5.0, 10.0, 30.0])

    assert height == pytest.approx([0.292, 0.458, 0.742, 0.859, 0.898], abs=6e-4)


def test_shallow_and_deep_water_in_one_array_are_those_of_each():
    depths = np.array([2.0, np.inf])
    both = [law(10.0, 20_000.0, depths) for law in (significant_height, peak_period)]
    alone = [
        [law(10.0, 20_000.0, one) for one in depths] for law in (significant_height, peak_period)
    ]

    assert np.array(both).tolist() == np.array(alone).tolist()
    assert equivalent_fetch(both[0], 10.0, depths) == pytest.approx(20_000.0)


def test_flat_water_needs_no_fetch():
    assert equivalent_fetch([0.0, 0.3], 10.0)[0] == 0.0


# T = 7.69 U/g (tanh v tanh(u / tanh v))^0.187 with v = 0.10 (gd/U²)^2.01 and
# u = 2.77e-7 (gF/U²)^1.45, worked out by hand where the depth is what limits the period.
@pytest.mark.parametrize(
    ("wind", "fetch", "depth", "period"),
    [(10, 20_000, 1, 2.129), (10, 20_000, 2, 2.763), (15, 1e6, 1, 2.355), (8, 50_000, 3, 3.045)],
)
def test_shallows_shorten_the_period(wind, fetch, depth, period):
    assert peak_period(wind, fetch, depth) == pytest.approx(period, abs=6e-4)  # 4 digits


@pytest.mark.parametrize(
    ("wind", "fetch"),
    [(5.0, 300.0), (5.0, 3_000.0), (10.0, 3_000.0), (10.0, 20_000.0), (15.0, 20_000.0)],
)
def test_in_deep_water_it_joins_the_law_it_was_built_to_join(wind, fetch):
    # Kahma and Calkoen's composite; 4.14e-4 in place of 4.41e-4 would miss it by 3.6 %.
    height, period = kahma_calkoen1992(wind, fetch)

    assert significant_height(wind, fetch) == pytest.approx(height, rel=0.02)
    assert peak_period(wind, fetch) == pytest.approx(period, rel=0.01)


def test_calm_and_the_very_shore_have_no_wave():
    assert significant_height([0.0, 10.0, 0.0], [5000.0, 0.0, 0.0]).tolist() == [0, 0, 0]
    assert peak_period([0.0, 10.0, 0.0], [5000.0, 0.0, 0.0]).tolist() == [0, 0, 0]


@pytest.mark.parametrize("law", [significant_height, peak_period, equivalent_fetch])
@pytest.mark.parametrize(
    ("one", "other", "depth"),
    [
        (np.nan, 1.0, 10.0), (1.0, np.nan, 10.0), (1.0, 1.0, np.nan), (1.0, 1.0, 0.0),
        (1.0, 1.0, -3.0), (-1.0, 1.0, 10.0), (1.0, -1.0, 10.0),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_unknown_never_calm(law, one, other, depth):
    assert np.isnan(law(one, other, depth))


def test_a_wind_beyond_all_measurement_is_unknown():
    assert np.isnan(significant_height([60.1, 200.0, np.inf], 1000.0)).all()
    assert significant_height(60.0, 1000.0) > 0


@given(winds, fetches, depths, ratios)
def test_more_wind_never_gives_a_lower_wave(wind, fetch, depth, ratio):
    more = min(wind * ratio, 60.0)

    assert significant_height(more, fetch, depth) * ROUNDING >= significant_height(
        wind, fetch, depth
    )


@given(winds, fetches, depths, ratios)
def test_more_fetch_never_gives_a_lower_wave(wind, fetch, depth, ratio):
    more = significant_height(wind, fetch * ratio, depth)

    assert more * ROUNDING >= significant_height(wind, fetch, depth)


@pytest.mark.promise("waves of your own water")
@given(winds, fetches, depths, ratios)
def test_more_depth_never_gives_a_lower_wave_so_deep_is_the_cautious_choice(
    wind, fetch, depth, ratio
):
    shallow = significant_height(wind, fetch, depth)

    assert significant_height(wind, fetch, depth * ratio) * ROUNDING >= shallow
    assert significant_height(wind, fetch) * ROUNDING >= shallow


@given(st.floats(0.5, 30), st.floats(10, 100_000), st.floats(1, 300))
def test_the_equivalent_fetch_is_the_fetch_that_raised_the_sea(wind, fetch, depth):
    height = significant_height(wind, fetch, depth)
    again = significant_height(wind, equivalent_fetch(height, wind, depth), depth)

    # The limits of growth are flat: there the height tells, not the fetch.
    assert again == pytest.approx(height, rel=1e-9)


@cases(50)
@given(st.floats(0.5, 30), st.floats(1e-3, 20))
def test_a_sea_beyond_this_wind_has_an_infinite_equivalent_fetch(wind, excess):
    highest = significant_height(wind, np.inf)

    assert np.isinf(equivalent_fetch(highest + excess, wind))


def test_arrays_broadcast_against_each_other():
    height = significant_height(np.full((4, 1), 8.0), np.full((1, 3), 900.0), np.full(3, 5.0))

    assert height.shape == (4, 3)
