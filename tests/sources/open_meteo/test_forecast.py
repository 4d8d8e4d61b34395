from __future__ import annotations

import asyncio
import json
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Forecast
from safety_check.sources import registry
from safety_check.sources.http import client
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.open_meteo import forecast as open_meteo
from safety_check.sources.open_meteo.forecast import UNNAMED, parse
from safety_check.sources.open_meteo.variables import FORECAST
from tests import scenes
from tests.properties import cases
from tests.sources.fake_server import (
    FakeServer,
    cut_off,
    gzipped,
    html_page,
    json_reply,
    status,
    too_many,
)
from tests.sources.open_meteo_answers import (
    GOOD,
    NOON,
    SIX,
    TIMES,
    body,
    by_model,
    document,
    ensemble,
    provenance,
)

FOUR = registry.default_forecast()


def forecast(columns=None, models_asked=("ecmwf_ifs",), **rest) -> Forecast:
    return parse(body(columns, **rest), provenance(), models_asked)


def hours(told, quantity, member=0):
    return told.quantities[quantity][member].tolist()


def nan_or(values):
    return pytest.approx([np.nan if value is None else value for value in values], nan_ok=True)


PRESSURE = "air_pressure_at_mean_sea_level"
CAPE = "atmosphere_convective_available_potential_energy"


# -- quantities and units ------------------------------------------------------------------------


def test_every_quantity_of_the_table_is_there_and_unknown_where_it_did_not_come():
    told = forecast()

    assert told.quantities.keys() == FORECAST.keys()
    assert hours(told, "wind_speed") == [3.0, 4.0, 5.0]
    assert np.isnan(told.quantities["visibility_in_air"]).all()
    assert told.cell == (44.5, -93.25)
    assert told.provenance.model == "ecmwf_ifs"


# Exact by definition: 1 mi = 1609.344 m, 1 nmi = 1852 m, 0 °C = 273.15 K, 1 ft = 0.3048 m,
# 1 in = 25.4 mm; 1 mm of water on 1 m² is 1 kg (density 1000 kg m⁻³ by convention).
SAME = [
    ("wind_speed_10m", "wind_speed", "km/h", 36.0, 10.0),
    ("wind_speed_10m", "wind_speed", "mp/h", 10.0, 4.4704),
    ("wind_speed_10m", "wind_speed", "kn", 36.0, 18.52),
    ("wind_speed_10m", "wind_speed", "m/s", 7.0, 7.0),
    ("wind_gusts_10m", "wind_speed_of_gust", "kn", 36.0, 18.52),
    ("temperature_2m", "air_temperature", "°F", 32.0, 273.15),
    ("temperature_2m", "air_temperature", "°C", -40.0, 233.15),
    ("temperature_2m", "air_temperature", "°F", -40.0, 233.15),
    ("relative_humidity_2m", "relative_humidity", "%", 65, 0.65),
    ("precipitation", "precipitation_amount", "inch", 1.0, 25.4),
    ("visibility", "visibility_in_air", "ft", 1000.0, 304.8),
    ("pressure_msl", "air_pressure_at_mean_sea_level", "hPa", 1013.25, 101325.0),
    ("cape", "atmosphere_convective_available_potential_energy", "J/kg", 1200, 1200.0),
    ("wind_direction_10m", "wind_from_direction", "°", 360, 360.0),
]


@pytest.mark.parametrize(("theirs", "ours", "unit", "value", "expected"), SAME)
def test_every_unit_of_the_service_becomes_the_same_quantity(theirs, ours, unit, value, expected):
    told = forecast({theirs: [value] * 3}, units={theirs: unit})

    assert hours(told, ours)[0] == pytest.approx(expected, rel=1e-12)  # exact but for rounding


@pytest.mark.parametrize("unit", ["undefined", "furlong", "", None, 7, "°C", "mph/h"])
def test_a_column_in_an_unknown_unit_is_unknown(unit):
    told = forecast(units={"wind_speed_10m": unit})

    assert np.isnan(told.quantities["wind_speed"]).all()
    assert hours(told, "wind_speed_of_gust") == [6.0, 7.0, 8.0]


def test_a_column_without_a_unit_is_unknown():
    answer = document()
    del answer["hourly_units"]["wind_gusts_10m"]
    told = parse(json.dumps(answer).encode(), provenance())

    assert np.isnan(told.quantities["wind_speed_of_gust"]).all()


@pytest.mark.parametrize(
    ("theirs", "ours", "values"),
    [
        ("wind_speed_10m", "wind_speed", [-0.1, 116.0, 1e308]),
        ("wind_direction_10m", "wind_from_direction", [-1, 361, 999]),
        ("temperature_2m", "air_temperature", [-120, 90, -999]),
        ("relative_humidity_2m", "relative_humidity", [-1, 101, 0]),
        ("precipitation", "precipitation_amount", [-0.1, 401, 9e99]),
        ("visibility", "visibility_in_air", [-1, 1e6, 1e308]),
        ("pressure_msl", "air_pressure_at_mean_sea_level", [0, 800, 1.7e308]),
        ("weather_code", "weather_code", [4, 100, 1.5]),
        ("weather_code", "weather_code", [17, 29, 98]),
        ("cape", "atmosphere_convective_available_potential_energy", [-1, 12001, 1e9]),
    ],
)
def test_what_nature_has_never_shown_is_unknown(theirs, ours, values):
    told = forecast({**GOOD, theirs: values})

    assert np.isnan(told.quantities[ours]).all()


def test_null_is_unknown_at_any_place():
    told = forecast({**GOOD, "wind_speed_10m": [None, 4.0, None]})

    assert hours(told, "wind_speed") == nan_or([None, 4.0, None])


@pytest.mark.parametrize("value", ["5.0", True, [], {}, 10**400])
def test_what_is_no_number_is_unknown(value):
    told = forecast({**GOOD, "wind_speed_10m": [value, 4.0, 5.0]})

    assert hours(told, "wind_speed") == nan_or([None, 4.0, 5.0])


def test_a_gust_below_the_wind_is_raised_to_the_wind():
    told = forecast({**GOOD, "wind_gusts_10m": [2.0, None, 9.0]})

    assert hours(told, "wind_speed_of_gust") == nan_or([3.0, None, 9.0])


@pytest.mark.parametrize("gusts", [[0.0, 0.0, 0.0], [2.0, 1.0, 9.0]])
def test_gusts_that_are_mostly_below_the_wind_are_no_gusts(gusts):
    told = forecast({**GOOD, "wind_gusts_10m": gusts})

    assert np.isnan(told.quantities["wind_speed_of_gust"]).all()


@pytest.mark.parametrize(
    ("wind", "gust", "expected"),
    [
        ([3.0, 4.0, 5.0], [3.0, 4.0, 5.0], [3.0, 4.0, 5.0]),  # as strong as the wind is not below
        ([1.0, 1.0, 5.0], [0.5, 0.5, 6.0], [1.0, 1.0, 6.0]),  # up to 1 m/s it is rounding
        ([1.1, 1.1, 5.0], [0.5, 0.5, 6.0], [None] * 3),
        ([3.0, 4.0, 5.0], [None, None, 1.0], [None] * 3),  # of the one gust that came, all
        ([3.0, 4.0, 5.0], [2.0, 5.0, None], [3.0, 5.0, None]),  # half of them is not most
    ],
)
def test_the_gusts_of_a_run_are_raised_unless_most_are_below_its_wind(wind, gust, expected):
    told = forecast({**GOOD, "wind_speed_10m": wind, "wind_gusts_10m": gust})

    assert hours(told, "wind_speed_of_gust") == nan_or(expected)


def test_a_model_with_columns_and_no_number_is_absent_although_nobody_asked_for_it():
    columns = by_model("ecmwf_ifs") | {"wind_speed_10m_gfs_seamless": [None] * 3}

    assert forecast(columns, models_asked=None).absent == ("ncep_gfs_seamless",)


def test_a_gust_stays_where_the_wind_is_unknown():
    told = forecast({**GOOD, "wind_speed_10m": [None, 9.0, 5.0]})

    assert hours(told, "wind_speed_of_gust") == [6.0, 9.0, 8.0]


def test_older_spellings_are_understood():
    older: dict[str, list[Any]] = {
        "windspeed_10m": [3.0] * 3,
        "windgusts_10m": [6.0] * 3,
        "weathercode": [3] * 3,
    }
    units = {"windspeed_10m": "km/h", "windgusts_10m": "kn", "weathercode": "wmo code"}
    told = parse(body(older, units=units), provenance())

    assert hours(told, "wind_speed_of_gust")[0] == pytest.approx(6 * 1852 / 3600)
    assert hours(told, "weather_code") == [3, 3, 3]


def test_two_spellings_that_disagree_leave_the_hour_unknown():
    both = {"wind_speed_10m": [3.0, 4.0, 5.0], "windspeed_10m": [3.0, 4.5, 5.0]}
    told = parse(body(both, units={"windspeed_10m": "m/s"}), provenance())

    assert hours(told, "wind_speed") == nan_or([3.0, None, 5.0])


def test_names_that_only_begin_like_a_quantity_are_other_things():
    more = {**GOOD, "precipitation_probability": [90] * 3, "visibility_max": [1.0] * 3}
    told = forecast(more, units={"precipitation_probability": "mm", "visibility_max": "m"})

    assert np.isnan(told.quantities["precipitation_amount"]).all()
    assert np.isnan(told.quantities["visibility_in_air"]).all()


# -- time ----------------------------------------------------------------------------------------


def utc(told):
    return told.time.astype(str).tolist()


THREE = ["2026-11-25T06:00:00", "2026-11-25T07:00:00", "2026-11-25T08:00:00"]


def test_unixtime_is_utc_whatever_the_offset():
    assert utc(forecast(utc_offset_seconds=-21600)) == THREE


@pytest.mark.parametrize(
    ("offset", "local"),
    [
        (0, ["2026-11-25T06:00", "2026-11-25T07:00", "2026-11-25T08:00"]),
        (-21600, ["2026-11-25T00:00", "2026-11-25T01:00", "2026-11-25T02:00"]),
        (39600, ["2026-11-25T17:00", "2026-11-25T18:00", "2026-11-25T19:00"]),
        (34200, ["2026-11-25T15:30", "2026-11-25T16:30", "2026-11-25T17:30"]),
        (20700, ["2026-11-25T11:45:00", "2026-11-25T12:45:00", "2026-11-25T13:45:00"]),
    ],
)
def test_local_text_is_utc_plus_the_one_offset_of_the_answer(offset, local):
    told = forecast(time=local, units={"time": "iso8601"}, utc_offset_seconds=offset)

    assert utc(told) == THREE


def test_a_change_of_clocks_within_the_answer_moves_no_hour():
    # The clocks of Berlin go back on 2026-10-25 at 01:00 UTC; the service lists every
    # local hour once, on the offset of the moment of asking.
    local = ["2026-10-25T02:00", "2026-10-25T03:00", "2026-10-25T04:00"]
    told = forecast(time=local, units={"time": "iso8601"}, utc_offset_seconds=7200)

    assert utc(told) == ["2026-10-25T00:00:00", "2026-10-25T01:00:00", "2026-10-25T02:00:00"]


@pytest.mark.parametrize("offset", [1800, 34200, 20700])
def test_rows_off_the_whole_hour_are_refused_and_never_shifted(offset):
    local = ["2026-11-25T06:00", "2026-11-25T07:00", "2026-11-25T08:00"]
    with pytest.raises(DataError, match=r"not on whole hours.*timezone=GMT"):
        forecast(time=local, units={"time": "iso8601"}, utc_offset_seconds=offset)


def test_unordered_hours_are_sorted_with_their_values():
    told = forecast({"wind_speed_10m": [5.0, 3.0, 4.0]}, time=[TIMES[2], TIMES[0], TIMES[1]])

    assert utc(told) == THREE
    assert hours(told, "wind_speed") == [3.0, 4.0, 5.0]


def test_an_hour_told_twice_holds_only_where_both_say_the_same():
    twice = {"wind_speed_10m": [3.0, 3.0, 4.0, 9.0, 5.0, None]}
    told = forecast(twice, time=[time for time in TIMES for _ in range(2)])

    assert utc(told) == THREE
    assert hours(told, "wind_speed") == nan_or([3.0, None, None])


def test_an_hour_left_out_is_unknown_and_not_skipped():
    told = forecast({"wind_speed_10m": [3.0, 5.0]}, time=[TIMES[0], TIMES[2]])

    assert utc(told) == THREE
    assert hours(told, "wind_speed") == nan_or([3.0, None, 5.0])


NO_CLOCK = [
    {"time": ["2026-11-25T06:00"] * 3, "units": {"time": "unixtime"}},
    {"time": TIMES, "units": {"time": "iso8601"}},
    {"time": TIMES, "units": {"time": "undefined"}},
    {"time": [None, *TIMES[1:]]},
    {"time": [True, *TIMES[1:]]},
    {"time": [-3600, *TIMES[1:]]},
    {"time": [1e9, *TIMES[1:]]},
    {"time": [10**30, *TIMES[1:]]},
    {"time": ["2026-13-45T06:00"] * 3, "units": {"time": "iso8601"}},
    {"time": ["2026-11-25"] * 3, "units": {"time": "iso8601"}},
    {"time": ["0000-01-01T00:00"] * 3, "units": {"time": "iso8601"}},
    {"time": ["2026-11-25T06:00"] * 3, "units": {"time": "iso8601"}, "utc_offset_seconds": None},
    {"time": ["2026-11-25T06:00"] * 3, "units": {"time": "iso8601"}, "utc_offset_seconds": 90000},
    {"time": [0, *TIMES[1:]]},
]


@pytest.mark.parametrize("clock", NO_CLOCK)
def test_an_answer_that_cannot_be_placed_in_time_is_refused(clock):
    with pytest.raises(DataError, match=r"placed in time|span"):
        forecast(**clock)


# -- models and members --------------------------------------------------------------------------


def test_several_models_are_one_member_each():
    told = forecast(by_model(*FOUR), FOUR)

    assert told.models == FOUR
    assert told.members == ("", "", "", "")
    assert told.absent == ()
    assert told.quantities["wind_speed"].shape == (4, 3)


def test_an_older_spelling_of_a_model_is_the_same_model():
    older = by_model("gfs_seamless", "icon_seamless", "ecmwf_ifs", "gem_seamless")

    assert forecast(older, FOUR).models == (FOUR[0], FOUR[2], FOUR[1], FOUR[3])


def test_names_that_nest_are_told_apart():
    nested = by_model("icon_seamless", "meteoswiss_icon_seamless", "ecmwf_ifs025", "ecmwf_ifs")
    told = parse(body(nested), provenance())

    expected = ("dwd_icon_seamless", "meteoswiss_icon_seamless", "ecmwf_ifs025", "ecmwf_ifs")
    assert told.models == expected


def test_one_model_asked_owns_the_plain_columns():
    assert forecast(models_asked=("gfs_seamless",)).models == ("ncep_gfs_seamless",)


def test_a_vanished_suffix_gives_the_data_to_no_model_and_shows_all_as_absent():
    told = forecast(models_asked=FOUR)

    assert told.models == (UNNAMED,)
    assert told.absent == FOUR


def test_a_file_that_names_no_model_is_unnamed():
    told = parse(body(), provenance())

    assert told.models == (UNNAMED,)
    assert told.absent == ()


def test_a_model_without_a_number_is_absent():
    nulls = {name: [None] * 3 for name in GOOD}
    columns = {**by_model(*FOUR[:3]), **by_model(FOUR[3], columns=nulls)}
    told = forecast(columns, FOUR)

    assert told.models == FOUR[:3]
    assert told.absent == (FOUR[3],)


def test_a_model_dropped_by_the_service_is_absent():
    assert forecast(by_model(*FOUR[1:]), FOUR).absent == (FOUR[0],)


def test_a_model_that_lost_its_gusts_stays_and_they_are_unknown():
    columns = by_model(*FOUR)
    columns[f"wind_gusts_10m_{FOUR[1]}"] = [None] * 3
    told = forecast(columns, FOUR)

    assert told.models == FOUR
    assert np.isnan(told.quantities["wind_speed_of_gust"][1]).all()


def test_a_model_of_an_unknown_name_is_not_dropped_in_silence():
    columns = {**by_model("ecmwf_ifs", "brand_new_model"), "wind_speed_10m_max": [1.0] * 3}

    assert parse(body(columns), provenance()).absent == ("brand_new_model",)


def test_what_a_model_is_listed_to_lack_is_not_read():
    columns = by_model(*FOUR) | by_model(*FOUR, columns={"visibility": [500.0] * 3})
    told = forecast(columns, FOUR)
    reads = np.array(np.isfinite(told.quantities["visibility_in_air"]).all(axis=1))

    assert dict(zip(told.models, reads.tolist(), strict=True)) == {
        "ncep_gfs_seamless": True,
        "ecmwf_ifs": True,
        "dwd_icon_seamless": False,
        "cmc_gem_seamless": False,
    }


def test_every_absent_model_is_a_silence_that_costs_the_go():
    told = open_meteo.missing_models(forecast(by_model(*FOUR[1:]), FOUR))

    assert [entry.source for entry in told] == ["Open-Meteo, US GFS"]
    assert all(item.applies for item in told)


def test_an_ensemble_is_its_control_and_its_runs():
    told = forecast(ensemble(31), ("ncep_gefs025",))

    assert told.models == ("ncep_gefs025",) * 31
    assert told.members == ("control", *(f"{run:02d}" for run in range(1, 31)))
    assert told.quantities["wind_speed"][30].tolist() == pytest.approx([6.0, 7.0, 8.0])


def test_two_ensembles_in_one_answer():
    both = {**ensemble(31, "ncep_gefs025"), **ensemble(51, "ecmwf_ifs025_ensemble")}
    told = forecast(both, registry.default_ensemble())

    assert (told.models.count("ncep_gefs025"), told.models.count("ecmwf_ifs025_ensemble")) == (
        31,
        51,
    )
    assert told.absent == ()


def test_a_run_that_did_not_come_is_unknown_and_not_forgotten():
    columns = {name: value for name, value in ensemble(31).items() if "member17" not in name}
    told = forecast(columns, ("ncep_gefs025",))

    assert len(told.members) == 31
    assert np.isnan(told.quantities["wind_speed"][told.members.index("17")]).all()


def test_an_ensemble_reduced_to_its_control_still_has_all_its_runs():
    both = {**ensemble(31, "ncep_gefs025"), **by_model("ecmwf_ifs025_ensemble")}
    told = forecast(both, registry.default_ensemble())

    assert told.models.count("ecmwf_ifs025_ensemble") == 51


def test_of_several_places_the_nearest_is_taken():
    here, there = document(), document({"wind_speed_10m": [9.0] * 3}, latitude=-12.0, longitude=179)
    both = json.dumps([here, there]).encode()

    assert hours(parse(both, provenance()), "wind_speed")[0] == 3.0
    assert hours(parse(both, provenance(), place=(-12.1, -179.5)), "wind_speed")[0] == 9.0


def test_a_cell_that_is_not_on_this_earth_is_not_told():
    assert forecast(latitude=200.0).cell is None
    assert forecast(longitude=None).cell is None


# -- bad answers ---------------------------------------------------------------------------------

WHOLE = body()
BAD = {
    "empty": (b"", "not complete JSON"),
    "page": (b"<html><body>Bad Gateway</body></html>", "begin with '<html>"),
    "cut off": (WHOLE[:-20], "not complete JSON"),
    "binary": (b"\x89PNG\r\n\x1a\n\x00\xff", "not complete JSON"),
    "bare number": (b"17", "not a forecast for a place"),
    "empty object": (b"{}", "not a forecast for a place"),
    "empty list": (b"[]", "not a forecast for a place"),
    "list of nothing": (b"[null]", "not a forecast for a place"),
    "error": (b'{"error":true,"reason":"No data"}', "says 'No data'"),
    "error, keys reversed": (b'{"reason":"No data","error":true}', "says 'No data'"),
    "no hours": (b'{"latitude":1.0,"daily":{}}', "no hourly section"),
    "hours of nothing": (b'{"hourly":null}', "hourly is not as documented"),
    "hours as text": (b'{"hourly":{"time":"06:00"}}', "hourly.time is not as documented"),
    "unequal lengths": (body({**GOOD, "cape": [1.0]}), "'cape' has 1 rows beside 3 times"),
    "no time": (b'{"hourly":{"wind_speed_10m":[1.0]}}', "1 rows beside 0 times"),
    "no rows": (body({"wind_speed_10m": []}, time=[]), "placed in time"),
    "all null": (body({name: [None] * 3 for name in GOOD}), "no hour has a value"),
    "all undefined": (body(units=dict.fromkeys(GOOD, "undefined")), "no hour has a value"),
    "nothing weighed here": (
        body({"cloud_cover_time": [1.0] * 3}),
        "no hour has a value",
    ),
    "years of hours": (body(time=[SIX, SIX + 3600, SIX + 3600 * 20_000]), "span 833 days"),
    "deeply nested": (b"[" * 10_000, "not complete JSON"),
}


@pytest.mark.parametrize("bad", BAD)
def test_a_bad_answer_is_one_clear_paragraph(bad):
    answer, why = BAD[bad]
    with pytest.raises(DataError) as raised:
        parse(answer, provenance(), FOUR)

    message = str(raised.value)
    assert message.startswith("Open-Meteo: ")
    assert why in message
    assert "\n" not in message


def test_the_services_own_words_can_command_no_terminal():
    evil = json.dumps({"error": True, "reason": "\x1b]0;x\x07no\u202e data"}).encode()
    with pytest.raises(DataError, match="says 'no data'"):
        parse(evil, provenance())


@cases(150)
@given(st.binary(max_size=300))
def test_any_bytes_are_a_forecast_or_a_data_error(noise):
    with suppress(DataError):
        assert isinstance(parse(noise, provenance(), FOUR), Forecast)


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)
KEYS = ["latitude", "longitude", "utc_offset_seconds", "hourly_units", "hourly", "error", "current"]


@cases(150)
@given(st.sampled_from(KEYS), JSON)
def test_any_json_in_any_place_is_a_forecast_or_a_data_error(key, noise):
    answer = {**document(by_model(*FOUR)), key: noise}
    with suppress(DataError):
        assert isinstance(parse(json.dumps(answer).encode(), provenance(), FOUR), Forecast)


@cases(150)
@given(st.sampled_from(["time", *GOOD, "weather_code"]), st.lists(JSON, min_size=3, max_size=3))
def test_any_column_is_a_forecast_or_a_data_error(name, noise):
    try:
        told = forecast({**GOOD, "weather_code": [0, 1, 2]} | {name: noise})
    except DataError:
        return
    assert not np.isinf(np.array(list(told.quantities.values()))).any()


@cases(60)
@given(st.data())
def test_losing_a_number_changes_no_other_and_invents_none(data):
    columns = by_model(*FOUR)
    name = data.draw(st.sampled_from(sorted(columns)))
    row = data.draw(st.integers(0, 2))
    lost = {
        **columns,
        name: [None if at == row else column for at, column in enumerate(columns[name])],
    }
    before, after = forecast(columns, FOUR), forecast(lost, FOUR)

    for quantity, values in after.quantities.items():
        kept = np.isfinite(values)
        assert (values[kept] == before.quantities[quantity][kept]).all()
    assert np.isnan(after.quantities["wind_speed"]).sum() == (1 if "speed" in name else 0)


# -- asking --------------------------------------------------------------------------------------


def test_units_time_and_zone_are_asked_for():
    asked = open_meteo.query(44.98, -93.2712345)

    assert asked["latitude"] == "44.980"
    assert asked["longitude"] == "-93.271"
    assert asked["wind_speed_unit"] == "ms"
    assert asked["timeformat"] == "unixtime"
    assert asked["timezone"] == "GMT"
    assert asked["cell_selection"] == "nearest"
    assert asked["models"] == "ncep_gfs_seamless,ecmwf_ifs,dwd_icon_seamless,cmc_gem_seamless"
    assert set(asked["hourly"].split(",")) == {column.name for column in FORECAST.values()}


def asked_of(server, question, cache=None):
    async def go():
        names = {"open_meteo": server.url, "open_meteo_ensemble": server.url}
        quick = RetryPolicy(deadline=9.0, patience=3.0, first_pause=0.01)
        async with client.open_client(
            cache, addresses=names, policy=quick, now=lambda: NOON
        ) as asker:
            return await question(asker, 44.98, -93.27)

    return asyncio.run(go())


def test_a_question_over_the_wire_comes_back_as_a_forecast():
    with FakeServer() as server:
        server.serve("/v1/forecast", gzipped(json_reply(body(by_model(*FOUR)))))
        told = asked_of(server, open_meteo.ask)

    assert told.models == FOUR
    assert told.provenance.source == "Open-Meteo"
    assert told.provenance.fetched == NOON
    assert told.provenance.url.startswith(server.url)
    assert server.asked[0].query["models"] == ",".join(FOUR)


def test_an_ensemble_over_the_wire():
    both = {**ensemble(31, "ncep_gefs025"), **ensemble(51, "ecmwf_ifs025_ensemble")}
    with FakeServer() as server:
        server.serve("/v1/ensemble", json_reply(body(both)))
        told = asked_of(server, open_meteo.ask_ensemble)

    assert len(told.members) == 82
    assert told.provenance.source == "Open-Meteo ensembles"
    asked = server.asked[0].query
    assert asked["hourly"] == "wind_speed_10m,wind_gusts_10m"


@pytest.mark.parametrize(
    "fault",
    [
        html_page(),
        html_page(502),
        status(400, b'{"error":true,"reason":"No data"}'),
        too_many(None),
        status(500),
        cut_off(json_reply(WHOLE)),
        json_reply(WHOLE[:-9]),
        json_reply(b'{"error":true,"reason":"No data"}'),
    ],
)
def test_after_a_fault_the_last_good_answer_stands_in_and_never_the_fault(fault, tmp_path):
    with FakeServer() as server:
        server.serve("/v1/forecast", fault)
        with pytest.raises((SourceError, DataError)):
            asked_of(server, open_meteo.ask, tmp_path)
        good = json_reply(body(by_model(*FOUR)), cache_control="no-cache")
        server.serve("/v1/forecast", good)
        asked_of(server, open_meteo.ask, tmp_path)
        server.serve("/v1/forecast", fault)
        told = asked_of(server, open_meteo.ask, tmp_path)

    assert told.models == FOUR
    assert told.provenance.recorded is True


# -- config --------------------------------------------------------------------------------------


def test_every_model_of_the_defaults_is_described():
    named = {*registry.default_forecast(), *registry.default_ensemble()}

    assert named <= registry.load_models().keys()


def test_what_models_lack_are_quantities_that_are_read():
    assert all(lacking <= FORECAST.keys() for lacking in registry.lacks().values())


def test_every_quantity_is_given_by_at_least_two_models_that_are_asked_for_it():
    # one is no comparison, and its outage would leave the quantity unknown
    for quantity in FORECAST:
        givers = [value for value in FOUR if quantity not in registry.lacks()[value]]
        assert len(givers) >= 2, quantity


@pytest.mark.parametrize(("seconds", "dated"), [(0, False), (1, True)])
def test_rows_that_begin_before_yesterday_are_an_old_answer(seconds, dated):
    # An answer begins with its yesterday; caches keep it for two hours past midnight at most.
    given = scenes.forecast()  # from 12 June on, so made on the 13th
    came = datetime(2026, 6, 14, 2, tzinfo=UTC) + timedelta(seconds=seconds)
    origin = replace(given.provenance, issued=None, fetched=came)

    found = open_meteo.date_by_rows(replace(given, provenance=origin))

    made = datetime(2026, 6, 13, tzinfo=UTC)
    assert found.provenance.issued == (made if dated else None)


# -- the tables ----------------------------------------------------------------------------------


def test_each_documented_weather_code_is_known_and_no_other():
    # the table of WMO codes in the service's documentation, 2026-08-18
    documented = {*range(4), 45, 48, 51, 53, 55, 56, 57, 61, 63, 65, 66, 67, 71, 73, 75, 77}
    documented |= {80, 81, 82, 85, 86, 95, 96, 99}
    times = [SIX + 3600 * hour for hour in range(101)]
    columns = {"wind_speed_10m": [3.0] * 101, "weather_code": list(range(101))}

    told = forecast(columns, time=times)

    assert {code for code in hours(told, "weather_code") if code == code} == documented


@pytest.mark.parametrize(
    ("ours", "theirs", "unit", "known", "unknown"),
    [
        ("precipitation_amount", "precipitation", "mm", [0, 305, 0], [-0.1, 450, -5]),
        (PRESSURE, "pressure_msl", "hPa", [870, 1085, 1013], [800, 1150, 0]),
        (CAPE, "cape", "J/kg", [0, 8000, 1], [-1, 14_000, -5]),
    ],
)
def test_the_records_of_nature_are_known_and_what_lies_far_beyond_is_not(
    ours, theirs, unit, known, unknown
):
    # WMO archive (from memory): 305 mm of rain in 42 minutes, 870 and 1085 hPa at sea level
    for values, finite in ((known, True), (unknown, False)):
        told = forecast({**GOOD, theirs: values}, units={theirs: unit})
        assert np.isfinite(told.quantities[ours]).all() == finite


@pytest.mark.parametrize(
    ("older", "ours", "unit"),
    [
        *(("windspeed_10m", "wind_speed", "m/s"), ("windgusts_10m", "wind_speed_of_gust", "m/s")),
        ("winddirection_10m", "wind_from_direction", "°"),
        ("relativehumidity_2m", "relative_humidity", "%"),
        ("weathercode", "weather_code", "wmo code"),
    ],
)
def test_each_older_spelling_is_the_quantity_of_today(older, ours, unit):
    told = forecast({older: [45] * 3}, units={older: unit})

    assert hours(told, ours)[0] == (0.45 if unit == "%" else 45)


@pytest.mark.parametrize("spelling", ["mph", "mp/h"])
def test_a_mile_an_hour_has_two_spellings(spelling):
    told = forecast(units={"wind_speed_10m": spelling})

    assert hours(told, "wind_speed")[0] == pytest.approx(3 * 0.44704)
