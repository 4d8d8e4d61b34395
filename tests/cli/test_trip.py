"""The trip log and the limits that learn from it, as a user runs them."""

from __future__ import annotations

import csv
import io
import shlex

import pytest

from safety_check.settings.settings import load_settings
from tests.cli.conftest import Runner

LOG = ("trip", "log", "pond", "--began", "2021-06-13 09:00", "--craft", "mine")


def test_a_logged_trip_is_listed_with_what_was_met(ready: Runner) -> None:
    done = ready(*LOG, "--wind", "scattered whitecaps", "--waves", "1/2 ft", "--comfort", "uneasy",
                 "--notes", "turned back early")  # fmt: skip
    assert done.status == 0
    for out in (done.out, ready("trip", "list").out):
        said = " ".join(out.split())
        assert "2021-06-13 09:00; pond; mine" in said
        assert "Beaufort 3, from the look of the water" in said
        assert "waves 0.5 ft; comfort 2 of 5 turned back early" in said


def test_a_trip_that_was_called_off_and_one_struck_out(ready: Runner) -> None:
    ready(*LOG, "--stayed")
    assert "called off" in ready("trip", "list").out
    assert ready("trip", "remove", "1").status == 0
    assert "No trips yet" in ready("trip", "list").out
    assert (ready("trip", "remove", "1").status, ready("trip", "list", "--json").json) == (2, [])


def test_the_log_exports_to_csv_and_json_alike(ready: Runner) -> None:
    ready(*LOG, "--wind", "12 mph", "--notes", 'a "quoted", note\nof two lines')
    ready(*LOG, "--comfort", "5")
    told = ready("trip", "export", "--json").json
    rows = list(csv.DictReader(io.StringIO(ready("trip", "export", "--csv").out)))
    assert [entry["wind_speed"] for entry in told] == [pytest.approx(5.36448), None]
    assert [row["wind_speed [m s-1]"] for row in rows] == [str(told[0]["wind_speed"]), ""]
    assert [row["notes"] for row in rows] == [entry["notes"] for entry in told]
    assert [row["start"] for row in rows] == ["2021-06-13T14:00:00+00:00"] * 2
    assert ready("trip", "export", "--csv", "--json").status == 2


def test_limits_suggest_proposes_with_the_trips_and_changes_nothing(ready: Runner) -> None:
    for wind, comfort in (("4 mph", "5"),) * 3 + (("8 mph", "2"), ("9 mph", "afraid")):
        ready(*LOG, "--wind", wind, "--comfort", comfort)
    before = load_settings()
    done = ready("limits", "suggest", "--craft", "mine")
    assert load_settings() == before
    said = " ".join(done.out.split())
    assert "TIGHTER: wind speed, caution from 9 mph, now 12.3 mph" in said
    assert "- 2021-06-13 pond: 8 mph, comfort 2 of 5" in said
    assert "Nothing was changed" in said
    told = ready("limits", "suggest", "--craft", "mine", "--json").json
    command = told["suggestions"][0]["command"]
    assert ready(*shlex.split(command)[1:]).status == 0
    assert [limit.marginal for limit in load_settings().user.limit] == ["9 mph"]
    assert "Nothing to change" in ready("limits", "suggest", "--craft", "mine").out


def test_a_looser_limit_is_only_set_by_the_user_and_in_so_many_words(ready: Runner) -> None:
    for _ in range(5):
        ready(*LOG, "--wind", "14 mph", "--comfort", "at ease")
    told = ready("limits", "suggest", "--craft", "mine", "--json").json
    command = told["suggestions"][0]["command"]
    assert command.endswith("--loosen")
    assert ready(*shlex.split(command)[1:-1]).status == 1
    assert ready(*shlex.split(command)[1:]).status == 0


def test_with_few_trips_nothing_is_proposed_and_the_minimum_is_said(ready: Runner) -> None:
    ready(*LOG, "--wind", "8 mph", "--comfort", "1")
    done = ready("limits", "suggest", "--craft", "mine")
    assert "Wind speed: logged with a comfort rating on 1 trip; suggestions need 5." in done.out


def test_a_range_is_logged_with_both_ends_and_each_counts_where_it_is_stricter(
    ready: Runner,
) -> None:
    done = ready(*LOG, "--wind", "10-14 mph", "--waves", "1-2 ft", "--water-temp", "58 F")
    assert "wind 10 mph to 14 mph; waves 1.0 ft to 2.0 ft; water 58 °F" in " ".join(
        done.out.split()
    )
    told = ready("trip", "list", "--json").json[0]
    assert told["wind_speed"] == pytest.approx(14 * 0.44704)  # compared with forecasts
    assert told["wind_speed_least"] == pytest.approx(10 * 0.44704)  # for suggested limits
