"""The windows of an outlook as a calendar that other programs read."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from icalendar import Calendar

from tests.cli import test_outlook
from tests.cli.conftest import Runner
from tests.cli.test_outlook import COMMON

calm, windy = test_outlook.calm, test_outlook.windy


def test_each_window_is_an_event_at_its_instants(ready: Runner, calm: Path, tmp_path: Path) -> None:
    file = tmp_path / "windows.ics"
    done = ready("outlook", "pond", "--days", 3, "--forecast", calm, "--ical", file, "--json",
                 *COMMON)  # fmt: skip
    assert done.status == 0, done.err
    assert "Wrote" in done.err
    events = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    days = done.json["waters"][0]["days"]
    windows = [day["window"] for day in days if day["window"]]
    assert len(events) == len(windows) > 0
    for event, window in zip(events, windows, strict=True):
        assert event.decoded("dtstart").isoformat().replace("+00:00", "Z") == window["start"]
        assert event.decoded("dtend").isoformat().replace("+00:00", "Z") == window["end"]
        assert str(event["summary"]) == "GO: pond, ramp"
        assert "check again before you launch" in str(event["description"])
        assert "CC BY 4.0" in str(event["description"])


def test_a_newer_outlook_has_the_same_identities(ready: Runner, calm: Path, tmp_path: Path) -> None:
    found = []
    for name, clock in (("one.ics", "2026-06-12T05:00"), ("two.ics", "2026-06-12T09:00")):
        ready("outlook", "pond", "--days", 2, "--forecast", calm, "--ical", tmp_path / name,
              "--water-temp", "74 F", "--as-of", clock)  # fmt: skip
        events = Calendar.from_ical((tmp_path / name).read_bytes()).walk("VEVENT")
        found.append([str(event["uid"]) for event in events])
    assert found[0] == found[1]
    assert len(set(found[0])) == len(found[0]) == 2


def test_a_day_without_a_window_is_no_event(ready: Runner, windy: Path, tmp_path: Path) -> None:
    file = tmp_path / "none.ics"
    done = ready("outlook", "large lake", "--days", 1, "--forecast", windy, "--ical", file, *COMMON)
    assert done.status == 0
    assert Calendar.from_ical(file.read_bytes()).walk("VEVENT") == []


def test_without_the_library_one_sentence_says_how_to_get_it(
    ready: Runner, calm: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "icalendar", None)
    file = tmp_path / "windows.ics"
    done = ready("outlook", "pond", "--forecast", calm, "--ical", file, *COMMON)
    assert done.status == 2
    assert "safety-check[calendar]" in done.err
    assert not file.exists()
