"""Harmonic predictions against those that the U.S. service printed."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from safety_check.physics.harmonic_tide import Harmonic, harmonic_series, turning_points
from safety_check.sources.coops.harmonics import load_constituents
from tests.recordings import shared_folder


def recorded(name: str) -> dict[str, Any]:
    folder = shared_folder("recorded", "tides", "coops")
    found: dict[str, Any] = json.loads((folder / name).read_text("utf-8"))
    return found


def harmonics(rows: list[dict[str, Any]], phase: str = "phase_GMT") -> list[Harmonic]:
    known = load_constituents()
    return [Harmonic(known[row["name"]], row["amplitude"], row[phase]) for row in rows]


def test_heights_at_seattle_from_2027_to_2050():
    told = recorded("9447130_constituents_and_6min_predictions_MSL_metric_gmt.json")
    time = np.array([row["t"].replace(" ", "T") for row in told["predictions"]],
                    dtype="datetime64[s]")  # fmt: skip

    found = harmonic_series(time, harmonics(told["constituents"]), 0.0)

    printed = np.array([float(row["v"]) for row in told["predictions"]])
    assert len(printed) == 20
    # 2 mm: the predictions and the constants are printed to a millimetre
    assert found == pytest.approx(printed, abs=0.002)


def test_high_and_low_water_at_san_francisco():
    told = recorded("9414290_predictions_hilo_MLLW_metric_gmt_20261005.json")["predictions"]
    constants = harmonics(recorded("9414290_constituents_metric.json")["constituents"])
    time = np.arange("2026-10-05T00", "2026-10-08T00", 360, dtype="datetime64[s]")

    # mean sea level lies 0.951 m above mean lower low water there
    turned, height = turning_points(time, harmonic_series(time, constants, 0.951))

    printed = np.array([row["t"].replace(" ", "T") for row in told], dtype="datetime64[s]")
    assert len(turned) == len(printed) == 12
    assert np.abs(turned - printed).max() <= np.timedelta64(60, "s")  # printed to a minute
    assert height == pytest.approx([float(row["v"]) for row in told], abs=0.002)


def test_slack_and_greatest_current_with_the_mean_flow():
    told = recorded("PUG1741_bin27_current_constituents_and_predictions_20260801.json")
    time = np.arange("2026-07-31T23", "2026-08-04T01", 60, dtype="datetime64[s]")
    series = harmonic_series(time, harmonics(told["constituents"], "phase"), told["offset"])

    turned, speed = turning_points(time, series)
    crossed = time[1:][np.sign(series[1:]) != np.sign(series[:-1])]

    assert len(told["events"]) == 24
    for event in told["events"]:
        at = np.datetime64(event["time"].removesuffix("Z"), "s")
        times = crossed if event["kind"] == "slack" else turned
        nearest = int(np.abs(times - at).argmin())
        # a minute for the printed time, a minute for the step
        assert np.abs(times[nearest] - at) <= np.timedelta64(120, "s"), event
        if event["kind"] != "slack":
            assert speed[nearest] == pytest.approx(event["velocityMajor"], abs=0.011)  # kt


def test_the_curve_jumps_with_the_year_and_only_there():
    told = recorded("9447130_constituents_and_6min_predictions_MSL_metric_gmt.json")
    constants = harmonics(told["constituents"])
    time = np.arange("2026-12-30", "2027-01-03", 60, dtype="datetime64[s]")

    steps = np.abs(np.diff(harmonic_series(time, constants, 0.0)))

    new_year = int(np.flatnonzero(time == np.datetime64("2027-01-01T00:00:00"))[0]) - 1
    assert np.delete(steps, new_year).max() < 0.02  # 20 mm a minute
    assert steps[new_year] < 0.1  # the service's own curve jumps by 80 mm at such a change


def test_every_constituent_of_the_service_is_known():
    told = recorded("1612340_mdapi_harcon_feet_20240904.json")["HarmonicConstituents"]
    known = load_constituents()

    assert {row["name"] for row in told} == known.keys()
    for row in told:
        assert known[row["name"]].speed == pytest.approx(row["speed"], abs=2e-5), row["name"]
