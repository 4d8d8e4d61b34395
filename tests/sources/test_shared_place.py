"""Launches near each other share an answer, whichever of them is checked first."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.weather import Briefing
from safety_check.sources.grid_cells import FROM
from safety_check.sources.grid_point import distance_to
from safety_check.sources.lent_directions import lend_directions
from safety_check.sources.registry import default_ensemble, default_forecast, sharing_distance
from safety_check.sources.shared_place import shared_place
from tests import scenes
from tests.sources.gathering import question, settings, trip

PLACES = st.lists(
    st.tuples(st.floats(44.9, 45.3), st.floats(-99.6, -99.3)), min_size=1, max_size=8, unique=True
)
SOURCES = st.sampled_from(["open_meteo", "open_meteo_ensemble", "open_meteo_marine"])


def asked(here, launches, tmp_path):
    return replace(question(trip(), settings({}, tmp_path)), here=here, launches=tuple(launches))


@given(PLACES, SOURCES)
def test_no_launch_shares_the_answer_of_one_that_is_far_and_a_shared_place_is_its_own(
    launches, source
):
    plan = question(trip(), settings({}, scenes.settings().folders.data))
    plan = replace(plan, launches=tuple(launches))
    shared = [shared_place(replace(plan, here=here), source) for here in launches]

    for here, place in zip(launches, shared, strict=True):
        assert place in launches
        assert distance_to(place, here) <= sharing_distance(source)
        assert shared_place(replace(plan, here=place), source) == place


def test_launches_two_kilometres_apart_share_and_those_ten_apart_do_not(tmp_path):
    launches = [(44.9, -99.6), (44.918, -99.6), (44.99, -99.6)]

    places = [shared_place(asked(here, launches, tmp_path), "open_meteo") for here in launches]

    assert places == [launches[0], launches[0], launches[2]]


def test_a_launch_that_its_water_does_not_list_is_asked_itself(tmp_path):
    here = (44.901, -99.601)

    assert shared_place(asked(here, [(44.9, -99.6)], tmp_path), "open_meteo") == here


# -- directions for the runs of an ensemble --------------------------------------------------------


def with_ensemble(*directions: float):
    single = scenes.forecast(
        *({FROM: direction} for direction in directions), models=default_forecast()
    )
    runs = scenes.forecast(*({FROM: np.nan},) * 6, models=default_ensemble() * 6)
    return Briefing(at=scenes.NOW, forecasts=(single, runs))


def test_runs_take_the_directions_of_the_single_forecasts_in_turn():
    told = lend_directions(with_ensemble(10.0, 100.0, 190.0, 280.0)).forecasts[1]

    assert told.quantities[FROM][:, 0].tolist() == [10.0, 100.0, 190.0, 280.0, 10.0, 100.0]


def test_a_direction_that_its_lender_does_not_know_stays_unknown():
    told = lend_directions(with_ensemble(10.0, np.nan, 190.0, 280.0)).forecasts[1]

    assert np.isnan(told.quantities[FROM][[1, 5], 0]).all()


def test_without_single_forecasts_the_directions_of_the_runs_are_unknown():
    runs = with_ensemble(10.0, 100.0, 190.0, 280.0).forecasts[1]

    told = lend_directions(Briefing(at=scenes.NOW, forecasts=(runs,))).forecasts[0]

    assert np.isnan(told.quantities[FROM]).all()


def test_runs_with_directions_of_their_own_keep_them():
    single, _ = with_ensemble(10.0, 100.0, 190.0, 280.0).forecasts
    runs = scenes.forecast(*({FROM: 45.0},) * 6, models=default_ensemble() * 6)

    told = lend_directions(Briefing(at=scenes.NOW, forecasts=(single, runs))).forecasts[1]

    assert (told.quantities[FROM] == 45.0).all()
