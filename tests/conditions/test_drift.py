"""Adrift: what an offshore wind and a long swim weigh, and where the wind takes whom."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.conditions.adrift import (
    DriftRange,
    DriftStart,
    drifts_from,
    find_drifts,
    represent,
)
from safety_check.conditions.coefficients import load_coefficients
from safety_check.conditions.drift import (
    SWIMMER,
    Swimmer,
    downwind_water,
    load_leeways,
    offshore_share,
    quantities,
)
from safety_check.model.advice import AdriftWind
from safety_check.model.craft import Paddler
from safety_check.model.place import OpenWater
from tests import invented_lake as lake
from tests import scenes
from tests.properties import note, takes

HOURS = 12
CRAFT = scenes.settings().craft("sit-on-top-kayak")
LEEWAYS = {"craft": load_leeways()[CRAFT.leeway], "swimmer": load_leeways()[SWIMMER]}
WATER = lake.open_water()
ONE = np.ones((1, 1))
ABLE = Paddler(company="alone", self_rescue=True, means_to_call=True)


def weighed(
    wind: float, downwind: float, from_shore: float, celsius: float, paddler: Paddler = ABLE
) -> tuple[float, float]:
    table = load_coefficients()
    swimmer = Swimmer(np.array([from_shore]), np.array([celsius + 273.15]), paddler, table.swim)
    said = quantities(ONE * wind, ONE, ONE * downwind, swimmer, table)
    return float(said["offshore_wind_speed"][0, 0]), float(said["swim_to_shore_share"][0, 0])


def offshore(upwind: float, downwind: float) -> float:
    """How far a west wind is an offshore wind over so much water."""
    water = scenes.open_water(0.0)
    fetch = np.where(water.bearings == 270, upwind, np.where(water.bearings == 90, downwind, 0.0))
    return float(
        offshore_share(np.array(270.0), replace(water, fetch=fetch[:, None]), load_coefficients())
    )


def test_many_waters_at_once_have_the_open_water_downwind_of_each() -> None:
    rng = np.random.default_rng(7)
    one = scenes.open_water(0.0)
    fetch = rng.uniform(0, 5_000, (3, len(one.bearings), 1))
    direction = rng.uniform(0, 360, (3, 4, 6))  # site, member, hour
    together = downwind_water(direction, replace(one, fetch=fetch))
    for site in range(3):
        alone = downwind_water(direction[site], replace(one, fetch=fetch[site]))
        np.testing.assert_array_equal(together[site], alone)
        for (member, hour), towards in np.ndenumerate((direction[site] + 180) % 360):
            apart = np.abs((one.bearings - towards + 180) % 360 - 180)
            assert alone[member, hour] == fetch[site, np.argmin(apart), 0]


# -- weighed ---------------------------------------------------------------------------------


def test_an_offshore_wind_counts_by_the_water_that_it_blows_over() -> None:
    assert offshore(0.0, 600.0) == 0.0
    assert offshore(0.0, 4500.0) == pytest.approx(0.5)
    assert offshore(0.0, 12_000.0) == 1.0
    assert offshore(12_000.0, 0.0) == 0.0
    assert offshore(9000.0, 9000.0) == 0.0
    assert weighed(4.0, 0.0, 50.0, 20.0)[0] == pytest.approx(1.0)  # a quarter, 50 m from the shore


@pytest.mark.promise("offshore, far and cold count once")
@takes(more=0.1)
@given(st.floats(0, 15_000), st.floats(0, 15_000), st.floats(1, 100))
def test_an_offshore_wind_changes_nowhere_at_once(
    upwind: float, downwind: float, more: float
) -> None:
    before, after = offshore(upwind, downwind), offshore(upwind, downwind + more)
    assert before <= after <= before + 0.001 * more + 0.03
    note("more", after > before)


def test_the_swim_is_measured_by_what_the_water_leaves() -> None:
    assert weighed(0.0, 0.0, 396.0, 10.0)[1] == pytest.approx(1.0)
    assert weighed(0.0, 0.0, 396.0, 10.0, replace(ABLE, company="group"))[1] == pytest.approx(0.5)
    assert weighed(0.0, 0.0, 396.0, 10.0, replace(ABLE, company=None))[1] == pytest.approx(1.0)


def test_a_degree_at_70_fahrenheit_changes_little() -> None:
    cold, warm = (weighed(2.0, 3000.0, 1000.0, (f - 32) / 1.8)[1] for f in (69.5, 70.5))
    assert warm <= cold <= 1.1 * warm


def test_at_the_bank_an_offshore_wind_is_no_swim() -> None:
    assert weighed(3.5, 12_000.0, 5.0, 12.0)[1] < 0.1


def test_what_is_not_known_stays_unknown() -> None:
    assert np.isnan(weighed(1.0, 0.0, 500.0, float("nan"))[1])
    assert np.isnan(weighed(1.0, 0.0, float("nan"), 15.0)[1])
    assert np.isnan(weighed(1.0, float("nan"), 500.0, 15.0)[1])
    assert np.isnan(weighed(float("nan"), 5000.0, 500.0, 25.0)[0])
    assert np.isnan(offshore_share(np.array(np.nan), WATER, load_coefficients()))


@takes(more_offshore=0.3, longer_swim=0.3)
@given(
    st.floats(0, 15), st.floats(0, 5), st.floats(0, 9000), st.floats(5, 3000), st.floats(0, 25),
    st.floats(0, 10),
)  # fmt: skip
def test_more_wind_or_colder_water_never_brings_the_shore_nearer(
    wind: float, more: float, downwind: float, shore: float, celsius: float, colder: float
) -> None:
    before = weighed(wind, downwind, shore, celsius)
    after = weighed(wind + more, downwind, shore, max(celsius - colder, -1.0))
    assert after[0] >= before[0]
    assert after[1] >= before[1] * (1 - 1e-12)
    note("more_offshore", after[0] > before[0])
    note("longer_swim", after[1] > before[1] * (1 + 1e-12))


# -- where one drifts ------------------------------------------------------------------------


def adrift(
    wind: float | np.ndarray, direction: float, water: OpenWater = WATER
) -> tuple[DriftRange, DriftRange]:
    rows = np.ones((1, HOURS + 1))
    start = np.array([900.0, 900.0])
    return find_drifts(
        LEEWAYS, DriftStart(start, 0), water, rows * wind, rows * direction, np.ones(1)
    )


def test_a_west_wind_drives_a_craft_onto_the_east_shore() -> None:
    craft, _ = adrift(8.0, 270.0)
    # 3.75 % of the wind, and on either side of it the table's 0.41 %: 3100 m in 2.9 hours.
    assert craft.time == pytest.approx([3100 / 0.3] * 2, rel=0.01)
    assert craft.point[:, 0] == pytest.approx([4000.0] * 2)
    assert np.sort(craft.point[:, 1]) == pytest.approx([900 - 339, 900 + 339], abs=5)


def test_a_swimmer_is_left_behind_by_the_craft() -> None:
    craft, swimmer = adrift(8.0, 270.0)
    assert (swimmer.speed < craft.speed / 3).all()
    assert (swimmer.time >= craft.time).all()


def test_a_shore_beyond_six_hours_is_not_reached() -> None:
    craft, swimmer = adrift(2.0, 270.0)
    assert craft.within == 6 * 3600.0
    assert np.isinf(craft.time).all()
    assert np.isinf(swimmer.time).all()


def test_near_the_end_of_the_hours_a_drift_is_followed_for_less() -> None:
    rows = np.ones((1, HOURS + 1))
    start = np.array([900.0, 900.0])
    craft, _ = find_drifts(
        LEEWAYS, DriftStart(start, HOURS - 2), WATER, rows * 8, rows * 270, np.ones(1)
    )
    assert craft.within == 3 * 3600.0


def test_without_a_shoreline_no_landfall_is_given() -> None:
    craft, _ = adrift(8.0, 270.0, water=scenes.LARGE_LAKE)
    assert np.isnan(craft.time).all()
    assert np.isfinite(craft.speed).all()


def test_an_unknown_wind_leads_nowhere() -> None:
    wind = np.full((1, HOURS + 1), 8.0)
    wind[:, 1] = np.nan
    craft, _ = adrift(wind, 270.0)
    assert np.isnan(craft.time).all()


def test_many_members_are_stood_for_by_some_as_their_weight_asks() -> None:
    members = 120
    weights = np.full(members, 0.5 / (members - 1))
    weights[0] = 0.5
    wind = np.full((members, HOURS + 1), 8.0)
    wind[0] = 4.0
    start = DriftStart(np.array([900.0, 900.0]), 0)
    craft, _ = find_drifts(LEEWAYS, start, WATER, wind, 0 * wind + 270.0, weights)
    assert len(craft.time) == 2 * 40  # to the left and to the right of the wind
    assert np.mean(craft.speed < 0.2) == pytest.approx(0.5, abs=0.03)


def test_the_drift_of_an_hour_says_where_it_ends_at_a_shore_or_after_all_the_time() -> None:
    begins = scenes.START
    wind = AdriftWind((900.0, 900.0), np.full((2, HOURS + 1), 4.0), np.full((2, HOURS + 1), 270.0),
                      np.full(2, 0.5))  # fmt: skip
    craft, swimmer = drifts_from(begins, 1, wind, WATER, LEEWAYS)
    assert craft.ends == craft.shore
    assert craft.ends[0] == pytest.approx(4000.0, abs=1.0)
    assert np.isnan(swimmer.shore).all()
    far = swimmer.ends[0] - 900.0
    # Straight down the wind but for the drift to one side.
    assert far == pytest.approx(swimmer.speed * swimmer.within, rel=0.15)
    last, _ = drifts_from(begins, HOURS - 1, wind, WATER, LEEWAYS)
    assert last.within <= 2 * 3600


def test_members_that_represent_all_drift_as_all_do() -> None:
    rng = np.random.default_rng(3)
    weights = rng.uniform(0, 1, 200)
    wind = AdriftWind((900.0, 900.0), rng.normal(4, 0.2, (200, HOURS + 1)),
                      np.full((200, HOURS + 1), 270.0), weights / weights.sum())  # fmt: skip
    some = represent(wind)
    assert some.weights == pytest.approx(np.full(40, 1 / 40))
    told, fewer = (drifts_from(scenes.START, 2, each, WATER, LEEWAYS) for each in (wind, some))
    assert repr(fewer) == repr(told)  # a place that is not known equals none


@pytest.mark.promise("drift from trials")
def test_every_craft_class_has_its_row_in_the_table_of_leeway() -> None:
    from safety_check.settings.crafts import load_craft_classes

    assert {
        craft_class.leeway for craft_class in load_craft_classes().values()
    } <= load_leeways().keys()
