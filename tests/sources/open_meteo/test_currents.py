"""The sea model's current: a recording, units, gaps, and that it is only a hint."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from safety_check.errors import DataError
from safety_check.model.moving_water import CurrentHint
from safety_check.sources.open_meteo.currents import parse, query
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, any_bytes, provenance

GOOD: dict[str, Any] = {
    "latitude": 53.04, "longitude": 3.96, "utc_offset_seconds": 0,
    "hourly_units": {"ocean_current_velocity": "km/h", "ocean_current_direction": "°"},
    "hourly": {
        "time": [1_780_000_000, 1_780_003_600],
        "ocean_current_velocity": [3.6, None], "ocean_current_direction": [90, 180],
    },
}  # fmt: skip


def parsed(body: bytes | dict[str, Any]) -> CurrentHint:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    return parse(text, provenance())


def changed(**said: Any) -> dict[str, Any]:
    return GOOD | {"hourly": GOOD["hourly"] | said}


def test_a_recorded_current_is_in_metres_a_second_and_utc():
    body = (shared_folder("recorded", "tides", "open_meteo") /
            "marine_currents_north_sea_20261003_cut.json").read_bytes()  # fmt: skip

    found = parsed(body)

    # 0.7, 0.8, 1.1 km/h towards 76, 153, 198 degrees at 00:00 local time, two hours ahead of UTC
    speed = np.hypot(found.series.east, found.series.north)
    assert speed * 3.6 == pytest.approx([0.7, 0.8, 1.1])
    towards = np.degrees(np.arctan2(found.series.east, found.series.north)) % 360
    assert towards == pytest.approx([76, 153, 198])
    assert str(found.series.time[0]) == "2026-10-02T22:00:00"
    assert found.cell == (53.041664, 3.9583435)


def test_a_missing_hour_stays_unknown():
    found = parsed(GOOD)

    assert found.series.east[0] == pytest.approx(1.0)
    assert np.isnan(found.series.east[1])


@pytest.mark.parametrize(
    "body",
    [
        GOOD | {"hourly_units": {}},
        GOOD | {"hourly_units": GOOD["hourly_units"] | {"ocean_current_velocity": "undefined"}},
        GOOD | {"hourly_units": GOOD["hourly_units"] | {"ocean_current_direction": "rad"}},
        GOOD | {"hourly": {}},
        changed(ocean_current_velocity=[1.0]),
        changed(time=[1_780_003_600, 1_780_000_000]),
        changed(time=[1_780_000_000, "noon"]),
        GOOD | {"latitude": 90.5},
        GOOD | {"longitude": -180.5},
        GOOD | {"longitude": math.inf},
        GOOD | {"utc_offset_seconds": 10**30} | changed(time=["2026-06-01T00:00"] * 2),
        changed(time=[1_780_000_000, 2**33]),
    ],
)
def test_another_form_is_refused(body):
    with pytest.raises(DataError):
        parsed(body)


def test_what_is_asked_is_rounded_to_the_cell():
    asked = query(53.12345, 3.98765, np.array(["2026-06-01T12"], dtype="datetime64[s]"))

    assert (asked["latitude"], asked["longitude"]) == ("53.12", "3.99")
    assert (asked["start_date"], asked["end_date"]) == ("2026-06-01", "2026-06-01")


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        parsed(NO_JSON[case])


@cases(150)
@given(any_bytes(GOOD))
def test_any_bytes_are_a_series_in_order_or_refused(body):
    try:
        found = parsed(body)
    except DataError:
        return
    assert np.all(np.diff(found.series.time) > np.timedelta64(0, "s"))


@pytest.mark.parametrize(
    ("time", "seconds"),
    [
        *((0, 0), (2**33 - 1, 2**33 - 1), (2**33, None), (-1, None), (True, None), (1.5, None)),
        *(("1970-01-01T02:00", 0), ("1970-01-01T02:00Z", None), ("noon", None), (None, None)),
    ],
)
def test_a_time_is_seconds_or_the_local_time_of_the_answer(time, seconds):
    hourly = {"time": [time], "ocean_current_velocity": [1], "ocean_current_direction": [0]}
    body = GOOD | {"utc_offset_seconds": 7200, "hourly": hourly}
    if seconds is None:
        with pytest.raises(DataError, match="not given by hour"):
            parsed(body)
    else:
        assert parsed(body).series.time.astype(int).tolist() == [seconds]


@pytest.mark.parametrize("last", [1_780_003_600, 1_780_000_000])
def test_hours_that_do_not_ascend_are_refused(last):
    body = changed(
        time=[1_780_000_000, 1_780_003_600, last],
        ocean_current_velocity=[1.0] * 3,
        ocean_current_direction=[0] * 3,
    )
    with pytest.raises(DataError, match="do not ascend"):
        parsed(body)


@pytest.mark.parametrize(
    ("towards", "north"), [(0, 1.0), (360, 1.0), (0.5, 1.0), (-0.5, None), (360.5, None)]
)
def test_a_current_flows_towards_a_direction_of_the_compass(towards, north):
    found = parsed(changed(ocean_current_direction=[towards, 0])).series.north[0]

    assert np.isnan(found) if north is None else found == pytest.approx(north, abs=1e-4)


@pytest.mark.parametrize(("unit", "factor"), [("km/h", 1 / 3.6), ("m/s", 1.0), ("kn", 1852 / 3600)])
def test_each_unit_of_the_service_is_in_metres_a_second(unit, factor):
    units = {"ocean_current_velocity": unit, "ocean_current_direction": "°"}
    body = changed(ocean_current_velocity=[2.0, None]) | {"hourly_units": units}

    assert parsed(body).series.east[0] == pytest.approx(2.0 * factor)


def test_the_hour_after_the_last_is_asked_for_too():
    hours = np.array(["2026-06-01T22", "2026-06-01T23"], dtype="datetime64[s]")

    asked = query(53.0, 4.0, hours)

    assert (asked["start_date"], asked["end_date"]) == ("2026-06-01", "2026-06-02")
