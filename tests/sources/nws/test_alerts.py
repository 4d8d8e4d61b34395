from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.weather import Alert
from safety_check.sources.alert_list import distinct
from safety_check.sources.nws.alerts import NAMELESS, parse, query
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, absolute, any_bytes, at, provenance

NOW = at("2025-12-15T21:55:00")  # the recording's own @saved
MANY = "relative_time/alerts_active_20251215_cut.json"


def recorded(name: str) -> bytes:
    body = (shared_folder("recorded", "noaa", "nws") / name).read_bytes()
    return absolute(body, NOW) if name == MANY else body


# -- recordings; every expected value was read in the file by eye -----------------------------


def test_a_recorded_alert_is_told_whole():
    [alert] = parse(recorded("alerts_active_point_MN_20240112.json"), provenance())

    assert alert.event == "Winter Weather Advisory"
    assert (alert.severity, alert.urgency, alert.certainty) == ("Moderate", "Expected", "Likely")
    assert alert.onset == at("2024-01-12T20:05:00")  # 14:05 at -06:00
    assert alert.ends == at("2024-01-13T12:00:00")  # 06:00 at -06:00
    assert alert.area.startswith("Sherburne; Isanti; Chisago")
    assert "Snow expected. Additional snow accumulations of 1 to 4\ninches" in alert.description
    assert alert.instruction.startswith("Slow down and use caution while traveling.\n\n")
    assert alert.provenance.issued == at("2024-01-12T20:06:13")
    assert alert.provenance.model == "NWS Twin Cities/Chanhassen MN"


def test_a_place_without_alerts_has_none():
    listed = parse(recorded("alerts_active_point_empty_20240108.json"), provenance())

    assert len(listed) == 0
    assert listed.provenance.issued == at("2024-01-08T19:49:08")


def test_every_alert_of_a_recorded_list_is_kept():
    events = [alert.event for alert in parse(recorded(MANY), provenance())]

    # counted in the file by the word "event"
    assert len(events) == 33
    assert events.count("Small Craft Advisory") == 6
    assert events.count("Gale Warning") == 3
    assert events.count("Lake Wind Advisory") == 1


def test_the_first_recorded_advisory_is_for_tomorrow_and_expires_before_it_begins():
    first = parse(recorded(MANY), provenance())[0]

    # its own words: from 10 AM Tuesday to 3 AM CST Wednesday; VTEC 251216T1600Z-251217T0900Z
    assert first.event == "Small Craft Advisory"
    assert first.severity == "Minor"
    assert (first.onset, first.ends) == (at("2025-12-16T16:00:00"), at("2025-12-17T09:00:00"))


def test_the_end_of_every_recorded_alert_is_that_of_its_code():
    alerts = parse(recorded(MANY), provenance())
    told = json.loads(recorded(MANY))["features"]

    for alert, feature in zip(alerts, told, strict=True):
        [code] = feature["properties"]["parameters"].get("VTEC", [""])
        ends = re.search(r"-(\d\d)(\d\d)(\d\d)T(\d\d)(\d\d)Z/$", code)
        if ends:
            year, month, day, hour, minute = ends.groups()
            assert alert.ends == at(f"20{year}-{month}-{day}T{hour}:{minute}:00")


def test_a_statement_without_an_end_lasts_until_its_message_lapses():
    told = parse(recorded(MANY), provenance())
    statements = [alert for alert in told if alert.event == "Special Weather Statement"]

    # expires 785 and 5 minutes after 21:55; `ends` is not in the file
    assert [statement.ends for statement in statements] == [
        at("2025-12-16T11:00:00"),
        at("2025-12-15T22:00:00"),
    ]


@pytest.mark.parametrize(
    "name", ["404_marine_forecast_not_supported.json", "503_unavailable_web_service.json"]
)
def test_a_recorded_fault_is_not_an_absence_of_alerts(name):
    with pytest.raises(DataError, match="unknown"):
        parse(recorded(f"errors/{name}"), provenance())


# -- answers made by hand ---------------------------------------------------------------------

GOOD = {
    "id": "urn:oid:1",
    "areaDesc": "The Lake",
    "status": "Actual",
    "messageType": "Alert",
    "onset": "2026-06-01T08:00:00-05:00",
    "effective": "2026-06-01T05:00:00-05:00",
    "expires": "2026-06-01T11:00:00-05:00",
    "ends": "2026-06-01T20:00:00-05:00",
    "event": "Lake Wind Advisory",
    "severity": "Moderate",
    "urgency": "Expected",
    "certainty": "Likely",
    "headline": "Lake Wind Advisory",
    "description": "Winds.",
    "instruction": None,
    "senderName": "NWS Anywhere",
    "parameters": {"VTEC": ["/O.NEW.KZZZ.LW.Y.0001.260601T1300Z-260602T0100Z/"]},
}


def answer(*alerts: object) -> dict[str, Any]:
    return {
        "title": "Current watches, warnings, and advisories",
        "updated": "2026-06-01T11:00:00+00:00",
        "features": [{"geometry": None, "properties": alert} for alert in alerts],
    }


def told(*alerts: object) -> tuple[Alert, ...]:
    return parse(json.dumps(answer(*alerts)).encode(), provenance())


@pytest.mark.parametrize("year", ["0001-01-01", "9999-12-31"])
def test_a_list_of_an_impossible_year_keeps_its_alerts(year):
    body = {**answer(GOOD), "updated": f"{year}T11:00:00+00:00"}
    [alert] = parse(json.dumps(body).encode(), provenance())
    assert alert.event == told(GOOD)[0].event


@pytest.mark.parametrize("status", ["Exercise", "System", "Test", "Draft", "test"])
def test_what_is_not_actual_is_left_out(status):
    assert told({**GOOD, "status": status}) == ()


@pytest.mark.parametrize("status", ["Actual", None, 7, "Actually"])
def test_what_may_be_actual_stays(status):
    assert len(told({**GOOD, "status": status})) == 1


@pytest.mark.parametrize("kind", ["Alert", "Update", None, "Amendment"])
def test_an_alert_an_update_and_an_unknown_kind_stay(kind):
    assert len(told({**GOOD, "messageType": kind})) == 1


def test_a_cancel_message_ends_the_alert_that_it_names_and_no_other():
    cancel = {
        **GOOD,
        "id": "urn:oid:9",
        "messageType": "Cancel",
        "references": [{"identifier": "urn:oid:1"}, "rubbish", None],
    }

    assert [alert.event for alert in told(GOOD, cancel)] == []
    assert len(told({**GOOD, "id": "urn:oid:2"}, cancel)) == 1


def test_an_end_until_further_notice_is_open():
    [alert] = told(
        {
            **GOOD,
            "ends": None,
            "parameters": {"VTEC": ["/O.NEW.KZZZ.FL.W.0001.260601T1300Z-000000T0000Z/"]},
        }
    )

    assert alert.ends is None


TIMES = [
    ({}, "2026-06-01T13:00:00", "2026-06-02T01:00:00"),
    ({"onset": None}, "2026-06-01T10:00:00", "2026-06-02T01:00:00"),
    ({"onset": None, "effective": None}, None, "2026-06-02T01:00:00"),
    ({"ends": None}, "2026-06-01T13:00:00", "2026-06-01T16:00:00"),
    ({"ends": None, "expires": None}, "2026-06-01T13:00:00", None),
    ({"ends": "soon"}, "2026-06-01T13:00:00", None),
    ({"ends": "2026-06-01T07:00:00-05:00"}, "2026-06-01T13:00:00", None),  # before it begins
    # On a list of what is in force: ended long ago, over for an hour, begins next year.
    (
        dict.fromkeys(("onset", "effective", "ends"), "1970-01-01T00:00:00Z"),
        "1970-01-01T00:00:00",
        None,
    ),
    (
        {"onset": "2026-06-01T05:00:00Z", "ends": "2026-06-01T10:00:00Z"},
        "2026-06-01T05:00:00",
        "2026-06-01T10:00:00",
    ),
    ({"onset": "2027-06-01T05:00:00Z"}, None, "2026-06-02T01:00:00"),
]


@pytest.mark.parametrize(("changes", "onset", "ends"), TIMES)
def test_times_that_are_missing_never_shorten_an_alert(changes, onset, ends):
    [alert] = told({**GOOD, **changes})

    assert alert.onset == (at(onset) if onset else None)
    assert alert.ends == (at(ends) if ends else None)


@pytest.mark.parametrize("broken", [None, {}, {"event": None}, {"event": 7}, [], "text"])
def test_an_alert_that_can_not_be_read_is_still_an_alert(broken):
    [alert] = told(broken)

    assert alert.event == NAMELESS
    assert alert.onset is None
    assert alert.ends is None


def test_what_an_alert_says_can_not_command_the_terminal():
    [alert] = told(
        {**GOOD, "headline": "Calm\x1b[2J\x1b]0;owned\x07 seas", "event": "\x1b[31mGale"}
    )

    assert (alert.headline, alert.event) == ("Calm seas", "Gale")


def test_an_alert_with_a_polygon_is_read_like_one_with_zones():
    body = answer(GOOD)
    body["features"][0]["geometry"] = {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [0, 0]]]}

    assert len(parse(json.dumps(body).encode(), provenance())) == 1


def test_an_alert_heard_at_both_ends_of_the_route_counts_once():
    here, there = told(GOOD), told(GOOD, {**GOOD, "event": "Gale Warning"})
    elsewhere = tuple(
        replace(entry, provenance=replace(entry.provenance, url="another point")) for entry in there
    )

    assert [alert.event for alert in distinct(here + elsewhere)] == [
        "Lake Wind Advisory",
        "Gale Warning",
    ]


def test_an_alert_said_twice_in_one_answer_changes_nothing():
    assert distinct(told(GOOD, GOOD)) == told(GOOD)


def test_a_point_is_asked_for_as_the_service_takes_it():
    assert query(44.98691, -93.26) == {"point": "44.9869,-93.26"}


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        parse(NO_JSON[case], provenance())


@pytest.mark.parametrize("missing", [{"features": None}, {"features": {}}, {}])
def test_an_answer_without_a_list_is_no_absence_of_alerts(missing):
    with pytest.raises(DataError, match="a service"):
        parse(json.dumps(missing).encode(), provenance())


@cases(250)
@given(any_bytes(answer(GOOD, {**GOOD, "messageType": "Cancel", "references": [{}]})))
def test_any_bytes_are_alerts_or_refused(body):
    try:
        found = parse(body, provenance())
    except DataError:
        return
    assert all(isinstance(alert, Alert) and alert.event for alert in found)


@cases(100)
@given(st.lists(st.sampled_from(sorted(set(GOOD) - {"status", "messageType"})), unique=True))
def test_losing_parts_of_an_alert_never_loses_the_alert(lost):
    assert len(told({key: part for key, part in GOOD.items() if key not in lost})) == 1


def test_an_alert_of_several_codes_is_open_where_one_of_them_is():
    closed = "/O.NEW.KZZZ.LW.Y.0001.260601T1300Z-260602T0100Z/"
    still_open = "/O.NEW.KZZZ.FL.W.0001.260601T1300Z-000000T0000Z/"

    [alert] = told({**GOOD, "ends": None, "parameters": {"VTEC": [closed, still_open]}})

    assert alert.ends is None


@pytest.mark.parametrize(
    ("onset", "ends", "known"),
    [
        ("2026-07-01T11:00:00Z", None, (True, False)),  # thirty days ahead, and no more
        ("2026-07-01T11:00:01Z", None, (False, False)),
        (None, "2026-05-31T11:00:00Z", (False, True)),  # over for a day, and no longer
        (None, "2026-05-31T10:59:59Z", (False, False)),
    ],
)
def test_a_time_that_no_alert_in_force_can_have_is_left_out(onset, ends, known):
    [alert] = told({**GOOD, "onset": onset, "effective": None, "ends": ends, "expires": ends})

    assert (alert.onset is not None, alert.ends is not None) == known


def test_an_alert_that_ends_when_it_begins_keeps_its_end():
    [alert] = told({**GOOD, "onset": "2026-06-01T20:00:00-05:00"})

    assert alert.ends == alert.onset == at("2026-06-02T01:00:00")
    [alert] = told({**GOOD, "onset": "2026-06-01T20:00:01-05:00"})
    assert alert.ends is None
