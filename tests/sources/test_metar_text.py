from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.sources.metar_text import MetarReport, parse_metar
from tests.properties import cases

# Wind groups of WMO FM 15 (from memory, not read); a knot is 1852 m in 3600 s exactly.
KNOT = 1852 / 3600
GROUPS = [  # written, speed and gust [m/s], direction
    ("35009G19KT", 9 * KNOT, 19 * KNOT, 350),
    ("25003KT", 3 * KNOT, math.nan, 250),
    ("36010KT", 10 * KNOT, math.nan, 360),
    ("00000KT", 0, math.nan, math.nan),
    ("VRB03KT", 3 * KNOT, math.nan, math.nan),
    ("VRB04G16KT", 4 * KNOT, 16 * KNOT, math.nan),
    ("24008MPS", 8, math.nan, 240),
    ("24008G15MPS", 8, 15, 240),
    ("09036KMH", 10, math.nan, 90),
    ("270100G120KT", 100 * KNOT, 120 * KNOT, 270),
    ("270P99KT", 100 * KNOT, math.nan, 270),  # 100 kt or more
    ("27095GP99KT", 95 * KNOT, 100 * KNOT, 270),
    ("270P49MPS", 50, math.nan, 270),
    ("36110KT", 10 * KNOT, math.nan, math.nan),  # no such direction
    ("99910KT", 10 * KNOT, math.nan, math.nan),  # no such direction
]


def report_of(message: str) -> MetarReport:
    found = parse_metar(message)
    assert found is not None
    return found


@pytest.mark.parametrize(("group", "speed", "gust", "direction"), GROUPS)
def test_a_wind_group_is_read_as_the_code_defines_it(group, speed, gust, direction):
    found = report_of(f"KXYZ 121553Z AUTO {group} 10SM CLR M13/M18 A2984 RMK AO2")

    assert found.wind_speed == pytest.approx(speed)
    assert found.wind_speed_of_gust == pytest.approx(gust, nan_ok=True)
    assert found.wind_from_direction == pytest.approx(direction, nan_ok=True)


def test_the_time_of_the_report_is_read():
    found = report_of("METAR EDDM 041220Z 24008KT 9999 FEW030 12/05 Q1019")

    assert (found.day, found.hour, found.minute) == (4, 12, 20)


@pytest.mark.parametrize(
    "message",
    [
        "",
        "KXYZ 121553Z AUTO /////KT 10SM",  # the sensor is missing
        "KXYZ 121553Z AUTO 10SM CLR",
        "KXYZ AUTO 24008KT 10SM",  # no time: of which hour would it be?
        "KXYZ 121553Z 24008KTX 10SM",
        "KXYZ 121553Z 10SM RMK PK WND 35032/1512 24008KT",  # only in the remarks
    ],
)
def test_a_report_without_a_wind_is_not_calm(message):
    assert parse_metar(message) is None


def test_the_peak_wind_of_the_remarks_is_not_the_wind():
    found = report_of("KXYZ 121553Z 24008KT 10SM RMK AO2 PK WND 28045/1512")

    assert math.isnan(found.wind_speed_of_gust)


@cases(300)
@given(st.text(max_size=40) | st.text(alphabet="0123456789PGKTMPSVRBZ /", max_size=40))
def test_any_text_is_a_report_or_none(message):
    found = parse_metar(message)

    assert found is None or found.wind_speed >= 0
