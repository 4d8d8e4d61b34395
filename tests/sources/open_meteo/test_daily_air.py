"""Daily air temperatures: read as they come, and unknown rather than guessed."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from safety_check.errors import DataError
from safety_check.model.weather import Provenance
from safety_check.sources.open_meteo.daily_air import (
    archive_query,
    lasting,
    missing_chunks,
    parse,
    recent_query,
)
from tests.recordings import shared_folder

AT = datetime(2026, 6, 12, 9, tzinfo=UTC)
ORIGIN = Provenance("Open-Meteo archive", "", "", AT, AT, recorded=False)
HERE = (45.0, -90.0)


def body(values, unit="°C", cell=HERE, first=datetime(2026, 6, 1, tzinfo=UTC)):
    start = int(first.timestamp())
    return json.dumps(
        {
            "latitude": cell[0],
            "longitude": cell[1],
            "utc_offset_seconds": 0,
            "hourly_units": {"time": "unixtime", "temperature_2m": unit},
            "hourly": {
                "time": [start + 3600 * hour for hour in range(len(values))],
                "temperature_2m": values,
            },
        }
    ).encode()


def read(answer):
    return parse(answer, ORIGIN, here=HERE, today=AT.date())


def test_a_recorded_answer_of_the_archive_is_read():
    recorded = (shared_folder("recorded", "open_meteo") / "archive_a.json").read_bytes()
    air = parse(recorded, ORIGIN, here=(-12.5, -130.8), today=date(2026, 6, 12))
    assert air.day.astype(str).tolist() == ["2022-12-29", "2022-12-30"]
    # its 24 hours begin at 09:00 UTC, so no day of UTC is known
    assert np.isnan(air.temperature).all()


def test_the_mean_of_a_day_needs_most_of_its_hours():
    values = [10.0] * 12 + [20.0] * 12 + [5.0] * 20 + [None] * 4 + [7.0] * 19 + [None] * 5
    air = read(body(values))
    assert air.temperature[:2].tolist() == [pytest.approx(288.15), pytest.approx(278.15)]
    assert np.isnan(air.temperature[2])


def test_other_units_are_converted_or_unknown():
    assert read(body([50.0] * 24, "°F")).temperature[0] == pytest.approx(283.15)
    with pytest.raises(DataError, match="known unit"):
        read(body([50.0] * 24, "undefined"))


def test_values_that_no_air_has_are_unknown():
    assert np.isnan(read(body([900.0] * 24)).temperature).all()


def test_an_answer_for_another_place_is_refused():
    with pytest.raises(DataError, match="another place"):
        read(body([10.0] * 24, cell=(46.0, -90.0)))


def test_days_to_come_say_how_far_ahead_they_are():
    air = read(body([10.0] * 24 * 14))
    assert air.ahead.tolist() == [0] * 12 + [1, 2]
    assert lasting(air, AT.date()).tolist() == [True] * 5 + [False] * 9


def test_only_days_that_are_not_stored_are_asked_for():
    today = AT.date()
    stored = {today - timedelta(days=number) for number in range(9, 731)}
    assert missing_chunks(stored, today) == [(today - timedelta(days=8), today - timedelta(days=7))]
    assert missing_chunks(stored | {today - timedelta(days=8), today - timedelta(days=7)},
                          today) == []  # fmt: skip


def test_what_is_asked():
    asked = archive_query(HERE, date(2025, 6, 12), date(2026, 6, 5))
    assert (asked["start_date"], asked["end_date"]) == ("2025-06-12", "2026-06-05")
    assert asked["latitude"] == "45.00"
    assert recent_query(HERE)["past_days"] == "14"


def test_the_first_day_may_have_a_single_hour():
    air = read(body([5.0] + [10.0] * 24, first=datetime(2026, 6, 1, 23, tzinfo=UTC)))
    assert air.day.astype(str).tolist() == ["2026-06-01", "2026-06-02"]
    assert np.isnan(air.temperature[0])
    assert air.temperature[1] == pytest.approx(283.15)


def test_a_day_that_is_wholly_unknown_stays_in_the_row():
    air = read(body([None] * 24 + [10.0] * 24 + [None] * 24))
    assert np.isnan(air.temperature).tolist() == [True, False, True]


def test_an_answer_without_a_place_is_refused():
    with pytest.raises(DataError, match="does not name its grid"):
        read(body([10.0] * 24, cell=(None, None)))
