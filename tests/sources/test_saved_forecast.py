from __future__ import annotations

import json
import os
from contextlib import suppress
from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.weather import Forecast
from safety_check.sources import saved_forecast
from safety_check.sources.saved_forecast import LARGEST, read_briefing, read_forecast
from tests.sources.open_meteo_answers import SIX, body, by_model, document

FIRST_ROW = datetime(2026, 11, 25, 6, tzinfo=UTC)


@pytest.fixture
def file(tmp_path):
    def write(content: bytes, name: str = "tomorrow.txt"):
        path = tmp_path / name
        path.write_bytes(content)
        os.utime(path, (SIX + 86400, SIX + 86400))
        return path

    return write


def test_a_file_is_told_by_what_is_in_it_and_not_by_its_name(file):
    told = read_forecast(file(body(), "waves.csv"))

    assert told.provenance.source == "Open-Meteo"
    assert told.provenance.recorded is True
    assert told.provenance.url == ""
    assert "Open-Meteo" in told.provenance.attribution


def test_a_marine_answer_is_a_marine_forecast(file):
    told = read_forecast(file(body({"wave_height": [0.5] * 3})))

    assert told.provenance.source == "Open-Meteo marine"


def test_without_a_current_block_a_file_is_as_old_as_its_first_row(file):
    provenance = read_forecast(file(body())).provenance

    assert provenance.issued == provenance.fetched == FIRST_ROW


def test_the_current_block_says_more_exactly_when_it_was_made(file):
    now: dict[str, Any] = {"current": {"time": SIX + 4500}, "current_units": {"time": "unixtime"}}
    provenance = read_forecast(file(body(**now))).provenance

    assert provenance.issued == datetime(2026, 11, 25, 7, 15, tzinfo=UTC)


@pytest.mark.parametrize(
    "block",
    [
        {"current": {"time": "soon"}, "current_units": {"time": "unixtime"}},
        {"current": {"time": SIX + 4500}},
        {"current": 17, "current_units": {"time": "unixtime"}},
        {"current": {}, "current_units": {"time": "unixtime"}},
    ],
)
def test_a_current_block_that_means_nothing_says_nothing(file, block):
    assert read_forecast(file(body(**block))).provenance.issued == FIRST_ROW


def test_an_answer_that_begins_with_yesterday_is_as_old_as_the_day_it_was_written(file):
    midnight = SIX - 6 * 3600  # of the first row's day
    said = document()
    said["hourly"]["time"] = [midnight, midnight + 3600, midnight + 7200]
    path = file(json.dumps(said).encode())
    for written, issued in (
        (midnight + 20 * 3600, midnight),
        (midnight + 44 * 3600, midnight + 24 * 3600),
        (midnight + 49 * 3600, midnight),  # copied later: the file's own date says nothing
    ):
        os.utime(path, (written, written))
        assert read_forecast(path).provenance.issued == datetime.fromtimestamp(issued, UTC)


LAUNCH = SimpleNamespace(latitude=44.4, longitude=-93.3)
PLAN: Any = SimpleNamespace(launch=LAUNCH, water=SimpleNamespace(elevation=None))


def test_a_file_whose_first_row_is_still_to_come_is_as_old_as_its_own_date(file):
    path = file(body())
    os.utime(path, (SIX - 86400, SIX - 86400))
    evening = datetime(2026, 11, 24, 20, tzinfo=UTC)

    told = read_briefing(path, PLAN, evening).forecasts[0]
    assert told.provenance.issued == datetime(2026, 11, 24, 6, tzinfo=UTC)


def test_a_file_is_never_younger_than_the_clock_of_the_check(file):
    evening = datetime(2026, 11, 24, 20, tzinfo=UTC)
    told = read_briefing(file(body()), PLAN, evening).forecasts[0]

    assert told.provenance.issued == evening


def test_a_file_of_this_very_moment_or_of_earlier_keeps_its_first_hour(file):
    path = file(body())
    os.utime(path, (SIX - 3600, SIX - 3600))
    for now in (FIRST_ROW, datetime(2026, 11, 25, 20, tzinfo=UTC)):
        assert read_briefing(path, PLAN, now).forecasts[0].provenance.issued == FIRST_ROW


@pytest.mark.parametrize(("more", "taken"), [(0, True), (1, False)])
def test_a_file_may_be_as_large_as_the_limit(file, monkeypatch, more, taken):
    monkeypatch.setattr(saved_forecast, "LARGEST", len(body()) - more)
    if taken:
        assert read_forecast(file(body())).cell == (44.5, -93.25)
    else:
        with pytest.raises(DataError, match="larger than"):
            read_forecast(file(body()))


@pytest.mark.parametrize(
    ("said", "known"),
    [
        ({"latitude": 1, "longitude": 2}, False),
        ({"latitude": 1, "hourly": {}}, False),
        ({"hourly": {}}, False),
        ({"latitude": 1, "longitude": 2, "minutely_15": {}}, True),
        ([{"latitude": 1, "longitude": 2, "daily": {}}, 5], True),
        ([5, {"latitude": 1, "longitude": 2, "daily": {}}], False),
        ([], False),
    ],
)
def test_a_file_is_known_by_its_place_and_one_of_its_sections(file, said, known):
    # none of these has hours: what is known is asked for them, and the rest is refused before
    with pytest.raises(DataError) as refused:
        read_forecast(file(json.dumps(said).encode()))
    assert ("not a forecast in a known format" in str(refused.value)) != known


def test_of_several_places_the_first_tells_the_kind_of_the_file(file):
    waves = document({"wave_height": [0.5] * 3})
    told = read_forecast(file(json.dumps([waves, document()]).encode()))
    assert told.provenance.source == "Open-Meteo marine"
    told = read_forecast(file(json.dumps([document(), waves]).encode()))
    assert told.provenance.source == "Open-Meteo"


def test_the_launch_chooses_among_places(file):
    here = document()
    there = document({"wind_speed_10m": [9.0] * 3}, latitude=10.0, longitude=10.0)
    path = file(json.dumps([here, there]).encode())

    assert read_forecast(path).cell == (44.5, -93.25)
    assert read_forecast(path, place=(11.0, 9.0)).cell == (10.0, 10.0)


def test_a_briefing_from_a_file_says_what_nobody_was_asked(file):
    now = datetime(2026, 11, 25, 20, tzinfo=UTC)
    columns = by_model("ecmwf_ifs", "brand_new_model")
    told = read_briefing(file(body(columns)), PLAN, now)

    assert told.at == now
    assert [forecast.models for forecast in told.forecasts] == [("ecmwf_ifs",)]
    assert [(failure.source, failure.applies) for failure in told.silences] == [
        ("Open-Meteo, brand_new_model", True),
        ("official warnings", False),
    ]


BAD = {
    "empty": (b"", "not complete JSON"),
    "binary": (b"\x00\x01\x02\xff", "not complete JSON"),
    "page": (b"<!DOCTYPE html>", "begin with '<!DOCTYPE html>'"),
    "cut off": (body()[:-30], "not complete JSON"),
    "other JSON": (b'{"type":"FeatureCollection"}', "not a forecast in a known format"),
    "a list": (b"[1,2,3]", "not a forecast in a known format"),
    "an error": (b'{"error":true,"reason":"No data"}', "says 'No data'"),
    "daily only": (b'{"latitude":1,"longitude":2,"daily":{}}', "no hourly section"),
}


@pytest.mark.parametrize("bad", BAD)
def test_a_file_that_is_no_forecast_is_named_with_the_reason(file, bad):
    content, why = BAD[bad]
    with pytest.raises(DataError) as raised:
        read_forecast(file(content))

    assert str(raised.value).startswith("tomorrow.txt")
    assert why in str(raised.value)
    assert "\n" not in str(raised.value)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(DataError, match=r"nowhere\.json: there is no such file"):
        read_forecast(tmp_path / "nowhere.json")


def test_a_folder_is_no_forecast(tmp_path):
    with pytest.raises(DataError, match="this is a folder"):
        read_forecast(tmp_path)


def test_a_name_that_no_file_can_have_is_refused(tmp_path):
    with pytest.raises(DataError, match="can't be read"):
        read_forecast(tmp_path / "a\0b")


def test_a_huge_file_is_refused_before_it_is_read_whole(tmp_path):
    path = tmp_path / "huge.json"
    with path.open("wb") as hole:
        hole.truncate(LARGEST + 1)

    with pytest.raises(DataError, match="larger than 32 MB"):
        read_forecast(path)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=60), st.integers(0, 400))
def test_any_file_is_a_forecast_or_a_data_error(file, noise, cut):
    with suppress(DataError):
        assert isinstance(read_forecast(file(body()[:cut] + noise + body()[cut:])), Forecast)
