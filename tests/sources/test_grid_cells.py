"""Several cells make one forecast whose wind is the windiest, and the sea only ever adds."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.sources.grid_cells import SEA, add_sea, windier_cell
from tests import scenes

NOTE = "the windier of two cells"


def cell(*winds: float, models: tuple[str, ...] = ("a", "b"), turned: float = 270.0):
    members = [
        {"wind_speed": wind, "wind_speed_of_gust": wind + 2, "wind_from_direction": turned}
        for wind in winds
    ]
    return scenes.forecast(*members, models=models)


def at_first_hour(forecast, name):
    return forecast.quantities[name][:, 0].tolist()


def test_the_wind_of_each_model_is_that_of_its_windier_cell():
    one = windier_cell([cell(3.0, 8.0), cell(5.0, 6.0, turned=90.0)], NOTE)

    assert one.models == ("a", "b")
    assert at_first_hour(one, "wind_speed") == [5.0, 8.0]
    assert at_first_hour(one, "wind_speed_of_gust") == [7.0, 10.0]
    assert at_first_hour(one, "wind_from_direction") == [90.0, 270.0]


def test_all_but_the_wind_is_that_of_the_first_cell():
    warm = replace(cell(5.0, 5.0), quantities={**cell(5.0, 5.0).quantities})
    warm.quantities["air_temperature"] = warm.quantities["air_temperature"] + 9

    one = windier_cell([cell(3.0, 3.0), warm], NOTE)

    assert at_first_hour(one, "air_temperature") == at_first_hour(cell(3.0, 3.0), "air_temperature")


def test_a_wind_that_one_cell_does_not_know_is_not_known():
    assert np.isnan(
        at_first_hour(windier_cell([cell(3.0, 8.0), cell(np.nan, 6.0)], NOTE), "wind_speed")[0]
    )


def test_a_model_that_spoke_in_one_cell_only_speaks():
    one = windier_cell([cell(3.0, models=("a",)), cell(5.0, 6.0)], NOTE)

    assert (one.models, at_first_hour(one, "wind_speed")) == (("a", "b"), [5.0, 6.0])


def test_hours_that_one_cell_does_not_reach_are_not_known():
    short = cell(3.0, 3.0)
    short = replace(
        short,
        time=short.time[:-1],
        quantities={name: values[:, :-1] for name, values in short.quantities.items()},
    )

    wind = windier_cell([cell(5.0, 5.0), short], NOTE).quantities["wind_speed"]

    assert np.isnan(wind[:, -1]).all()
    assert np.isfinite(wind[:, :-1]).all()


def test_it_is_as_old_as_its_oldest_cell_and_says_what_was_done():
    origin = scenes.FROM_A_FILE
    assert origin.issued is not None
    earlier = replace(origin, issued=origin.issued - timedelta(hours=5), model="GFS")
    live = replace(origin, recorded=False, model="GFS")

    made = windier_cell(
        [replace(cell(3.0, 3.0), provenance=live), replace(cell(3.0, 3.0), provenance=earlier)],
        NOTE,
    ).provenance

    assert (made.issued, made.recorded) == (earlier.issued, True)
    assert made.model == f"GFS; {NOTE}"


def test_one_cell_stays_as_it_is():
    alone = cell(3.0, 8.0)

    assert windier_cell([alone], NOTE) is alone


@given(st.lists(st.lists(st.floats(0, 40), min_size=2, max_size=2), min_size=1, max_size=3))
def test_no_cell_ever_calms_the_wind(winds):
    wind = windier_cell([cell(*one_wind) for one_wind in winds], NOTE).quantities["wind_speed"][
        :, 0
    ]

    assert wind.tolist() == np.array(winds).max(axis=0).tolist()


# -- the sea -----------------------------------------------------------------------------------


def sea(height: float):
    whole = scenes.forecast({SEA: height}, models=("sea",))
    return replace(whole, quantities={SEA: whole.quantities[SEA]})


@pytest.mark.parametrize(
    ("own", "laid", "known"),
    [(np.nan, 0.4, 0.4), (0.2, 0.4, 0.4), (0.6, 0.4, 0.6), (0.6, np.nan, 0.6)],
)
def test_the_sea_only_ever_adds(own, laid, known):
    air = scenes.forecast({SEA: own}, {SEA: own})

    assert at_first_hour(add_sea(air, sea(laid)), SEA) == [known, known]


def test_the_sea_is_laid_on_a_forecast_that_knew_none():
    air = scenes.forecast()
    assert SEA not in air.quantities

    assert at_first_hour(add_sea(air, sea(0.4)), SEA) == [0.4]


def test_the_highest_of_several_seas_is_added():
    several = scenes.forecast({SEA: 0.3}, {SEA: 0.5}, models=("one", "other"))

    assert at_first_hour(add_sea(scenes.forecast({SEA: 0.4}), several), SEA) == [0.5]


def test_a_model_is_absent_where_no_cell_has_it():
    one = replace(cell(3.0, 3.0), absent=("x", "y"))
    other = replace(cell(3.0, 3.0), absent=("y", "z"))

    assert windier_cell([one, other], NOTE).absent == ("y",)
