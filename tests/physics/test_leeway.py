"""Leeway by the published table, as shipped in config/leeway.toml."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from safety_check.physics.leeway import (
    Leeway,
    aside_speed,
    downwind_speed,
    drift_velocity,
    stopped_speed,
)

TABLE = tomllib.loads((Path(__file__).parents[2] / "config" / "leeway.toml").read_text("utf-8"))
ROWS = {
    name: Leeway.printed(row["downwind"], row["right"], row["left"])
    for name, row in TABLE["leeway"].items()
}


def test_every_row_has_three_figures_three_times_and_its_name_in_the_source():
    for row in TABLE["leeway"].values():
        assert set(row) == {"label", "row", "downwind", "right", "left"}
        assert [len(row[line]) for line in ("downwind", "right", "left")] == [3, 3, 3]
        assert row["downwind"][0] > 0
        assert row["right"][0] > row["left"][0]


# Not published: computed beforehand from the table's lines. Wind m/s, drift cm/s.
@pytest.mark.promise("drift from trials")
@pytest.mark.parametrize(
    ("name", "wind", "drift"),
    [
        ("sea_kayak", 5, 16.92),
        ("sea_kayak", 8, 20.40),
        ("sea_kayak", 10, 22.72),
        ("sea_kayak", 12, 25.04),
        ("person_unknown", 10, 9.60),
        ("skiff_v_hull", 10, 32.68),
    ],
)
def test_drift_down_the_wind_follows_the_table(name, wind, drift):
    assert downwind_speed(np.array(float(wind)), ROWS[name]) * 100 == pytest.approx(drift, abs=0.01)


def test_a_capsized_paddler_who_lets_go_is_left_behind():
    # The same table: kayak 22.7 against an upright person's 4.8 cm/s at 10 m/s; 11 m a minute.
    wind = np.array(10.0)
    kayak = downwind_speed(wind, ROWS["sea_kayak"])
    person = downwind_speed(wind, ROWS["person_vertical_pfd_3"])

    assert (kayak - person) * 60 == pytest.approx(11, abs=0.5)  # whole metres


def test_a_skiff_goes_aside_as_the_table_says():
    # SKIFF-2: right 0.32 % - 2.93, left -0.62 % + 1.03 cm/s.
    aside = [aside_speed(np.array(10.0), ROWS["skiff_v_hull"], side) * 100 for side in (1, 0, -1)]

    assert aside == pytest.approx([0.27, 0.0, -5.17], abs=1e-9)


def test_nothing_drifts_up_the_wind():
    # A sitting person's line falls below zero under 2.5 m/s.
    assert downwind_speed(np.array([0.0, 2.0]), ROWS["person_sitting_pfd_1_2"]).tolist() == [0, 0]


def test_more_wind_never_drifts_slower_and_an_upright_angler_never_slower_than_the_table():
    wind = np.linspace(0, 30, 61)
    for row in ROWS.values():
        lying, upright = downwind_speed(wind, row), stopped_speed(wind, row)

        assert (np.diff(lying) >= 0).all()
        assert (np.diff(upright) >= 0).all()
        assert (upright >= lying).all()


# A wind from the north goes south, its right hand is west; the rest follows by turning.
@pytest.mark.parametrize(
    ("wind_from", "down", "right"),
    [(0, (0, -1), (-1, 0)), (90, (-1, 0), (0, 1)), (180, (0, 1), (1, 0)), (270, (1, 0), (0, -1))],
)
def test_drift_goes_where_the_wind_goes_and_its_right_is_right(wind_from, down, right):
    one, none = np.array(1.0), np.array(0.0)
    direction = np.array(float(wind_from))

    assert drift_velocity(one, none, direction) == pytest.approx(down, abs=1e-12)
    assert drift_velocity(none, one, direction) == pytest.approx(right, abs=1e-12)


@pytest.mark.parametrize("bad", [np.nan, -1.0])
def test_in_an_unknown_wind_the_drift_is_unknown(bad):
    wind, row = np.array([bad]), ROWS["sea_kayak"]

    assert np.isnan(downwind_speed(wind, row)).all()
    assert np.isnan(stopped_speed(wind, row)).all()
    for side in (-1, 0, 1):
        assert np.isnan(aside_speed(wind, row, side)).all()
    assert np.isnan(drift_velocity(wind * np.nan, np.array(0.0), np.array(0.0))).all()
    assert np.isnan(drift_velocity(np.array(1.0), np.array(0.0), np.array(np.nan))).all()


def test_a_stopped_craft_drifts_at_the_larger_of_its_line_and_3_75_percent_of_the_wind():
    # By hand: 2 % of the wind and 10 cm/s against 3.75 % (judgement); equal at 5.71 m/s.
    row = Leeway.printed([2.0, 10.0, 4.0], [0.4, 1.0, 4.0], [-0.5, -2.0, 4.0])

    assert stopped_speed(np.array([4.0, 8.0]), row) == pytest.approx([0.18, 0.3])
    assert row.right == (0.004, 0.01, 0.04)
    assert row.left == (-0.005, -0.02, 0.04)
    assert aside_speed(np.array([10.0]), row, 1) == pytest.approx([0.05])
    assert aside_speed(np.array([10.0]), row, -1) == pytest.approx([-0.07])
