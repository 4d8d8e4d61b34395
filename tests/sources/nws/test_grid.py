from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.weather import Forecast
from safety_check.sources.nws.grid import parse
from safety_check.sources.nws.point import Point, parse_point, place, query
from safety_check.sources.nws.weather_codes import CODES, weather_code
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, absolute, any_bytes, at, provenance

KNOT = 1852 / 3600  # m/s, exact; every wind of the recordings is a whole number of knots
RECORDED = ("recorded", "noaa", "nws")
WAVES = "sea_surface_wave_significant_height"

# The recordings with relative times were made at these minutes: the only ones, within the
# hour, at which their hours and their seconds meet.
SEEN = {"gridpoint_SEW_96_55.json": "40:53", "gridpoint_OKX_1_1.json": "32:04"}


def recorded(name: str) -> bytes:
    return (shared_folder(*RECORDED) / name).read_bytes()


def grid(name: str) -> Forecast:
    if name in SEEN:
        body = absolute(recorded(f"relative_time/{name}"), at(f"2026-03-04T21:{SEEN[name]}"))
        return parse(body, provenance())
    return parse(recorded(name), provenance())


def value(forecast: Forecast, quantity: str, hour: str) -> float:
    row = list(forecast.time.astype(str)).index(f"{hour}:00:00")
    return float(forecast.quantities[quantity][0, row])


# -- recordings; every expected value was read in the file by eye -----------------------------

SPOTS = [
    # windSpeed 11.112 km/h is 6 kt in the hour from 12:00; windGust 20.372 km/h, 11 kt in
    # that hour, stands at its end.
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "wind_speed", "2024-02-23T12", 6 * KNOT),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "wind_speed", "2024-02-23T15", 10 * KNOT),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "wind_speed_of_gust", "2024-02-23T13", 11 * KNOT),
    # one interval of two hours from 13:00: 25.928 km/h is 14 kt
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "wind_speed_of_gust", "2024-02-23T14", 14 * KNOT),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "wind_speed_of_gust", "2024-02-23T15", 14 * KNOT),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "wind_speed_of_gust", "2024-02-23T16", 16 * KNOT),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "wind_from_direction", "2024-02-23T17", 340),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "air_temperature", "2024-03-02T09", 283.15),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "relative_humidity", "2024-02-23T12", 0.93),
    # P1DT22H from 12:00: the last hour is 09:00 two days later
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "visibility_in_air", "2024-02-25T09", 16093.44),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "weather_code", "2024-02-23T14", 45),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "weather_code", "2024-02-25T00", 0),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "weather_code", "2024-02-28T11", 80),
    ("gridpoint_BMX_32_69_20240223T1840Z.json", "weather_code", "2024-02-28T12", 95),
    ("gridpoint_TAE_58_65_20220204T0315Z.json", "wind_speed", "2022-02-03T22", 11 * KNOT),
    ("gridpoint_TAE_58_65_20220204T0315Z.json", "wind_speed_of_gust", "2022-02-03T23", 16 * KNOT),
    ("gridpoint_MPX_108_72_20240111T1712Z.json", "wind_speed", "2024-01-11T12", 13 * KNOT),
    ("gridpoint_MPX_108_72_20240111T1712Z.json", "probability_of_thunder", "2024-01-12T12", 0.01),
    ("gridpoint_MPX_108_72_20240111T1712Z.json", "probability_of_thunder", "2024-01-12T11", 0),
    ("gridpoint_MPX_108_72_20240111T1712Z.json", "air_temperature", "2024-01-11T12", 268.15),
    ("gridpoint_OKX_1_1.json", "wind_speed", "2026-03-04T14", 3 * KNOT),
    ("gridpoint_OKX_1_1.json", "wind_speed_of_gust", "2026-03-04T16", 8 * KNOT),
    ("gridpoint_OKX_1_1.json", "weather_code", "2026-03-04T13", 45),
    ("gridpoint_SEW_96_55.json", "wind_speed", "2026-03-04T15", 6 * KNOT),
]


@pytest.mark.parametrize(("name", "quantity", "hour", "expected"), SPOTS)
def test_a_recorded_grid_has_the_values_that_stand_in_it(name, quantity, hour, expected):
    # a conversion from km/h back to knots rounds in the last digits only
    assert value(grid(name), quantity, hour) == pytest.approx(expected, rel=1e-9, abs=1e-9)


GRIDS = sorted({name for name, *_ in SPOTS})


@pytest.mark.parametrize("name", GRIDS)
def test_a_recorded_grid_has_whole_hours_without_a_gap_and_one_member(name):
    found = grid(name)

    assert set(np.diff(found.time)) == {np.timedelta64(3600, "s")}
    assert found.models == ("nws",)
    assert found.members == ("",)
    assert {quantity.shape for quantity in found.quantities.values()} == {(1, len(found.time))}


@pytest.mark.parametrize("name", GRIDS)
def test_no_recorded_grid_claims_to_know_the_waves(name):
    # inland the layer is empty; the shore cells carry a week of zeros
    assert np.isnan(grid(name).quantities[WAVES]).all()


@pytest.mark.parametrize("name", GRIDS)
def test_the_wind_of_a_recorded_grid_is_whole_knots(name):
    wind = grid(name).quantities["wind_speed"] / KNOT

    np.testing.assert_allclose(wind, np.round(wind), atol=1e-9)  # rounding of km/h


def test_the_age_of_a_grid_is_that_of_its_making_not_of_its_receipt():
    found = grid("gridpoint_BMX_32_69_20240223T1840Z.json")

    assert found.provenance.issued == at("2024-02-23T18:40:54")
    assert found.provenance.model == "BMX 32,69"
    assert found.cell == pytest.approx(
        (33.2072, -87.5685), abs=1e-4
    )  # mean of its corners, by hand


def test_a_gust_layer_that_ends_early_leaves_the_rest_unknown():
    body = json.loads(recorded("gridpoint_BMX_32_69_20240223T1840Z.json"))
    del body["properties"]["windGust"]["values"][-1]  # P8H from 05:00 on the last day

    found = parse(json.dumps(body).encode(), provenance())

    assert math.isnan(value(found, "wind_speed_of_gust", "2024-03-02T06"))
    assert value(found, "wind_speed", "2024-03-02T06") == pytest.approx(4 * KNOT)


def test_a_humidity_of_zero_is_a_fault_not_a_desert():
    # the recorded cell ends with relativeHumidity 65, then 0 from three hours before its end
    humidity = row(grid("gridpoint_OKX_1_1.json"), "relative_humidity")

    assert humidity[-5:] == [0.65, NAN, NAN, NAN, NAN]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        (
            "points_42.745_-73.752.json",
            Point(
                "/gridpoints/ALY/71,67", "/gridpoints/ALY/71,67/stations", "America/New_York", "ALY"
            ),
        ),
        (
            "points_13.444_144.778_guam.json",
            Point("/gridpoints/GUM/47,48", "/gridpoints/GUM/47,48/stations", "Pacific/Guam", "GUM"),
        ),
    ],
)
def test_a_recorded_point_leads_to_its_grid_and_stations(name, expected):
    assert parse_point(recorded(name), provenance()) == expected


FAULTS = [
    ("301_adjust_point_precision.json", "Adjusting Precision"),
    ("404_marine_forecast_not_supported.json", "Forecasts for marine areas"),
    ("500_unexpected_problem.json", "unexpected problem"),
    ("503_forecast_grid_expired.json", "has expired"),
    ("503_unavailable_web_service.json", "currently unavailable"),
]


@pytest.mark.parametrize(("name", "words"), FAULTS)
@pytest.mark.parametrize("reading", [parse, parse_point])
def test_a_recorded_fault_is_told_in_the_services_own_words(name, words, reading):
    with pytest.raises(DataError, match=words):
        reading(recorded(f"errors/{name}"), provenance())


@pytest.mark.parametrize(
    "name",
    ["forecast_BMX_32_69_20240223T1840Z.json", "forecast_hourly_BMX_32_69_20240223T1840Z.json"],
)
def test_the_text_forecast_is_not_taken_for_a_grid(name):
    with pytest.raises(DataError, match="no value in a known unit"):
        parse(recorded(name), provenance())


# -- answers made by hand ---------------------------------------------------------------------

HOUR = "2026-06-01T06:00:00+00:00"


def layer(amount: object, uom: str | None = None, span: str = f"{HOUR}/PT3H") -> dict[str, Any]:
    told = {"values": [{"validTime": span, "value": amount}]}
    return told if uom is None else {"uom": uom, **told}


def answer(**layers: object) -> dict[str, Any]:
    good = {
        "updateTime": "2026-06-01T07:00:00+00:00",
        "validTimes": f"{HOUR}/PT6H",
        "gridId": "XYZ",
        "gridX": 1,
        "gridY": 2,
        "windSpeed": layer(18.0, "wmoUnit:km_h-1"),
        "windGust": layer(36.0, "wmoUnit:km_h-1"),
        "windDirection": layer(270, "wmoUnit:degree_(angle)"),
        "temperature": layer(10, "wmoUnit:degC"),
        "visibility": layer(5000, "wmoUnit:m"),
        "probabilityOfThunder": layer(30),
        "waveHeight": layer(0.5, "wmoUnit:m"),
        "weather": layer([{"coverage": "areas", "weather": "fog", "intensity": None}]),
    }
    return {"type": "Feature", "geometry": None, "properties": good | layers}


def parsed(**layers: object) -> Forecast:
    return parse(json.dumps(answer(**layers)).encode(), provenance())


def row(forecast: Forecast, quantity: str) -> list[float]:
    return list(forecast.quantities[quantity][0])


NAN = pytest.approx(math.nan, nan_ok=True)


def test_a_gust_stands_at_the_hour_that_ends_and_the_wind_at_the_hour_that_starts():
    found = parsed()

    assert row(found, "wind_speed") == [5, 5, 5, NAN, NAN, NAN, NAN]
    assert row(found, "wind_speed_of_gust") == [NAN, 10, 10, 10, NAN, NAN, NAN]


def test_waves_that_are_told_are_kept():
    assert row(parsed(), WAVES)[:4] == [0.5, 0.5, 0.5, NAN]


@pytest.mark.parametrize("still", [0, None])
def test_waves_of_zero_all_week_are_unknown(still):
    week = layer(0, "wmoUnit:m")
    week["values"].append({"validTime": "2026-06-01T09:00:00+00:00/PT3H", "value": still})

    assert np.isnan(parsed(waveHeight=week).quantities[WAVES]).all()


def test_a_calm_hour_between_waves_is_calm():
    week = layer(0, "wmoUnit:m")
    week["values"].append({"validTime": "2026-06-01T09:00:00+00:00/PT3H", "value": 0.3})

    assert row(parsed(waveHeight=week), WAVES)[2:4] == [0, 0.3]


UNITS = [  # the spelling, 18 of it in m/s
    ("wmoUnit:km_h-1", 5.0),
    ("unit:km_h-1", 5.0),  # until about 2020
    ("unit:m_s-1", 18.0),  # earlier still
    ("wmoUnit:m_s-1", 18.0),
    ("nwsUnit:km_h-1", 5.0),
    ("wmoUnit:kt", math.nan),
    ("wmoUnit:mi_h-1", math.nan),
    ("else:km_h-1", math.nan),
    ("km/h", math.nan),
    (None, math.nan),
]


@pytest.mark.parametrize(("uom", "speed"), UNITS)
def test_a_unit_is_verified_and_a_strange_one_makes_the_layer_unknown(uom, speed):
    assert row(parsed(windSpeed=layer(18, uom)), "wind_speed")[0] == pytest.approx(
        speed, nan_ok=True
    )


ABSURD = [
    ("windSpeed", "wind_speed", -1, "wmoUnit:km_h-1"),
    ("windSpeed", "wind_speed", 9999, "wmoUnit:km_h-1"),
    ("windGust", "wind_speed_of_gust", 99999, "wmoUnit:km_h-1"),
    ("temperature", "air_temperature", 4321, "wmoUnit:degC"),
    ("temperature", "air_temperature", -300, "wmoUnit:degC"),
    ("windDirection", "wind_from_direction", 999, "wmoUnit:degree_(angle)"),
    ("probabilityOfThunder", "probability_of_thunder", 130, None),
    ("windSpeed", "wind_speed", "18", "wmoUnit:kt"),
    ("windSpeed", "wind_speed", True, "wmoUnit:km_h-1"),
    ("windSpeed", "wind_speed", None, "wmoUnit:km_h-1"),
    ("windSpeed", "wind_speed", [18], "wmoUnit:km_h-1"),
]


@pytest.mark.parametrize(("name", "quantity", "amount", "uom"), ABSURD)
def test_a_value_beyond_nature_or_no_number_is_unknown(name, quantity, amount, uom):
    found = parsed(**{name: layer(amount, uom)})

    assert np.isnan(found.quantities[quantity]).all()


@pytest.mark.parametrize("broken", [None, {}, {"values": []}, {"values": None}, [], "calm", 0])
def test_an_empty_or_malformed_layer_is_unknown_never_zero(broken):
    assert np.isnan(parsed(windGust=broken).quantities["wind_speed_of_gust"]).all()


def test_a_layer_that_is_left_out_is_unknown():
    body = answer()
    del body["properties"]["windGust"]

    found = parse(json.dumps(body).encode(), provenance())

    assert np.isnan(found.quantities["wind_speed_of_gust"]).all()


def test_an_interval_that_can_not_be_read_is_a_gap():
    two = layer(18, "wmoUnit:km_h-1")
    two["values"].append({"validTime": "2026-06-01T09:00:00+00:00/P1M", "value": 18})

    assert row(parsed(windSpeed=two), "wind_speed") == [5, 5, 5, NAN, NAN, NAN, NAN]


def test_a_repeated_hour_never_lowers_the_wind():
    two = layer(18, "wmoUnit:km_h-1")
    two["values"].insert(0, {"validTime": f"{HOUR}/PT1H", "value": 72})
    two["values"].append({"validTime": f"{HOUR}/PT2H", "value": 3.6})

    assert row(parsed(windSpeed=two), "wind_speed")[:3] == [20, 5, 5]


def test_an_old_run_says_that_it_is_old():
    found = parsed(updateTime="2019-01-01T00:00:00+00:00")

    assert found.provenance.issued == at("2019-01-01T00:00:00")


REFUSED: dict[str, dict[str, Any]] = {
    "no update time": {"updateTime": None},
    "update time without zone": {"updateTime": "2026-06-01T07:00:00"},
    "no valid times": {"validTimes": None},
    "a year of hours": {"validTimes": f"{HOUR}/P365D"},
    "until the end of time": {"validTimes": f"{HOUR}/P99999999D"},
    "nothing known": {
        name: None
        for name in answer()["properties"]
        if name not in ("updateTime", "validTimes", "gridId", "gridX", "gridY")
    },
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_grid_without_age_hours_or_values_means_nothing(case):
    with pytest.raises(DataError, match="a service"):
        parsed(**REFUSED[case])


@pytest.mark.parametrize("case", NO_JSON)
@pytest.mark.parametrize("reading", [parse, parse_point])
def test_what_is_no_answer_is_refused(case, reading):
    with pytest.raises(DataError, match="Try again"):
        reading(NO_JSON[case], provenance())


@pytest.mark.parametrize("elsewhere", ["https://evil.example/steal", "http://[", None, 7, ""])
def test_a_point_is_not_followed_out_of_the_grids(elsewhere):
    properties = {"forecastGridData": elsewhere, "observationStations": elsewhere}

    with pytest.raises(DataError, match="no forecastGridData"):
        parse_point(json.dumps({"properties": properties}).encode(), provenance())


def test_a_link_gives_a_path_and_never_a_host():
    properties = {
        "forecastGridData": "https://evil.example/gridpoints/A/1,2?x=1",
        "observationStations": "https://api.weather.gov/gridpoints/A/1,2/stations",
    }

    found = parse_point(json.dumps({"properties": properties}).encode(), provenance())

    assert found.grid == "/gridpoints/A/1,2"


# The service redirects more than four decimals (recorded), and trailing zeros (from memory).
PLACES = [
    (45.45805556, -122.66361111, "/points/45.458,-122.664"),
    (43.0, -89.5, "/points/43,-89.5"),
    (-0.00001, 0.00001, "/points/0,0"),
    (60.1234, 170.0, "/points/60.123,170"),
]


@pytest.mark.parametrize(("latitude", "longitude", "path"), PLACES)
def test_a_place_is_asked_for_with_three_decimals_at_most(latitude, longitude, path):
    assert query(latitude, longitude) == path


@cases(100)
@given(st.floats(-90, 90), st.floats(-180, 180))
def test_a_place_stays_within_ten_metres_of_itself(latitude, longitude):
    back = [float(part) for part in place("nws_alerts", latitude, longitude).split(",")]

    assert back == pytest.approx([latitude, longitude], abs=5.1e-5)  # half the last decimal


# -- weather words ----------------------------------------------------------------------------


def said(*words: str | None, **more: object) -> list[dict[str, object]]:
    return [{"weather": word, "coverage": None, "intensity": None, **more} for word in words]


WORDS = [
    (said(None), 0),
    (said("fog"), 45),
    (said("rain", intensity="light"), 61),
    (said("rain", intensity="heavy"), 65),
    (said("rain", intensity="very_light"), 61),
    (said("rain_showers", "thunderstorms", coverage="slight_chance"), 95),
    (said("thunderstorms", attributes=["small_hail"]), 96),
    (said("rain", "fog", intensity="heavy"), 45),  # fog endangers more than rain
    (said("fog", "thunderstorms"), 95),
    (said("snow", intensity="moderate"), 73),
    (said("water_spouts"), 95),
    (said("frogs"), math.nan),
    (said("frogs", "rain"), math.nan),  # what may hide behind a new word is not known
    (said("frogs", "thunderstorms"), 95),
    ([], math.nan),
    (None, math.nan),
    ("fog", math.nan),
    ([{"coverage": "areas"}], math.nan),
    ([None], math.nan),
]


@pytest.mark.parametrize(("words", "code"), WORDS)
def test_weather_words_become_the_code_that_matters_most(words, code):
    assert weather_code(words) == pytest.approx(code, nan_ok=True)


# WMO code table 4677 as Open-Meteo documents it: light, moderate, heavy. Where it has no number,
# that of the nearest danger: a storm for waterspouts, fog for what hides the view, freezing rain
# for freezing spray, snow grains for ice pellets.
TABLE = {
    "thunderstorms": (95, 95, 95), "water_spouts": (95, 95, 95), "hail": (96, 96, 99),
    "fog": (45, 45, 45), "smoke": (45, 45, 45), "volcanic_ash": (45, 45, 45),
    "blowing_dust": (45, 45, 45), "blowing_sand": (45, 45, 45), "freezing_fog": (48, 48, 48),
    "ice_fog": (48, 48, 48), "drizzle": (51, 53, 55), "freezing_drizzle": (56, 56, 57),
    "rain": (61, 63, 65), "freezing_rain": (66, 66, 67), "freezing_spray": (66, 66, 67),
    "snow": (71, 73, 75), "blowing_snow": (71, 73, 75), "ice_crystals": (77, 77, 77),
    "sleet": (77, 77, 77), "rain_showers": (80, 81, 82), "snow_showers": (85, 85, 86),
    "frost": (0, 0, 0), "haze": (0, 0, 0),
}  # fmt: skip


@pytest.mark.parametrize("word", TABLE)
def test_each_weather_word_has_a_code_for_light_moderate_and_heavy(word):
    for strength, code in zip(("light", "moderate", "heavy"), TABLE[word], strict=True):
        assert weather_code(said(word, intensity=strength)) == code
    assert weather_code(said(word)) == TABLE[word][1]  # where nothing is said it is moderate
    assert weather_code(said(word, intensity="very_light")) == TABLE[word][0]


@pytest.mark.parametrize(
    ("attributes", "code"),
    [
        *((["small_hail"], 96), (["large_hail"], 99), (["small_hail", "large_hail"], 99)),
        *((["gusty_wind"], 95), (None, 95), ("large_hail", 95)),
    ],
)
def test_hail_beside_a_thunderstorm_raises_its_code(attributes, code):
    assert weather_code(said("thunderstorms", attributes=attributes)) == code


def test_weather_words_use_only_numbers_that_the_other_forecasts_use():
    # The code table of Open-Meteo's documentation, 2026-08-18.
    used = {0, 1, 2, 3, 45, 48, 51, 53, 55, 56, 57, 61, 63, 65, 66, 67, 71, 73, 75, 77}
    used |= {80, 81, 82, 85, 86, 95, 96, 99}

    assert {code for codes in CODES.values() for code in codes} <= used


# -- any bytes --------------------------------------------------------------------------------


@cases(250)
@given(any_bytes(answer()))
def test_any_bytes_are_a_forecast_or_refused(body):
    try:
        found = parse(body, provenance())
    except DataError:
        return
    assert isinstance(found, Forecast)
    assert {quantity.shape for quantity in found.quantities.values()} == {(1, len(found.time))}


@cases(150)
@given(
    any_bytes(
        {
            "properties": {
                "forecastGridData": "https://api.weather.gov/gridpoints/A/1,2",
                "observationStations": "https://api.weather.gov/gridpoints/A/1,2/stations",
                "timeZone": "UTC",
                "gridId": "A",
            }
        }
    )
)
def test_any_bytes_are_a_point_or_refused(body):
    try:
        found = parse_point(body, provenance())
    except DataError:
        return
    assert found.grid.startswith("/gridpoints/")


# -- what is not made, and where it holds -----------------------------------------------------


@pytest.mark.parametrize(
    ("layers", "not_made"),
    [
        ({}, ()),
        ({"waveHeight": {"uom": "wmoUnit:m", "values": []}}, (WAVES,)),
        ({"waveHeight": layer(0, "wmoUnit:m")}, (WAVES,)),
        ({"waveHeight": layer(1, "wmoUnit:m")}, ()),
        ({"waveHeight": {"values": ["?"]}}, ()),
        ({"waveHeight": None}, ()),
        ({"probabilityOfThunder": {"values": []}}, ("probability_of_thunder",)),
        ({"probabilityOfThunder": layer(0)}, ()),  # no thunder is a forecast
        ({"windGust": {"values": []}}, ()),  # every office makes gusts: an empty layer is a loss
    ],
)
def test_an_optional_layer_that_is_empty_is_not_made_here(layers, not_made):
    assert parsed(**layers).not_made == not_made


def square(west: float, south: float, *more: float) -> list[list[float]]:
    east, north = west + 2, south + 1
    corners = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    return [[*corner, *more] for corner in corners]


@pytest.mark.parametrize(
    ("geometry", "centre"),
    [
        ({"type": "Polygon", "coordinates": [square(-100, 44)]}, (44.5, -99)),
        ({"type": "Polygon", "coordinates": [square(179, 89.5)]}, (90, 180)),
        ({"type": "Polygon", "coordinates": [square(179.1, 10)]}, None),
        ({"type": "Polygon", "coordinates": [square(10, 89.6)]}, None),
        ({"type": "Polygon", "coordinates": [square(-100, 44, 0.0)]}, None),
        ({"type": "Polygon", "coordinates": [[[1, 2], [3]]]}, None),
        ({"type": "Polygon", "coordinates": [[[1, 2], 3, [1, 2]]]}, None),
        ({"type": "Point", "coordinates": [1, 2]}, None),
        (None, None),
    ],
)
def test_the_cell_is_told_by_its_middle_where_its_outline_can_be_read(geometry, centre):
    body = json.dumps({**answer(), "geometry": geometry}).encode()

    assert parse(body, provenance()).cell == centre


@pytest.mark.parametrize("words", [5, True, {"weather": "fog"}])
def test_words_in_no_list_mean_nothing(words):
    assert math.isnan(weather_code(words))


@pytest.mark.parametrize(
    ("told", "height"),
    [
        ({"unitCode": "wmoUnit:m", "value": 300}, 300.0),
        ({"unitCode": "wmoUnit:ft", "value": 300}, None),
        ({"value": 300}, None),
        (None, None),
    ],
)
def test_the_height_of_a_cell_is_known_in_metres_alone(told, height):
    assert parsed(elevation=told).elevation == height


@pytest.mark.parametrize(("days", "taken"), [(16, True), (17, False)])
def test_a_grid_spans_sixteen_days_at_most(days, taken):
    span = f"{HOUR}/P{days}D"
    if taken:
        assert len(parsed(validTimes=span).time) == 24 * days + 1
    else:
        with pytest.raises(DataError, match="no span of at most 16 days"):
            parsed(validTimes=span)


def test_of_two_intervals_of_weather_in_one_hour_the_graver_counts():
    both = layer(said("rain", intensity="light"))
    both["values"].append({"validTime": f"{HOUR}/PT1H", "value": said("thunderstorms")})

    assert row(parsed(weather=both), "weather_code")[:2] == [95, 61]


def test_a_wave_in_one_interval_means_that_waves_are_made_here():
    week = layer(0, "wmoUnit:m")
    week["values"].append({"validTime": "2026-06-01T09:00:00+00:00/PT3H", "value": 0.3})

    assert parsed(waveHeight=week).not_made == ()


def test_fair_words_stay_fair_whatever_stands_beside_them():
    assert weather_code(said("haze", attributes=["gusty_wind"])) == 0
    assert weather_code(said("haze", attributes=["large_hail"])) == 99


@pytest.mark.parametrize("gone", ["forecastGridData", "observationStations"])
def test_a_point_needs_both_of_its_links(gone):
    links = dict.fromkeys(("forecastGridData", "observationStations"), "/gridpoints/A/1,2")

    with pytest.raises(DataError, match="no forecastGridData or no observationStations"):
        parse_point(json.dumps({"properties": {**links, gone: "/zones"}}).encode(), provenance())


@pytest.mark.parametrize("uom", [None, "", "wmoUnit:percent", "unit:percent"])
def test_a_chance_of_thunder_is_in_percent_with_or_without_its_unit(uom):
    found = parsed(probabilityOfThunder=layer(30, uom))

    assert row(found, "probability_of_thunder")[0] == pytest.approx(0.3)
    other = parsed(probabilityOfThunder=layer(30, "wmoUnit:m"))
    assert np.isnan(other.quantities["probability_of_thunder"]).all()


def overlapping(one: object, other: object, uom: str) -> dict[str, Any]:
    told = layer(one, uom)
    told["values"].append({"validTime": f"{HOUR}/PT3H", "value": other})
    return told


@pytest.mark.parametrize(
    ("name", "quantity", "layers", "expected"),
    [
        ("windGust", "wind_speed_of_gust", (18, 36, "wmoUnit:km_h-1"), 10.0),
        ("windDirection", "wind_from_direction", (90, 100, "wmoUnit:degree_(angle)"), None),
        ("windDirection", "wind_from_direction", (90, 90, "wmoUnit:degree_(angle)"), 90.0),
        ("temperature", "air_temperature", (10, 20, "wmoUnit:degC"), None),
        ("relativeHumidity", "relative_humidity", (50, 60, "wmoUnit:percent"), None),
        ("relativeHumidity", "relative_humidity", (50, 50, "wmoUnit:percent"), 0.5),
        ("visibility", "visibility_in_air", (500, 1000, "wmoUnit:m"), 500.0),
        ("probabilityOfThunder", "probability_of_thunder", (10, 20, "wmoUnit:percent"), 0.2),
        ("waveHeight", WAVES, (0.5, 1.0, "wmoUnit:m"), 1.0),
    ],
)
def test_of_two_values_for_one_hour_the_more_dangerous_counts_or_none(
    name, quantity, layers, expected
):
    one, other, uom = layers
    for told in (overlapping(one, other, uom), overlapping(other, one, uom)):
        found = row(parsed(**{name: told}), quantity)[1]
        assert math.isnan(found) if expected is None else found == pytest.approx(expected)
