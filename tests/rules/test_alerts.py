from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.verdict import Severity
from safety_check.model.weather import Alert, Provenance
from safety_check.rules.alerts import AlertMeanings, alert_severity, holds_during
from safety_check.settings.alert_classes import load_alert_classes
from safety_check.settings.folders import shipped_file
from tests.properties import cases

MEANINGS = AlertMeanings(
    {"Small Craft Advisory": Severity.NO_GO, "Frost Advisory": Severity.GO}, load_alert_classes
)
NOTHING_LISTED = AlertMeanings({}, load_alert_classes)
NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


def named(event: str, severity: str, hazard: str = "") -> Alert:
    source = Provenance("a service", "", "", None, NOON, recorded=True)
    return Alert(event, severity, "", "", "", "", "", None, None, "", source, hazard)


def test_the_name_decides_and_not_the_services_own_scale():
    assert alert_severity(named("Small Craft Advisory", "Minor"), MEANINGS) is Severity.NO_GO
    assert alert_severity(named("Frost Advisory", "Extreme"), MEANINGS) is Severity.GO


@pytest.mark.parametrize("event", ["small craft advisory", "SMALL  CRAFT ADVISORY "])
def test_case_and_spacing_of_a_name_do_not_matter(event):
    assert alert_severity(named(event, "Minor"), MEANINGS) is Severity.NO_GO


@pytest.mark.parametrize("severity", ["Severe", "Extreme", "severe", " EXTREME "])
def test_an_unlisted_event_that_is_severe_is_a_no_go(severity):
    assert alert_severity(named("Ball Lightning Warning", severity), MEANINGS) is Severity.NO_GO


@cases(100)
@given(st.text(), st.text())
def test_an_unlisted_event_is_never_nothing(event, severity):
    assert alert_severity(named(event, severity), NOTHING_LISTED) >= Severity.MARGINAL


@pytest.mark.parametrize(
    ("hazard", "severity", "meaning"),
    [
        ("gale", "Minor", "NO-GO"),
        ("wind", "Moderate", "NO-GO"),
        ("thunder", "Unknown", "NO-GO"),
        ("rain", "Moderate", "MARGINAL"),
        ("rain", "Severe", "NO-GO"),
        ("rain", "Unknown", "MARGINAL"),
        ("rain", "", "NO-GO"),
        ("rain", "Sev", "NO-GO"),
        ("fire", "Moderate", "GO"),
        ("fire", "", "MARGINAL"),
        ("other", "Minor", "MARGINAL"),
        ("other", "Extreme", "NO-GO"),
        ("a class that is not listed", "Severe", "NO-GO"),
        ("a class that is not listed", "Moderate", "MARGINAL"),
    ],
)
def test_a_class_of_hazard_counts_by_its_severity(hazard, severity, meaning):
    # the name is listed for another country as nothing, and does not count
    told = named("Frost Advisory", severity, hazard)

    assert str(alert_severity(told, MEANINGS)) == meaning


def alert(onset: datetime | None, ends: datetime | None) -> Alert:
    source = Provenance("a service", "", "", None, NOON, recorded=True)
    return Alert("Gale Warning", "", "", "", "", "", "", onset, ends, "", source)


SPANS = [  # onset, ends, in hours from the trip's start; the trip lasts three
    (-2, -1, False),
    (-2, 0, True),
    (1, 2, True),
    (-5, 9, True),
    (3, 4, True),
    (4, 5, False),
    (None, -1, False),
    (None, None, True),
    (2, None, True),
    (4, None, False),
    (None, 1, True),
]


@pytest.mark.parametrize(("onset", "ends", "touches"), SPANS)
def test_an_alert_touches_a_trip_that_shares_a_moment_with_it(onset, ends, touches):
    one, other = (None if value is None else NOON + value * HOUR for value in (onset, ends))

    assert holds_during(alert(one, other), NOON, NOON + 3 * HOUR) is touches


def test_losing_the_times_of_an_alert_never_ends_it():
    told = alert(NOON, NOON + HOUR)

    for lost in (replace(told, onset=None), replace(told, ends=None)):
        assert holds_during(lost, NOON, NOON + HOUR)


# -- the shipped table ------------------------------------------------------------------------

ENTRIES = tomllib.loads(shipped_file("alerts.toml").read_text(encoding="utf-8"))["alert"]
LISTED = {
    event: (entry["severity"], code) for entry in ENTRIES for event, code in entry["events"].items()
}

# Counted in three whole answers of the service, December 2025 (event, VTEC); each of the
# wind, sea and storm products among them forbids a kayak, which is our judgement.
COUNTED = [
    ("Small Craft Advisory", "SC.Y", "no_go"),
    ("Brisk Wind Advisory", "BW.Y", "no_go"),
    ("Lake Wind Advisory", "LW.Y", "no_go"),
    ("Wind Advisory", "WI.Y", "no_go"),
    ("High Wind Warning", "HW.W", "no_go"),
    ("High Wind Watch", "HW.A", "no_go"),
    ("Gale Warning", "GL.W", "no_go"),
    ("Gale Watch", "GL.A", "no_go"),
    ("Storm Warning", "SR.W", "no_go"),
    ("Hazardous Seas Warning", "SE.W", "no_go"),
    ("Special Marine Warning", "MA.W", "no_go"),
    ("Severe Thunderstorm Warning", "SV.W", "no_go"),
    ("Flash Flood Warning", "FF.W", "no_go"),
    ("Heavy Freezing Spray Warning", "UP.W", "no_go"),
    ("Special Weather Statement", "", "marginal"),
    ("Rip Current Statement", "RP.S", "marginal"),
    ("Low Water Advisory", "LO.Y", "caution"),
]


@pytest.mark.parametrize(("event", "code", "severity"), COUNTED)
def test_the_shipped_table_lists_every_event_in_recorded_answers(event, code, severity):
    assert LISTED[event] == (severity, code)


def test_every_entry_says_where_it_comes_from_and_since_when():
    keys = {"severity", "basis", "source", "since", "checked", "events"}

    assert all(entry.keys() == keys and entry["source"] for entry in ENTRIES)
    assert {entry["severity"] for entry in ENTRIES} == {"no_go", "marginal", "caution"}


def test_no_event_is_listed_twice():
    assert len(LISTED) == sum(len(entry["events"]) for entry in ENTRIES)


def test_no_warning_against_wind_or_seas_is_less_than_its_watch_or_advisory():
    order = ("caution", "marginal", "no_go")
    by_code = {code: order.index(severity) for severity, code in LISTED.values() if code}

    for code, level in by_code.items():
        phenomenon, _, significance = code.partition(".")
        if significance != "W" and f"{phenomenon}.W" in by_code:
            assert level <= by_code[f"{phenomenon}.W"], code
