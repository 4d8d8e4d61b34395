"""MET Norway's forecasts, against the example of its documentation; nothing was seen live."""

from __future__ import annotations

import copy
import json
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.weather import Provenance
from safety_check.sources.met_norway.forecast import parse, query
from safety_check.sources.met_norway.symbols import CODES, weather_code
from tests.sources.fakes import met_norway
from tests.sources.spoiled import NO_JSON, spoiled_json

FETCHED = Provenance(
    "MET Norway", "", "", None, datetime(2020, 6, 10, 13, 30, tzinfo=UTC), recorded=False
)
UNITS = {
    "air_pressure_at_sea_level": "hPa",
    "air_temperature": "celsius",
    "fog_area_fraction": "%",
    "precipitation_amount": "mm",
    "probability_of_thunder": "%",
    "relative_humidity": "%",
    "wind_from_direction": "degrees",
    "wind_speed": "m/s",
    "wind_speed_of_gust": "m/s",
}


def row(time: str, wind: float, gust: float, symbol: str = "partlycloudy_day", rain: float = 0.0):
    """Return a row in the form of the documentation's excerpt (its page of the JSON format)."""
    return {
        "time": time,
        "data": {
            "instant": {
                "details": {
                    "air_pressure_at_sea_level": 1020.5,
                    "air_temperature": 20.7,
                    "fog_area_fraction": 0.0,
                    "relative_humidity": 48.6,
                    "wind_from_direction": 151.8,
                    "wind_speed": wind,
                    "wind_speed_of_gust": gust,
                }
            },
            "next_12_hours": {"summary": {"symbol_code": "partlycloudy_day"}, "details": {}},
            "next_1_hours": {
                "summary": {"symbol_code": symbol},
                "details": {"precipitation_amount": rain, "probability_of_thunder": 0.0},
            },
        },
    }


def answer(*rows: Any, place: tuple[float, ...] = (10, 60.1, 267)) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": list(place)},
        "properties": {
            "meta": {"updated_at": "2020-06-10T13:04:26Z", "units": dict(UNITS)},
            "timeseries": list(rows),
        },
    }


DOCUMENTED = answer(
    row("2020-06-10T13:00:00Z", 2.5, 6.6, rain=0.4),
    row("2020-06-10T14:00:00Z", 3.5, 5.0, symbol="heavyrainandthunder"),
    row("2020-06-10T15:00:00Z", 4.5, 7.0, symbol="fog"),
)


def read(told: Any):
    return parse(json.dumps(told).encode(), FETCHED)


def hours(told: Any, name: str) -> list[float]:
    return read(told).quantities[name][0].tolist()


def test_the_documented_answer_is_read_in_si_units_with_place_height_and_age():
    told = read(DOCUMENTED)

    assert told.time.astype(str).tolist() == [f"2020-06-10T{hour}:00:00" for hour in (13, 14, 15)]
    assert told.models == ("met_norway",)
    assert (told.cell, told.elevation) == ((60.1, 10.0), 267.0)
    assert told.provenance.issued == datetime(2020, 6, 10, 13, 4, 26, tzinfo=UTC)
    assert hours(DOCUMENTED, "wind_speed") == [2.5, 3.5, 4.5]
    assert hours(DOCUMENTED, "wind_from_direction") == [151.8] * 3
    assert hours(DOCUMENTED, "air_temperature") == pytest.approx([293.85] * 3)
    assert hours(DOCUMENTED, "relative_humidity") == pytest.approx([0.486] * 3)
    assert hours(DOCUMENTED, "weather_code") == [2.0, 95.0, 45.0]


def test_rain_of_the_next_hour_belongs_to_the_row_that_ends_it():
    rain = hours(DOCUMENTED, "precipitation_amount")

    assert np.isnan(rain[0])
    assert rain[1:] == [0.4, 0.0]


def test_a_gust_counts_in_its_own_hour_and_in_the_next():
    assert hours(DOCUMENTED, "wind_speed_of_gust") == [6.6, 6.6, 7.0]


def test_gusts_outside_the_area_that_has_them_are_said_not_to_be_made():
    told = read(answer(row("2020-06-10T13:00:00Z", 2.5, 6.6), place=(-79.4, 44.4, 220)))

    assert told.not_made == ("wind_speed_of_gust",)
    assert np.isnan(told.quantities["wind_speed_of_gust"]).all()


def test_gusts_that_are_missing_where_they_are_made_are_unknown():
    without = copy.deepcopy(DOCUMENTED)
    for one in without["properties"]["timeseries"]:
        del one["data"]["instant"]["details"]["wind_speed_of_gust"]

    told = read(without)

    assert told.not_made == ()
    assert np.isnan(told.quantities["wind_speed_of_gust"]).all()


def test_hours_between_rows_six_hours_apart_are_unknown():
    told = answer(row("2020-06-10T13:00:00Z", 2.5, 6.6), row("2020-06-10T19:00:00Z", 3.5, 5.0))

    assert np.isfinite(hours(told, "wind_speed")).tolist() == [True, *[False] * 5, True]


@pytest.mark.parametrize("name", ["wind_speed", "wind_from_direction", "air_temperature"])
def test_a_value_in_another_unit_is_unknown(name):
    told = copy.deepcopy(DOCUMENTED)
    told["properties"]["meta"]["units"][name] = "furlong"
    if name == "wind_speed":
        with pytest.raises(DataError, match="wind speed in a known unit"):
            read(told)
    else:
        assert np.isnan(hours(told, name)).all()


def test_an_hour_told_twice_with_different_winds_is_unknown():
    told = answer(
        row("2020-06-10T13:00:00Z", 2.5, 6.6),
        row("2020-06-10T13:00:00Z", 9.5, 12.0),
        row("2020-06-10T14:00:00Z", 3.5, 5.0),
    )

    assert np.isnan(hours(told, "wind_speed")).tolist() == [True, False]


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda told: told["properties"]["meta"].update(updated_at="2020-06-10T13:04"), "issue"),
        (lambda told: told["geometry"].update(coordinates=[]), "grid point"),
        (lambda told: told["properties"].update(timeseries=[]), "placed in time"),
        (lambda told: told["properties"]["timeseries"][0].update(time="soon"), "placed in time"),
        (
            lambda told: told["properties"]["timeseries"][0].update(time="2020-06-10T13:20:00Z"),
            "whole hours",
        ),
        (
            lambda told: told["properties"]["timeseries"][0].update(time="1990-06-10T13:00:00Z"),
            "whole hours",
        ),
        (lambda told: told["properties"].pop("meta"), "not as documented"),
    ],
)
def test_an_answer_without_age_place_or_hours_is_refused(change, reason):
    told = copy.deepcopy(DOCUMENTED)
    change(told)

    with pytest.raises(DataError, match=reason):
        read(told)


@given(st.binary(max_size=200))
def test_bytes_that_are_no_answer_are_a_data_error(body):
    with pytest.raises(DataError, match=r"^MET Norway: "):
        parse(body, FETCHED)


@pytest.mark.parametrize("body", NO_JSON.values(), ids=NO_JSON.keys())
def test_what_is_no_json_is_a_data_error(body):
    with pytest.raises(DataError, match=r"^MET Norway: "):
        parse(body, FETCHED)


@given(spoiled_json(DOCUMENTED))
def test_any_spoiled_answer_is_a_forecast_or_a_data_error(body):
    try:
        found = parse(body, FETCHED)
    except DataError:
        return
    shape = (1, len(found.time))
    assert all(values.shape == shape for values in found.quantities.values())


# -- query and symbols ---------------------------------------------------------------------------


def test_the_query_has_three_decimals_and_the_height_of_the_water_where_it_is_declared():
    assert query(60.12345, -6.5) == {"lat": "60.123", "lon": "-6.500"}
    assert query(60.12345, -6.5, 41.6)["altitude"] == "42"


@pytest.mark.parametrize("symbol", [name for name in CODES if "rain" in name or "snow" in name])
def test_thunder_counts_before_what_falls(symbol):
    assert weather_code(f"{symbol}andthunder_day") == 95.0


def test_the_misspelled_symbols_of_the_service_are_storms_too():
    # "lightss..." is how the service's list of symbols spells two of them
    assert weather_code("lightssnowshowersandthunder_polartwilight") == 95.0


def test_the_first_hour_lies_ahead_of_a_trip_that_begins_after_it():
    told = met_norway(False)["properties"]["timeseries"]

    first = datetime.fromisoformat(told[0]["time"])
    assert first + timedelta(hours=len(told) - 1) == datetime.fromisoformat(told[-1]["time"])


# -- at the bounds -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "cell"),
    [
        *(((180, 90, 0), (90, 180)), ((-180, -90, 0), (-90, -180)), ((0, 0), (0, 0))),
        *(((180.5, 0), None), ((0, 90.5), None), ((200, 0), None), ((0, 100), None)),
        *(((10,), None), ((None, 60), None)),
    ],
)
def test_a_grid_point_lies_on_this_earth(place, cell):
    told = answer(row("2020-06-10T13:00:00Z", 2.5, 6.6), place=place)

    if cell is None:
        with pytest.raises(DataError, match="no grid point"):
            read(told)
    else:
        assert read(told).cell == cell
        assert read(told).elevation == (0.0 if len(place) == 3 else None)


@pytest.mark.parametrize(("height", "asked"), [(-500.4, "-500"), (-600.0, "-500"), (-3.0, "-3")])
def test_no_water_lies_lower_than_five_hundred_metres_below_the_sea(height, asked):
    assert query(31.5, 35.5, height)["altitude"] == asked


@pytest.mark.parametrize(
    ("rain", "known"), [(0.0, 0.0), (400.0, 400.0), (400.1, None), (-0.1, None), (None, None)]
)
def test_a_rain_that_no_hour_had_is_unknown(rain, known):
    told = answer(
        row("2020-06-10T13:00:00Z", 2.5, 6.6, rain=rain), row("2020-06-10T14:00:00Z", 3.5, 5.0)
    )

    found = hours(told, "precipitation_amount")[1]
    assert np.isnan(found) if known is None else found == known
    told["properties"]["meta"]["units"]["precipitation_amount"] = "inch"
    assert np.isnan(hours(told, "precipitation_amount")).all()


def test_the_rows_span_twenty_days_at_most():
    first, last = row("2020-06-10T13:00:00Z", 2.5, 6.6), row("2020-06-30T13:00:00Z", 2.5, 6.6)

    assert len(read(answer(first, last)).time) == 20 * 24 + 1
    last["time"] = "2020-06-30T14:00:00Z"
    with pytest.raises(DataError, match="whole hours of a few days"):
        read(answer(first, last))


# WMO code table 4677: 0 to 3 cloud that grows, 45 fog, 61, 63, 65 rain that is slight, moderate and
# heavy, 71, 73, 75 snow, 80, 81, 82 showers of rain, 85, 86 showers of snow, slight and more.
SYMBOLS = {
    **{"clearsky": 0, "fair": 1, "partlycloudy": 2, "cloudy": 3, "fog": 45},
    **{"lightrain": 61, "rain": 63, "heavyrain": 65},
    **{"lightsleet": 71, "sleet": 73, "heavysleet": 75},
    **{"lightsnow": 71, "snow": 73, "heavysnow": 75},
    **{"lightrainshowers": 80, "rainshowers": 81, "heavyrainshowers": 82},
    **{"lightsleetshowers": 85, "sleetshowers": 85, "heavysleetshowers": 86},
    **{"lightsnowshowers": 85, "snowshowers": 85, "heavysnowshowers": 86},
}


def test_each_symbol_of_the_service_has_the_number_of_its_weather():
    assert {name: weather_code(name) for name in SYMBOLS} == SYMBOLS
    assert {weather_code(f"{name}_night") for name in SYMBOLS} == set(SYMBOLS.values())
