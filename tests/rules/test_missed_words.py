"""What a missed forecast reads like, in whole sentences worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.weather import OWN_EYES, Observation
from safety_check.rules.missed_words import (
    describe_amount,
    describe_missed_forecasts,
    least_wind,
)
from safety_check.units import Preferences
from tests import scenes

ZONE = ZoneInfo("America/Chicago")  # five hours behind UTC in June
MPH = 0.44704  # m/s, exact: the international mile in an hour
SEEN = Observation("wind_speed", 20 * MPH, scenes.NOW, OWN_EYES, 0.0, scenes.FROM_A_FILE)
MISSED = MissedForecast(SEEN, 9 * MPH, 13 * MPH)
NO_RUN = " Get a newer forecast, and check again."


def told(*misses: MissedForecast) -> str:
    return describe_missed_forecasts(misses, Preferences(), ZONE)


def test_what_was_seen_is_put_beside_what_was_forecast() -> None:
    forecast = "but the forecasts said 9 mph and, with their usual error, at most 13 mph."
    assert told(MISSED) == f"On Fri 17:00 you saw wind of 20 mph, {forecast}{NO_RUN}"
    assert told() == ""


def test_a_station_and_the_models_that_missed_are_named() -> None:
    gusts = replace(SEEN, quantity="wind_speed_of_gust", station="buoy 9")
    missed = replace(MISSED, observation=gusts, forecasts=("one", "other"))
    assert told(missed).startswith(
        "On Fri 17:00 station buoy 9 reported gusts of 20 mph, but one and other said 9 mph"
    )


def test_when_the_next_run_is_due_is_said_in_the_waters_time() -> None:
    due = replace(MISSED, next_run=scenes.NOW + timedelta(hours=8, minutes=30), next_run_of="one")
    assert told(due).endswith(
        "at most 13 mph. The next run (one) is due about Sat 01:30; check again then."
    )


@pytest.mark.parametrize(
    ("others", "more"),
    [
        (0, ""),
        (1, " One more observation was missed."),
        (2, " 2 more observations were missed."),
        (3, " 3 more observations were missed."),
    ],
)
def test_further_misses_are_counted(others: int, more: str) -> None:
    assert told(*[MISSED] * (1 + others)).endswith(f"at most 13 mph.{more}{NO_RUN}")


def test_an_end_of_the_forecasts_that_rounds_to_what_was_seen_is_almost_that() -> None:
    assert ", almost 20 mph." in told(replace(MISSED, highest=19.7 * MPH))
    assert ", at most 19 mph." in told(replace(MISSED, highest=19.3 * MPH))


def test_a_sign_means_at_least_the_lowest_wind_of_its_force() -> None:
    # Beaufort 4 begins at 5.5 m/s (WMO-No. 306, code table 1100), which is 12.3 mph.
    signed = replace(SEEN, value=5.5, sign="whitecaps")
    words = "whitecaps: 12 mph or more (Beaufort 4)"
    assert describe_amount(signed, Preferences()) == words
    assert f"you saw {words}, but" in told(replace(MISSED, observation=signed))
    assert describe_amount(SEEN, Preferences()) == "wind of 20 mph"
    assert least_wind("whitecaps", 5.5, "Bft") == "whitecaps: 4 Bft or more"
