"""Other growth laws against the examples printed for them, and against the law in use."""

from __future__ import annotations

import csv

import numpy as np
import pytest

from benchmarks.other_growth_laws import (
    SAVILLE_OFFSETS,
    cem2002,
    donelan,
    effective_fetch_saville,
    jonswap1973,
    kahma_calkoen1992,
    smb,
    wilson1965,
    young_verhagen1996,
)
from benchmarks.spm1984 import (
    adjusted_wind,
    open_water_waves,
    restricted_fetch,
    restricted_waves,
)
from safety_check.physics.fetch import straight_fetch
from safety_check.physics.waves import significant_height
from safety_check.physics.wind_stress import STRESS_RATIO
from safety_check.units import KNOT, MILE, MILE_PER_HOUR
from tests.recordings import shared_folder

FOOT = 0.3048
HOUR = 3600.0


# Automated Coastal Engineering System, User's Guide, 1992, examples 1 to 3: ten-metre wind
# and adjusted wind.
@pytest.mark.parametrize(
    ("wind", "adjusted", "unit"),
    [(46.42, 67.92, MILE_PER_HOUR), (27.71, 36.18, KNOT), (44.00, 63.27, MILE_PER_HOUR)],
)
def test_the_adjusted_wind_is_the_printed_one(wind, adjusted, unit):
    found = adjusted_wind(np.array(wind * unit)) / unit

    assert found == pytest.approx(adjusted, abs=0.02)  # the printed wind has two decimals


def test_shallow_open_water_matches_the_guides_first_example():
    # Automated Coastal Engineering System, User's Guide, 1992, example 1.
    height, period = open_water_waves(67.92 * MILE_PER_HOUR, 26 * MILE, depth=13 * FOOT)

    assert height / FOOT == pytest.approx(4.23, abs=0.01)
    assert period == pytest.approx(4.77, abs=0.01)


@pytest.mark.promise("waves of your own water")
def test_deep_open_water_matches_the_guides_second_example():
    # Automated Coastal Engineering System, User's Guide, 1992, example 2: limited by its 3 h.
    height, period = open_water_waves(36.18 * KNOT, 60 * MILE, duration=3 * HOUR)
    longer, _ = open_water_waves(36.18 * KNOT, 60 * MILE, duration=7.08 * HOUR)
    unlimited, _ = open_water_waves(36.18 * KNOT, 60 * MILE)

    assert height / FOOT == pytest.approx(4.74, abs=0.01)
    assert period == pytest.approx(4.65, abs=0.01)
    assert longer < unlimited == open_water_waves(36.18 * KNOT, 60 * MILE, 7.10 * HOUR)[0]


def test_restricted_water_matches_the_guides_third_example():
    # Automated Coastal Engineering System, User's Guide, 1992, example 3: wind from 125°,
    # radials from 0° by 12°, in miles.
    radials = [3.7, 12.3, 13.4, 12.2, 13.2, 36.0, 35.6, 28.7, 26.8, 13.0, 10.4, 10.1, 6.4, 5.7]
    bearing = np.arange(0.0, 157.0, 12.0)
    fetch, direction = restricted_fetch(bearing, np.array(radials) * MILE, 125)
    component = 63.27 * MILE_PER_HOUR * np.cos(np.radians(125 - direction))
    height, period = restricted_waves(component, fetch, 5 * HOUR)

    assert direction == 93
    assert fetch / MILE == pytest.approx(26.61, abs=0.01)
    assert height / FOOT == pytest.approx(7.80, abs=0.01)
    assert period == pytest.approx(5.74, abs=0.01)


def test_restricted_water_needs_the_printed_time_to_grow():
    # The same example: fetch-limited from 4.00 h on. The two branches do not quite meet.
    component = 63.27 * MILE_PER_HOUR * np.cos(np.radians(32))
    heights = restricted_waves(component, 26.61 * MILE, [3.99 * HOUR, 4.01 * HOUR, np.inf])[0]

    assert heights[0] != heights[1]
    assert heights[1] == heights[2]


def test_a_course_problem_comes_out():
    # A coastal engineering course's problem (a copy of it): 15 m/s without adjustment over
    # 200 km: 3.417 m and 9 s; full growth, 0.2433 U² / g, at 529 km.
    height, period = open_water_waves(15.0, 200e3)
    grown, _ = open_water_waves(15.0, 529e3)

    assert height == pytest.approx(3.417, abs=0.02)  # worked by hand in the source
    assert period == pytest.approx(9.0, abs=0.02)
    assert grown == pytest.approx(0.2433 * 15**2 / 9.81, rel=0.002)


def test_the_lake_george_law_matches_a_public_check():
    # A check value in a public code's own tests: 21.9444 m/s, 53 890 m, 7 m give 1.6371 m.
    height, _ = young_verhagen1996(21.9444, 53_890.0, 7.0)

    assert height == pytest.approx(1.6371, abs=1e-4)


# The guideline names the significant period; its peak period is that over 0.93.
LAWS = {
    "SMB (Saville)": lambda wind, fetch, depth: (
        smb(wind, fetch)[0],
        smb(wind, fetch)[1] / 0.93,
    ),
    "Donelan": lambda wind, fetch, depth: donelan(wind, fetch),
    "Young-Verhagen": young_verhagen1996,
}


@pytest.mark.parametrize("row", range(9))
def test_a_freeboard_guidelines_nine_cases_come_out(row):
    # A South African guideline on dam freeboard, worked example.
    table = shared_folder("datasets", "checks") / "wave_growth_worked_example.csv"
    with table.open(newline="") as lines:
        case = list(csv.DictReader(lines))[row]
    wind, fetch, depth = (float(case[key]) for key in ("U10_m_s", "fetch_m", "depth_m"))
    height, period = LAWS[case["method"]](wind, fetch, depth)

    # Two decimals; one of the nine is printed 0.01 low.
    assert height == pytest.approx(float(case["Hs_m"]), abs=0.011)
    assert period == pytest.approx(float(case["Tp_s"]), abs=0.011)


# Wind, fetch, depth, then height and period: Young and Verhagen, SMB deep, CEM, Kahma and
# Calkoen; computed by another program before this one was written, not published.
COMPUTED_APART = [
    (3, 1e3, 10, 0.0467, 0.927, 0.0601, 0.958, 0.0434, 0.771, 0.0616, 0.927),
    (5, 500, 3, 0.0556, 0.972, 0.0824, 1.078, 0.0526, 0.732, 0.0791, 0.972),
    (5, 2e3, 10, 0.1102, 1.414, 0.1461, 1.485, 0.1053, 1.163, 0.1476, 1.414),
    (6.7, 3e3, 5, 0.1789, 1.800, 0.2438, 1.911, 0.1768, 1.478, 0.2444, 1.805),
    (8, 1e3, 2, 0.1238, 1.449, 0.1904, 1.626, 0.1239, 1.094, 0.1812, 1.455),
    (8, 5e3, 10, 0.2766, 2.244, 0.3705, 2.363, 0.2771, 1.870, 0.3737, 2.247),
    (10, 5e3, 10, 0.3462, 2.485, 0.4820, 2.669, 0.3550, 2.031, 0.4777, 2.490),
    (10, 1e4, 30, 0.4906, 3.001, 0.6401, 3.121, 0.5021, 2.559, 0.6526, 3.003),
    (12, 3e3, 8, 0.3239, 2.355, 0.4828, 2.612, 0.3379, 1.835, 0.4639, 2.359),
    (15, 2e4, 30, 1.0305, 4.350, 1.3728, 4.561, 1.1276, 3.762, 1.3925, 4.363),
]


@pytest.mark.parametrize("case", COMPUTED_APART)
def test_the_other_laws_give_what_another_program_gave(case):
    wind, fetch, depth, *expected = case
    pairs = (
        young_verhagen1996(wind, fetch, depth),
        smb(wind, fetch),
        cem2002(wind, fetch),
        kahma_calkoen1992(wind, fetch),
    )
    found = [float(one) for pair in pairs for one in pair]

    assert found == pytest.approx(expected, abs=6e-4)  # printed to 3 or 4 decimals


@pytest.mark.parametrize("wind", [5.0, 10.0, 15.0])
@pytest.mark.parametrize("fetch", [1_000.0, 5_000.0, 20_000.0])
def test_three_families_agree_and_three_lie_low(wind, fetch):
    # Why the law in use is in use: a check by another program found so.
    ours = significant_height(wind, fetch)
    near = np.array([ours, smb(wind, fetch)[0], wilson1965(wind, fetch)[0]])

    assert near == pytest.approx(np.full(3, near.mean()), rel=0.10)
    assert jonswap1973(wind, fetch)[0] < ours
    assert cem2002(wind, fetch)[0] < ours
    assert young_verhagen1996(wind, fetch, 50.0)[0] < ours


def test_the_two_forms_of_one_law_agree_at_the_stress_ratio():
    # Kahma and Calkoen: by wind, energy 5.2e-7 X^0.9 and peak 13.7 / 2π X^-0.27; by stress
    # 6.5e-4 X*^0.9 and 0.49 X*^-0.27. Two digits in print: ± 1 % of the ratio.
    by_energy = (5.2e-7 / 6.5e-4) ** (1 / 2.2)
    by_peak = (13.7 / (2 * np.pi) / 0.49) ** (-1 / 0.46)

    assert pytest.approx(by_energy, rel=0.01) == STRESS_RATIO
    assert pytest.approx(by_peak, rel=0.01) == STRESS_RATIO


@pytest.mark.parametrize("law", [smb, wilson1965, jonswap1973, kahma_calkoen1992, donelan, cem2002])
def test_no_law_reads_the_unknown_as_calm(law):
    assert np.isnan(law([np.nan, -1.0, 5.0, 5.0], [1e3, 1e3, np.nan, -1.0])).all()
    assert [float(one) for one in law(0.0, 1e3)] == [0, 0]


# Saville et al. 1962, as the wave reference cites it from memory; computed here 13.5109, and
# 13.512 with the three-figure cosines of the time: hence the tolerance.
def test_the_cosines_of_savilles_radials_sum_as_published():
    assert np.cos(np.radians(SAVILLE_OFFSETS)).sum() == pytest.approx(13.512, abs=0.002)


# The projected form on shapes; the wave reference's own arithmetic (four decimals).
@pytest.mark.parametrize(
    ("radials", "effective"),
    [
        (1 / np.cos(np.radians(SAVILLE_OFFSETS)), 1.0000),  # straight shore at distance 1
        (np.ones(15), 0.9091),
        (np.cos(np.radians(SAVILLE_OFFSETS)), 0.8336),  # circle of diameter 1 from its rim
    ],
)
def test_savilles_fetch_of_simple_shores(radials, effective):
    assert effective_fetch_saville(radials) == pytest.approx(effective, abs=5e-5)


# The wave reference's own arithmetic (four decimals), here from the polygon by our own rays.
@pytest.mark.parametrize(
    ("width", "effective"),
    [(1.0, 0.8966), (0.5, 0.6775), (0.25, 0.4621), (0.1, 0.2404), (0.05, 0.1572)],
)
def test_savilles_fetch_of_a_canal_from_its_end(width, effective):
    kilometre = 1000.0
    half = width / 2 * kilometre
    corners = ((-half, 0), (half, 0), (half, kilometre), (-half, kilometre), (-half, 0))
    canal = np.array(corners, dtype=float)

    radials = straight_fetch([canal], np.array([[0.0, 0.0]]), SAVILLE_OFFSETS)

    assert effective_fetch_saville(radials) / kilometre == pytest.approx([effective], abs=5e-5)


@pytest.mark.parametrize("wrong", [np.nan, -1.0])
def test_savilles_fetch_is_unknown_with_a_radial_that_is(wrong):
    radials = np.full((15, 2), 100.0)
    radials[3, 0] = wrong

    assert np.isnan(effective_fetch_saville(radials)).tolist() == [True, False]
