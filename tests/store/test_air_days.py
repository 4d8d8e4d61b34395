"""Daily air temperatures in the history."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest

from safety_check.model.water_estimate import DailyAir
from safety_check.model.weather import Provenance
from safety_check.store.air_days import place_of
from safety_check.store.schema import NAME
from safety_check.store.store import Store

HERE = place_of(45.004, -90.0)


def air(first: str, *values: float, ahead: float = 0.0) -> DailyAir:
    day = np.datetime64(first) + np.arange(len(values))
    return DailyAir(day, np.array(values), np.full(len(values), ahead))


def test_days_are_stored_for_good_once_they_last(tmp_path):
    with Store.open(tmp_path) as store:
        store.save_air(HERE, air("2026-06-01", 280.0, 281.0, ahead=2.0), np.array([False, False]))
        store.save_air(HERE, air("2026-06-01", 282.0, np.nan), np.array([True, True]))
        store.save_air(HERE, air("2026-06-01", 290.0, 291.0), np.array([True, False]))
        kept = store.air(HERE)
        assert kept.temperature.tolist() == [282.0, 291.0]
        assert kept.ahead.tolist() == [0.0, 0.0]
        assert store.lasting_days(HERE) == {date(2026, 6, 1)}
        nothing = store.air("46.00,-90.00")
        assert nothing.day.size == nothing.temperature.size == nothing.ahead.size == 0


def test_where_the_air_comes_from_is_stored_the_newest_of_each_source(tmp_path):
    def from_source(name, hour):
        moment = datetime(2026, 6, 12, hour, tzinfo=UTC)
        origin = Provenance(name, "", "https://example.org", None, moment, False, "credit")
        return replace(air("2026-06-01", 280.0), provenance=(origin,))

    with Store.open(tmp_path) as store:
        for name, hour in (("archive", 3), ("recent", 3), ("recent", 9)):
            store.save_air(HERE, from_source(name, hour), np.array([False]))
        found = store.air(HERE).provenance
        assert [(one.source, one.fetched.hour) for one in found] == [("archive", 3), ("recent", 9)]
        assert all(one.attribution == "credit" for one in found)
    with sqlite3.connect(tmp_path / NAME) as file:
        file.execute("UPDATE air_origins SET archive = x'00'")
    with Store.open(tmp_path) as store:
        assert store.air(HERE).temperature.tolist() == [280.0]
        assert store.air(HERE).provenance == ()


def test_a_missing_day_is_unknown(tmp_path):
    with Store.open(tmp_path) as store:
        store.save_air(HERE, air("2026-06-01", 280.0), np.array([True]))
        store.save_air(HERE, air("2026-06-03", 281.0), np.array([True]))
        assert np.isnan(store.air(HERE).temperature).tolist() == [False, True, False]


def test_a_damaged_row_is_left_out(tmp_path):
    with Store.open(tmp_path) as store:
        store.save_air(HERE, air("2026-06-01", 280.0, 281.0), np.array([True, True]))
    with sqlite3.connect(tmp_path / NAME) as file:
        file.execute("UPDATE air_days SET air_temperature = 9e9 WHERE day = '2026-06-02'")
    with Store.open(tmp_path) as store:
        assert store.air(HERE).temperature.tolist() == [280.0]


@pytest.mark.parametrize(
    ("value", "ahead", "kept"),
    [
        *((180.0, 0.0, True), (335.0, 16.0, True), (179.9, 0.0, False), (335.1, 0.0, False)),
        *((280.0, -0.1, False),),
    ],
)
def test_a_temperature_outside_nature_is_damage(tmp_path, value, ahead, kept):
    with Store.open(tmp_path) as store:
        store.save_air(HERE, air("2026-06-01", value, ahead=ahead), np.array([False]))
        assert len(store.air(HERE).day) == kept
        assert store.unreadable == (not kept)


def test_a_missing_day_has_no_lead_and_the_others_keep_theirs(tmp_path):
    with Store.open(tmp_path) as store:
        store.save_air(HERE, air("2026-06-01", 280.0, ahead=3.0), np.array([False]))
        store.save_air(HERE, air("2026-06-03", 281.0, ahead=5.0), np.array([False]))
        found = store.air(HERE)
        assert found.day.astype(str).tolist() == ["2026-06-01", "2026-06-02", "2026-06-03"]
        assert found.ahead.tolist() == [3.0, 0.0, 5.0]


def test_a_place_is_named_to_a_hundredth_of_a_degree():
    assert place_of(45.0049, -90.126) == "45.00,-90.13"


def test_places_and_sources_are_read_back_with_the_last_value_of_each_day(tmp_path):
    with Store.open(tmp_path) as store:
        store.save_air(HERE, air("2026-06-02", 280.0), np.array([False]))
        store.save_air(HERE, air("2026-06-02", 281.0), np.array([True]))
        assert store.air(HERE).temperature.tolist() == [281.0]
        assert store.lasting_days(HERE) == {date(2026, 6, 2)}
