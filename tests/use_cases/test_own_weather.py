"""Weather as arrays is taken whole and in SI units, or refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import numpy as np
import pytest

from safety_check.errors import DataError
from safety_check.model.weather import OWN_ARRAYS, OWN_WORD, Forecast, Provenance
from safety_check.use_cases.own_weather import KNOWN, make_briefing, make_forecast
from tests import scenes

HOURS = np.datetime64("2026-06-12T00:00") + np.arange(3) * np.timedelta64(1, "h")
NOW = datetime(2026, 6, 12, 2, tzinfo=UTC)
CALM = np.ones(3)


def made(time: Any = HOURS, models: tuple[str, ...] = ("a",), **quantities: Any) -> Forecast:
    given = quantities or {"wind_speed": np.ones((len(models), 3))}
    return make_forecast(time, given, models=models, issued=NOW)


def of_one(name: str, values: list[float]) -> Forecast:
    return make_forecast(HOURS, {name: np.array(values)}, models=["a"], issued=NOW)


def test_every_quantity_is_in_the_si_unit_of_the_cf_conventions() -> None:
    assert KNOWN == {
        "wind_speed": "m s-1",
        "wind_speed_of_gust": "m s-1",
        "wind_from_direction": "degrees",
        "air_temperature": "K",
        "relative_humidity": "1",
        "precipitation_amount": "kg m-2",
        "weather_code": "1",
        "visibility_in_air": "m",
        "air_pressure_at_mean_sea_level": "Pa",
        "atmosphere_convective_available_potential_energy": "J kg-1",
        "probability_of_thunder": "1",
    }


def test_a_forecast_of_the_callers_is_live_and_as_old_as_its_run() -> None:
    origin = Provenance(OWN_ARRAYS, "", "", NOW, NOW, recorded=False)
    assert made().provenance == origin


def test_runs_of_one_model_are_numbered_and_a_single_run_has_no_number() -> None:
    found = made(models=("a", "b", "a", "c", "c", "c"))
    assert found.models == ("a", "b", "a", "c", "c", "c")
    assert found.members == ("0", "", "1", "0", "1", "2")


def test_a_chance_of_thunder_that_is_not_given_is_not_missed() -> None:
    assert made().not_made == ("probability_of_thunder",)
    assert made(probability_of_thunder=np.zeros(3)).not_made == ()


@pytest.mark.parametrize(
    "time",
    [
        HOURS,
        HOURS.astype("datetime64[ns]"),
        [NOW + timedelta(hours=hour) for hour in (-2, -1, 0)],
        [
            (NOW + timedelta(hours=hour)).astimezone(timezone(timedelta(hours=-5)))
            for hour in (-2, -1, 0)
        ],
    ],
)
def test_hours_are_read_in_utc_from_arrays_and_datetimes(time: Any) -> None:
    assert made(time).time.tolist() == HOURS.astype("datetime64[s]").tolist()


def test_two_hours_are_the_fewest() -> None:
    assert len(made(HOURS[:2], wind_speed=np.ones(2)).time) == 2
    for time in (HOURS[:1], HOURS[:0], HOURS[None, :]):
        with pytest.raises(DataError, match="at least two hours in one row"):
            made(time)


@pytest.mark.parametrize(
    ("time", "says"),
    [
        (HOURS[[0, 2, 1]], "2026-06-12T02:00:00 does not follow 2026-06-12T00:00:00"),
        (HOURS[[0, 1, 1]], "2026-06-12T01:00:00 does not follow 2026-06-12T01:00:00"),
        (np.array([*HOURS[:2], "NaT"], "datetime64[s]"), "NaT does not follow"),
        (HOURS + np.timedelta64(1, "s"), "2026-06-12T00:00:01 is not a whole hour"),
    ],
)
def test_hours_with_a_gap_or_beside_the_hour_are_refused(time: Any, says: str) -> None:
    with pytest.raises(DataError, match=says):
        made(time)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("wind_speed", 0.0, 115.0),  # the strongest gust on record is 113 m/s
        ("wind_from_direction", 0.0, 360.0),
        ("relative_humidity", 0.01, 1.0),
        ("probability_of_thunder", 0.0, 1.0),
    ],
)
def test_values_are_accepted_up_to_both_bounds_and_none_beyond(
    name: str, low: float, high: float
) -> None:
    given = of_one(name, [low, np.nan, high]).quantities[name]
    assert given[0] == pytest.approx([low, np.nan, high], nan_ok=True)
    for wrong in (low - 0.001, high + 0.001, np.inf, -np.inf):
        with pytest.raises(DataError, match=f"{name}: {wrong:g} is not between"):
            of_one(name, [low, np.nan, wrong])


def test_nothing_but_unknown_values_is_a_forecast_too() -> None:
    assert np.isnan(made(wind_speed=np.full(3, np.nan)).quantities["wind_speed"]).all()


@pytest.mark.parametrize("values", [np.ones(2), np.ones((2, 3)), np.ones((1, 1, 3)), 1.0])
def test_an_array_of_another_shape_is_refused(values: Any) -> None:
    with pytest.raises(DataError, match="there are 1 members and 3 hours"):
        made(wind_speed=values)


def test_a_name_that_is_not_known_is_refused_with_the_nearest_one() -> None:
    with pytest.raises(DataError, match=r"Did you mean 'wind_speed'\?"):
        made(windspeed=CALM)
    with pytest.raises(DataError, match="'eastward_wind' is not known here"):
        made(eastward_wind=CALM)  # only together, as a direction and a speed


# -- a briefing ----------------------------------------------------------------------------------


def test_a_briefing_holds_what_was_given() -> None:
    seen = scenes.observation("wind_speed", 3.0)
    told = make_briefing(NOW, iter([made()]), iter([seen]))
    assert (told.at, len(told.forecasts), told.observations) == (NOW, 1, (seen,))
    assert told.warnings_read == ()


def test_warnings_are_read_by_the_caller_until_the_time_of_the_check() -> None:
    told = make_briefing(NOW, [], warnings_read=NOW)
    assert told.warnings_read == (Provenance(OWN_WORD, "", "", NOW, NOW, recorded=False),)
    with pytest.raises(DataError, match="is after the check"):
        make_briefing(NOW, [], warnings_read=NOW + timedelta(seconds=1))


@pytest.mark.parametrize(("minutes", "refused"), [(-600, False), (15, False), (16, True)])
def test_a_forecast_is_at_most_a_quarter_of_an_hour_ahead_of_the_clock(
    minutes: int, refused: bool
) -> None:
    at = NOW - timedelta(minutes=minutes)
    if not refused:
        assert make_briefing(at, [made()]).at == at
        return
    with pytest.raises(DataError, match="would never become too old"):
        make_briefing(at, [made()])


def test_a_forecast_that_does_not_say_when_it_was_made_is_taken() -> None:
    given = made()
    undated = replace(given, provenance=replace(given.provenance, issued=None))
    assert make_briefing(NOW, [undated]).forecasts == (undated,)


@pytest.mark.parametrize("field", ["at", "warnings_read", "issued", "time"])
def test_a_time_without_a_zone_is_refused(field: str) -> None:
    naive: Any = NOW.replace(tzinfo=None)
    tried = {
        "at": lambda: make_briefing(naive, []),
        "warnings_read": lambda: make_briefing(NOW, [], warnings_read=naive),
        "issued": lambda: make_forecast(HOURS, {}, models=["a"], issued=naive),
        "time": lambda: made([naive, naive + timedelta(hours=1)]),
    }
    with pytest.raises(DataError, match=f"{field}: .* has no time zone"):
        tried[field]()
    with pytest.raises(DataError, match="at: '2026-06-12' has no time zone"):
        make_briefing("2026-06-12", [])  # type: ignore[arg-type]
