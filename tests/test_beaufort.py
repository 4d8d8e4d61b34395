"""Beaufort as a unit: the printed bounds, what a user types, and what the reports show."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check import beaufort, units
from safety_check.errors import PlanError
from safety_check.physics.wind import BEAUFORT_EDGES
from safety_check.rules.personal_limits import personal_limit
from safety_check.settings.limits import load_default_limits
from safety_check.settings.user_file import LimitTable
from safety_check.units import Preferences, parse, show, show_limit
from safety_check.use_cases.amounts_in_words import Span, parse_span, parse_wind

# WMO-No. 306, code table 1100, in m/s (forces 0 to 8 as several printed tables agree, 9 to 12
# from memory).
PRINTED = {
    0: (0.0, 0.2), 1: (0.3, 1.5), 2: (1.6, 3.3), 3: (3.4, 5.4), 4: (5.5, 7.9), 5: (8.0, 10.7),
    6: (10.8, 13.8), 7: (13.9, 17.1), 8: (17.2, 20.7), 9: (20.8, 24.4), 10: (24.5, 28.4),
    11: (28.5, 32.6), 12: (32.7, 32.7),
}  # fmt: skip


@pytest.mark.parametrize("force", PRINTED)
def test_a_force_has_the_printed_bounds(force):
    low, high = PRINTED[force]

    assert (beaufort.lowest_wind(force), beaufort.highest_wind(force)) == (low, high)
    assert beaufort.force_of(low) == beaufort.force_of(high) == force


@pytest.mark.parametrize("force", PRINTED)
def test_a_wind_in_bft_is_the_highest_of_its_force_and_a_limit_begins_at_the_lowest(force):
    low, high = PRINTED[force]

    assert parse(f"{force} Bft", "wind", "--wind") == high
    assert parse(f"{force} Bft", "wind limit", "no_go") == low


def test_the_wind_and_the_formulas_share_one_table():
    assert np.array_equal(BEAUFORT_EDGES, beaufort.LOWEST[1:])


@pytest.mark.parametrize("text", ["4 Bft", "4bft", "4 BFT", "4 Beaufort", "4 bf"])
def test_the_unit_may_be_written_in_several_ways(text):
    assert parse(text, "wind", "--wind") == 7.9


@pytest.mark.parametrize("text", ["4.5 Bft", "13 Bft", "-1 Bft", "1/2 Bft"])
def test_what_is_no_force_is_refused(text):
    with pytest.raises(PlanError, match="whole numbers from 0 to 12"):
        parse(text, "wind", "--wind")


def test_the_speed_of_a_craft_has_no_force():
    with pytest.raises(PlanError, match="not a known unit of speed"):
        parse("2 Bft", "speed", "cruise_speed")


def test_forces_are_a_range_from_the_lowest_to_the_highest_wind():
    assert parse_span("3-4 Bft", "wind", "--wind") == Span(3.4, 7.9)
    assert parse_wind("4 Bft", "--wind") == Span(5.5, 7.9)
    assert parse_wind("up to 4 Bft", "--gust") == Span(5.5, 7.9)


def test_other_units_still_mean_one_wind():
    assert parse_wind("12 mph", "--wind") == Span(12 * 0.44704, 12 * 0.44704)


@pytest.mark.parametrize("quantity", ["wind_speed", "wind_speed_of_gust", "offshore_wind_speed"])
def test_a_limit_of_a_force_is_reached_by_its_lightest_wind(quantity):
    defaults = {
        name: limit
        for (name, whom), limit in load_default_limits().items()
        if whom.split()[0] in ("sit-on-top-kayak", "any")
    }

    own = personal_limit(
        LimitTable(craft="mine", quantity=quantity, marginal="1 Bft", no_go="2 Bft"), defaults
    )

    assert (own.marginal, own.no_go) == (0.3, 1.6)


@given(st.floats(0, 60))
def test_a_wind_is_shown_as_its_force_and_a_limit_with_its_exact_wind(wind):
    force = beaufort.force_of(round(wind, 6))

    assert show(wind, "speed", "Bft") == f"{force} Bft"
    shown = show_limit(wind, "speed", "Bft")
    exact = float(shown.split("(")[1].split()[0])
    assert exact <= wind + 1e-6  # never to the permissive side
    assert shown.startswith(f"{beaufort.force_of(exact)} Bft (")
    assert beaufort.force_of(exact) in (force, force - 1)


def test_a_limit_at_the_edge_of_a_force_stays_in_it_despite_binary_fractions():
    # a lowered limit comes back as 5.499999999999999
    assert show_limit(math.nextafter(5.5, 0), "speed", "Bft") == "4 Bft (5.5 m/s)"
    assert show(math.nextafter(5.5, 0), "speed", "Bft") == "4 Bft"
    assert show_limit(5.45, "speed", "Bft") == "3 Bft (5.4 m/s)"


def test_unknown_stays_unknown():
    assert show(math.nan, "speed", "Bft") == show_limit(math.nan, "speed", "Bft") == "unknown"
    assert show_limit(math.inf, "speed", "Bft") == "never reached"


@pytest.mark.parametrize(("distance", "pace"), [("km", "km/h"), ("mi", "mph"), ("nmi", "kt")])
def test_the_speed_of_a_craft_is_shown_in_the_unit_that_fits_the_distance(distance, pace):
    assert Preferences(wind="Bft", distance=distance).pace == pace
    assert Preferences(wind="m/s", distance=distance).pace == "m/s"


def test_every_unit_that_settings_take_is_one_that_people_can_type():
    assert units.KINDS["wind"] == ("m/s", "km/h", "mph", "kt", "Bft")
