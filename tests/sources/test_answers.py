"""What every answer is read with: shapes, plausible numbers and instants."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from safety_check.errors import DataError
from safety_check.sources.answers import BELIEVABLE, Answer, Sensor, believable, observed, read
from tests.sources.spoiled import at, provenance

NOON = at("2026-06-01T12:00:00")


class Shape(Answer):
    """A made-up answer."""

    rows: list[int]


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "not JSON as documented, it begins with 'nothing'"),
        (b"x" * 39 + b"yz", f"not JSON as documented, it begins with '{'x' * 39}y'"),
        (b'{"rows": [1, "2"]}', "rows.1 is not as documented (Input should be a valid integer)"),
        (b"{}", "rows is not as documented (Field required)"),
        (b"[]", "the answer is not as documented (Input should be an object)"),
    ],
)
def test_an_answer_of_another_shape_is_told_by_its_place_or_its_first_forty_bytes(body, said):
    with pytest.raises(DataError) as refused:
        read(body, Shape, "a service")

    remedy = "The answer can't be used. Try again later, or use another source."
    assert str(refused.value) == f"a service: {said}. {remedy}"


@pytest.mark.parametrize(("seconds", "taken"), [(0, True), (900, True), (901, False)])
def test_a_clock_may_be_a_quarter_of_an_hour_ahead(seconds, taken):
    time = NOON + timedelta(seconds=seconds)
    source = provenance("2026-06-01T12:00:00+00:00")

    assert bool(observed("wind_speed", 5.0, time, Sensor("A", 0.0, source))) == taken


# World records of the WMO archive (from memory, not read): a gust of 113.2 m/s, air of -89.2 and
# 56.7 degrees Celsius, waves of 19 m at a buoy; the freezing point of sea water, -1.9 degrees.
@pytest.mark.parametrize(
    ("quantity", "value", "known"),
    [
        *(("wind_speed_of_gust", 113.2, True), ("wind_speed_of_gust", 150.0, False)),
        *(("wind_speed", 0.0, True), ("wind_speed", -0.1, False), ("wind_speed", 150.0, False)),
        *(("air_temperature", 183.95, True), ("air_temperature", 329.85, True)),
        *(("air_temperature", 150.0, False), ("air_temperature", 373.15, False)),
        *(("water_temperature", 271.25, True), ("water_temperature", 263.15, False)),
        *(("water_temperature", 311.0, True), ("water_temperature", 373.15, False)),
        *(("sea_surface_wave_significant_height", 19.0, True),),
        *(("sea_surface_wave_significant_height", -0.1, False),),
        *(("sea_surface_wave_significant_height", 99.0, False),),
        *(("wind_from_direction", 360.0, True), ("wind_from_direction", 361.0, False)),
        *(("relative_humidity", 1.0, True), ("relative_humidity", 0.0, False)),
        *(("probability_of_thunder", 0.0, True), ("probability_of_thunder", 1.01, False)),
    ],
)
def test_what_has_been_measured_on_earth_is_plausible_and_what_can_not_be_is_unknown(
    quantity, value, known
):
    assert math.isnan(believable(quantity, value)) != known


def test_directions_periods_and_heights_of_all_waves_have_the_same_range():
    for ending in ("significant_height", "from_direction"):
        kinds = (f"sea_surface_{kind}wave_{ending}" for kind in ("", "swell_", "wind_"))
        assert len({BELIEVABLE[kind] for kind in kinds}) == 1
    periods = {name: limits for name, limits in BELIEVABLE.items() if "period" in name}
    assert set(periods.values()) == {(0.5, 40.0)}
    assert len(periods) == 3
