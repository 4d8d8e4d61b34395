"""Tide and current between events: against the services' own series, and where not known."""

from __future__ import annotations

import json
from datetime import datetime

import numpy as np
import pytest

from safety_check.physics.tide import height_of_tide, speed_of_current
from tests.recordings import shared_folder

HOUR = 3600.0


def recorded(name: str) -> list[dict[str, object]]:
    found: list[dict[str, object]] = json.loads(
        (shared_folder("recorded", "tides", "iwls") / name).read_text("utf-8")
    )
    return found


def seconds(text: object) -> float:
    return datetime.fromisoformat(str(text)).timestamp()


def test_the_quarter_sine_follows_the_series_of_the_canadian_service():
    events = recorded("active-pass-events_20260722.json")
    signs = {"SLACK": 0.0, "EXTREMA_FLOOD": 1.0, "EXTREMA_EBB": -1.0}
    times = np.array([seconds(event["eventDate"]) for event in events])
    speeds = np.array([signs[str(event["qualifier"])] * float(str(event["value"]))
                       for event in events])  # fmt: skip
    series = recorded("active-pass-wcsp1_20260722.json")
    time = np.array([seconds(row["eventDate"]) for row in series])
    official = np.array([float(str(row["value"])) for row in series])

    found = np.abs(speed_of_current(time, times, speeds))

    known = np.isfinite(found)
    assert known.sum() > 150
    # kt; the official curve is not a sine, and the sheet of facts measured 0.25
    assert np.abs(found - official)[known].max() < 0.25


def test_the_twelfths_rule_is_near_the_cosine():
    # 1-2-3-3-2-1 twelfths of the range at sixths of the time (read: nauticalcharts.com); the
    # rule and the cosine differ by 2.6 % of the range at most
    sixths = np.arange(7.0) * HOUR
    rule = np.cumsum([0, 1, 2, 3, 3, 2, 1]) / 12

    found = height_of_tide(sixths, np.array([0.0, 6 * HOUR]), np.array([0.0, 1.0]))

    assert found == pytest.approx(rule, abs=0.026)


def test_the_rule_of_fifty_and_ninety_is_near_the_quarter_sine():
    thirds = np.arange(4.0) * HOUR

    found = speed_of_current(thirds, np.array([0.0, 3 * HOUR]), np.array([0.0, 1.0]))

    assert found == pytest.approx([0.0, 0.5, 0.9, 1.0], abs=0.04)  # the true sine gives 0.87


def test_nothing_is_known_outside_the_events_or_in_a_gap():
    events, heights = np.array([0, 6, 30, 36]) * HOUR, np.array([0.0, 2.0, 0.0, 2.0])

    found = height_of_tide(np.array([-1, 3, 15, 33, 37]) * HOUR, events, heights)

    assert np.isnan(found).tolist() == [True, False, True, False, True]


def test_a_missing_slack_or_greatest_current_makes_the_time_between_unknown():
    events = np.array([0, 3, 6, 9, 12]) * HOUR
    between = np.array([1.5, 4.5, 7.5, 10.5]) * HOUR

    without_greatest = speed_of_current(between, events, np.array([0.0, 0, -1, 0, 1]))
    without_slack = speed_of_current(between, events, np.array([0.0, 1, -1, 0, 1]))

    assert np.isnan(without_greatest).tolist() == [True, False, False, False]
    assert np.isnan(without_slack).tolist() == [False, True, False, False]


def test_two_greatest_floods_without_a_slack_stay_a_flood():
    found = speed_of_current(np.array([1.0, 2.0]) * HOUR, np.array([0, 3]) * HOUR,
                             np.array([1.0, 2.0]))  # fmt: skip

    assert np.all((found > 1) & (found < 2))


def test_between_two_greatest_floods_the_speed_goes_from_one_to_the_other():
    hours, events = 3600.0 * np.array([0, 2, 3, 4, 6]), 3600.0 * np.array([0.0, 6.0])
    speed = speed_of_current(hours, events, np.array([2.0, 1.0]))
    assert speed == pytest.approx([2.0, 1.75, 1.5, 1.25, 1.0])


@pytest.mark.parametrize("events", [[], [0.0]])
def test_one_event_tells_nothing(events):
    for law in (height_of_tide, speed_of_current):
        assert np.isnan(law(np.zeros(2), np.array(events), np.array(events))).all()


def test_an_event_of_unknown_height_spoils_its_neighbourhood_only():
    events, heights = np.arange(4.0) * 6 * HOUR, np.array([0.0, np.nan, 0.0, 2.0])

    found = height_of_tide(np.array([3.0, 9.0, 15.0]) * HOUR, events, heights)

    assert np.isnan(found).tolist() == [True, True, False]
