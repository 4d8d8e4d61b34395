"""A check and an outlook stay within their share of the free tier's calls, by its own rule."""

from __future__ import annotations

import pytest

from benchmarks.calls import PLACES, along_a_lake, calls_of
from safety_check.sources.open_meteo import forecast
from safety_check.sources.open_meteo.call_weight import call_weight

CHECK, OUTLOOK = 15.0, 25.0  # of the 10,000 calls of a day: 660 checks, 400 outlooks


@pytest.mark.one_in(6)
@pytest.mark.parametrize("place", PLACES)
def test_a_check_and_an_outlook_of_five_launches_cost_few_calls(place: str) -> None:
    assert 0 < calls_of([PLACES[place]]) <= CHECK
    assert 0 < calls_of(along_a_lake(PLACES[place])) <= OUTLOOK


@pytest.mark.parametrize(
    ("variables", "models", "days", "calls"),
    [
        # the examples of the service's pricing page, as the fact sheet of its API gives them
        (4, "ecmwf_ifs025_ensemble", 7, 20.4),
        (15, "", 7, 1.5),
        (10, "", 28, 2.0),
        (1, "", 7, 1.0),
    ],
)
def test_calls_are_counted_as_the_service_counts_them(variables, models, days, calls) -> None:
    query = {"hourly": ",".join("x" * variables), "forecast_days": str(days), "models": models}

    assert call_weight(query) == pytest.approx(calls)


def test_all_that_is_weighed_is_asked_of_the_cell_of_the_launch_and_wind_of_its_neighbours() -> (
    None
):
    assert len(forecast.query(45.0, -93.0)["hourly"].split(",")) == 10
