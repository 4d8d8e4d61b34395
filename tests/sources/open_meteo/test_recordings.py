"""Every recorded answer gives the numbers that stand in it, read by hand, or a clear error."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import numpy as np
import pytest

from safety_check.errors import DataError
from safety_check.sources.open_meteo import forecast, previous_runs
from safety_check.sources.open_meteo.forecast import UNNAMED
from safety_check.sources.open_meteo.variables import MARINE
from safety_check.sources.saved_forecast import read_forecast
from tests.recordings import shared_folder
from tests.sources.open_meteo_answers import provenance


@pytest.fixture(scope="module")
def folder():
    return shared_folder("recorded", "open_meteo")


def at(told, quantity, hour, member=0):
    place = int(np.flatnonzero(told.time == np.datetime64(hour))[0])
    return told.quantities[quantity][member, place]


# Local clock two hours ahead of UTC: the first row, 2026-01-15T00:00, is 22:00 UTC before.
# Speeds as written in km/h, divided by 3.6 by hand; °C + 273.15.
BUCHAREST = [
    ("2026-01-14T22:00", "wind_speed", 6.4 / 3.6),
    ("2026-01-14T22:00", "wind_speed_of_gust", 16.6 / 3.6),
    ("2026-01-14T22:00", "wind_from_direction", 232),
    ("2026-01-14T22:00", "air_temperature", 270.15),
    ("2026-01-14T22:00", "relative_humidity", 0.91),
    ("2026-01-14T22:00", "air_pressure_at_mean_sea_level", 102220),
    ("2026-01-14T22:00", "weather_code", 3),
    ("2026-01-16T14:00", "wind_speed", 9.3 / 3.6),
    ("2026-01-16T14:00", "wind_speed_of_gust", 27.4 / 3.6),
    ("2026-01-22T21:00", "wind_from_direction", 71),
    ("2026-01-22T21:00", "weather_code", 71),
    ("2026-01-22T21:00", "air_temperature", 266.55),
]


@pytest.mark.parametrize(("hour", "quantity", "expected"), BUCHAREST)
def test_bucharest_in_kilometres_per_hour(folder, hour, quantity, expected):
    told = read_forecast(folder / "forecast_bucharest_kmh.json")

    assert at(told, quantity, hour) == pytest.approx(expected, rel=1e-12)


def test_the_pair_in_other_units_says_the_same(folder):
    metric = read_forecast(folder / "forecast_bucharest_kmh.json")
    imperial = read_forecast(folder / "forecast_bucharest_mph_fahrenheit.json")
    # Half the last printed digit of either, and the service's own 2.237 for 2.23694 mph.
    speed = 0.05 / 3.6 + 0.05 * 0.44704 + 2e-4
    temperature = 0.05 + 0.05 / 1.8

    assert (metric.time == imperial.time).all()
    for quantity, tolerance in [
        ("wind_speed", speed),
        ("wind_speed_of_gust", speed),
        ("wind_from_direction", 0),
        ("air_temperature", temperature),
        ("relative_humidity", 0),
        ("weather_code", 0),
    ]:
        difference = np.abs(metric.quantities[quantity] - imperial.quantities[quantity])
        assert (difference <= tolerance + 1e-9).all(), quantity


def test_melbourne_without_direction_leaves_it_unknown(folder):
    told = read_forecast(folder / "forecast_melbourne_gmt_kmh.json")

    assert at(told, "wind_speed_of_gust", "2025-05-13T04:00") == pytest.approx(13.3 / 3.6)
    assert at(told, "air_temperature", "2025-05-13T04:00") == pytest.approx(294.15)
    assert at(told, "precipitation_amount", "2025-05-09T00:00") == 0
    assert np.isnan(told.quantities["wind_from_direction"]).all()
    assert np.isnan(told.quantities["weather_code"]).all()


def test_new_jersey_sixteen_gusts_below_the_wind_are_raised_to_it(folder):
    path = folder / "forecast_new_jersey_gmt_14d.json"
    hourly = json.loads(path.read_bytes())["hourly"]
    pairs = zip(hourly["wind_speed_10m"], hourly["wind_gusts_10m"], strict=True)
    told = read_forecast(path)
    wind, gust = told.quantities["wind_speed"], told.quantities["wind_speed_of_gust"]

    assert sum(gust < wind for wind, gust in pairs) == 16
    assert (gust >= wind).all()
    assert at(told, "wind_speed_of_gust", "2026-01-06T14:00") == pytest.approx(1.1 / 3.6)
    assert at(told, "wind_speed_of_gust", "2025-12-29T21:00") == pytest.approx(74.9 / 3.6)
    assert told.time.size == 336


def test_two_places_in_one_file_are_told_apart_by_the_launch(folder):
    path = folder / "forecast_two_points_cape_visibility.json"
    first, second = read_forecast(path), read_forecast(path, place=(51.74, -1.8))
    energy = "atmosphere_convective_available_potential_energy"

    assert (first.cell, second.cell) == ((51.5, -1.0), (51.75, -1.75))
    assert at(first, "wind_speed", "2026-07-22T15:00") == pytest.approx(11.2 / 3.6)
    assert at(second, "wind_speed", "2026-07-22T15:00") == pytest.approx(7.6 / 3.6)
    assert at(first, "visibility_in_air", "2026-07-22T15:00") == 25280
    assert (at(first, energy, "2026-07-22T15:00"), at(second, energy, "2026-07-22T15:00")) == (
        120,
        130,
    )


def test_sao_paulo_three_hours_behind_has_only_its_temperature(folder):
    told = read_forecast(folder / "forecast_sao_paulo_temperature.json")

    assert told.time[0] == np.datetime64("2023-10-25T03:00")
    assert at(told, "air_temperature", "2023-10-25T18:00") == pytest.approx(302.15)
    assert np.isnan(told.quantities["wind_speed"]).all()
    assert np.isnan(told.quantities["wind_speed_of_gust"]).all()


def test_two_models_are_two_members_by_their_suffix(folder):
    told = read_forecast(folder / "forecast_multi_model_minutely15.json")

    assert told.models == ("best_match", "ncep_gfs_seamless")
    assert [at(told, "weather_code", "2023-11-14T06:00", value) for value in (0, 1)] == [3, 51]
    assert told.time.size == 168


def test_one_named_model_has_no_suffix(folder):
    body = (folder / "forecast_one_model_named.json").read_bytes()

    assert forecast.parse(body, provenance(), ("best_match",)).models == ("best_match",)
    assert forecast.parse(body, provenance()).models == (UNNAMED,)


def test_one_of_several_models_covering_is_given_to_none(folder):
    body = (folder / "forecast_models_one_covering_trimmed.json").read_bytes()
    told = forecast.parse(body, provenance(), ("knmi_seamless", "ncep_hrrr_conus"))

    assert told.models == (UNNAMED,)
    assert told.absent == ("knmi_seamless", "ncep_hrrr_conus")
    assert at(told, "air_temperature", "2026-10-03T11:00") == pytest.approx(292.45)


def test_an_ensemble_of_51_has_no_wind_and_says_so(folder):
    told = read_forecast(folder / "ensemble_ecmwf_51_members.json")
    energy = "atmosphere_convective_available_potential_energy"

    assert told.members == ("control", *(f"{run:02d}" for run in range(1, 51)))
    assert told.quantities[energy].shape == (51, 168)
    # the greatest value of the file: hour 156 of member 47
    assert at(told, energy, "2026-07-28T12:00", 47) == 370
    assert at(told, "relative_humidity", "2026-07-23T16:00", 50) == pytest.approx(0.39)
    assert np.isnan(told.quantities["wind_speed"]).all()


def test_the_archive_on_a_zone_nine_hours_behind(folder):
    told = read_forecast(folder / "archive_a.json")

    assert at(told, "air_temperature", "2022-12-29T22:00") == pytest.approx(298.15)


def test_the_north_sea_has_waves_and_a_temperature(folder):
    told = read_forecast(folder / "marine_north_sea_all_sections_trimmed.json")

    assert told.provenance.source == "Open-Meteo marine"
    assert told.quantities.keys() == MARINE.keys()
    assert at(told, "sea_surface_wave_significant_height", "2026-10-02T23:00") == 0.78
    assert at(told, "sea_surface_wave_mean_period", "2026-10-02T23:00") == 3.85
    assert at(told, "sea_surface_wave_from_direction", "2026-10-02T22:00") == 222
    assert at(told, "sea_surface_temperature", "2026-10-03T00:00") == pytest.approx(291.55)


def test_sydney_in_feet_eleven_hours_ahead(folder):
    told = read_forecast(folder / "marine_sydney_feet.json")
    height = at(told, "sea_surface_wave_significant_height", "2023-01-01T19:00")

    assert told.time[0] == np.datetime64("2022-12-31T13:00")
    assert height == pytest.approx(2.953 * 0.3048)
    assert np.isnan(told.quantities["sea_surface_temperature"]).all()


def test_the_runs_of_the_days_before(folder):
    body = (folder / "previous_runs_trimmed.json").read_bytes()
    runs = previous_runs.parse(body, provenance())
    temperatures = {
        day: round(float(at(told, "air_temperature", "2026-10-02T02:00")), 2)
        for day, told in runs.items()
    }

    # 12.1, 12.1 and 13.4 °C
    assert temperatures == {0: 285.25, 1: 285.25, 2: 286.55}


REFUSED = {
    "current_weather_legacy_darwin_kmh.json": "no hourly section",
    "current_weather_legacy_darwin_mph.json": "no hourly section",
    "forecast_daily_all_null_pacific.json": "no hourly section",
    "error_400_documented_example.json": "tempeture_2m",
    "elevation_three_points.json": "not a forecast in a known format",
    "geocoding_a.json": "not a forecast in a known format",
    "geocoding_b.json": "not a forecast in a known format",
    "geocoding_c.json": "not a forecast in a known format",
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_hourly_forecast_is_refused_by_name(folder, name):
    with pytest.raises(DataError, match=REFUSED[name]) as raised:
        read_forecast(folder / name)

    assert str(raised.value).startswith(name)


def test_every_recording_is_read_or_refused_on_purpose(folder):
    for path in sorted(folder.glob("*.json")):
        if path.name in REFUSED:
            continue
        told = read_forecast(path)
        assert any(np.isfinite(values).any() for values in told.quantities.values()), path.name
        assert (np.diff(told.time) == np.timedelta64(3600, "s")).all(), path.name


# What the current block says, an hour or more ahead of UTC taken off; else the first row.
MADE = {
    "forecast_bucharest_kmh.json": datetime(2026, 1, 16, 20, 15, tzinfo=UTC),
    "forecast_new_jersey_gmt_14d.json": datetime(2025, 12, 28, 23, 0, tzinfo=UTC),
    "forecast_sao_paulo_temperature.json": datetime(2023, 10, 25, 3, 0, tzinfo=UTC),
    "ensemble_ecmwf_51_members.json": datetime(2026, 7, 22, 0, 0, tzinfo=UTC),
}


@pytest.mark.parametrize("name", MADE)
def test_the_age_of_a_file_is_never_understated(folder, tmp_path, name):
    copy = tmp_path / "copy.json"
    copy.write_bytes((folder / name).read_bytes())  # a copy's own date is today's
    provenance = read_forecast(copy).provenance

    assert provenance.issued == provenance.fetched == MADE[name]
    assert provenance.recorded is True
