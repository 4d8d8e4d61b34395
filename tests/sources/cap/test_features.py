"""GeoJSON of Canada, Germany and Norway and Sweden's JSON: each property in its place."""

from __future__ import annotations

import json
from typing import Any

import pytest

from safety_check.sources.cap.canada import read_canada
from safety_check.sources.cap.canada_water import read_canada_water
from safety_check.sources.cap.germany import read_germany
from safety_check.sources.cap.message import Listing, Message
from safety_check.sources.cap.norway import read_norway
from safety_check.sources.cap.styles import Reader
from safety_check.sources.cap.sweden import read_sweden
from tests.sources.spoiled import at


def one(reader: Reader, **properties: Any) -> Message:
    """Return the message of one feature."""
    feature = {"geometry": None, "properties": properties}
    answer = {"type": "FeatureCollection", "features": [feature]}
    [message] = reader(json.dumps(answer).encode(), "a service").messages
    return message


# -- Canada -------------------------------------------------------------------------------------


def test_a_canadian_alert_names_its_zone_and_message():
    message = one(
        read_canada,
        alert_code="WIW",
        feature_id="073100",
        event_end_datetime="2026-06-02T02:00:00Z",
        publication_datetime="2026-06-01T10:00:00Z",
        feature_name_en="Halifax",
        feature_name_fr="Halifax (fr)",
        alert_type="Warning",
        alert_text_en="Strong.",
        impact_en="High",
        confidence_en="Medium",
        status_en="issued",
        risk_colour_en="",
    )
    english, french = message.infos

    assert message.identifier == "WIW:073100:2026-06-02T02:00:00Z"
    assert message.sent == at("2026-06-01T10:00")
    assert [tuple(code) for code in english.areas[0].geocodes] == [("CLC", "073100")]
    assert (english.areas[0].description, french.areas[0].description) == (
        "Halifax",
        "Halifax (fr)",
    )
    assert (english.severity, english.description) == ("Severe", "Strong.")
    assert [tuple(code) for code in english.event_codes] == [("ECCC alert_code", "WIW")]
    assert dict(english.parameters) == {
        "Alert_Type": "Warning",
        "impact": "High",
        "confidence": "Medium",
        "Alert_Location_Status": "issued",
        "event_end_datetime": "2026-06-02T02:00:00Z",
    }
    assert one(read_canada, alert_code="WIW").infos[0].areas[0].geocodes == ()


@pytest.mark.parametrize(
    ("kind", "colour", "severity"),
    [
        *(("watch", "", "Moderate"), ("WATCH", "", "Moderate"), ("statement", "", "Minor")),
        *(("warning", "Yellow", "Moderate"), ("watch", "orange", "Severe"), ("", "red", "Extreme")),
        *(("warning", "grey", "Severe"),),
    ],
)
def test_the_colour_of_a_canadian_alert_counts_before_its_kind(kind, colour, severity):
    message = one(read_canada, alert_type=kind, risk_colour_en=colour)

    assert {info.severity for info in message.infos} == {severity}


def marine(warnings: Any, **properties: Any) -> Listing:
    feature = {"geometry": None, "properties": {"warnings": warnings, **properties}}
    answer = {"type": "FeatureCollection", "features": [feature]}
    return read_canada_water(json.dumps(answer).encode(), "a service")


GALE = {"name": {"en": "Gale warning", "fr": "Coup de vent"}, "type": "Warning"}


def test_a_marine_warning_without_a_place_of_its_own_is_for_its_area():
    said = {"locations": [{"events": [{**GALE, "status": "IN EFFECT"}]}]}
    area = {"value": {"en": "Lake Erie"}}

    [message] = marine(said, area=area, lastUpdated="2026-06-01T10:00:00Z").messages

    assert message.identifier == "marine:Lake Erie:2026-06-01T10:00:00Z"
    assert [info.event for info in message.infos] == ["Gale warning", "Coup de vent"]
    assert [info.areas[0].description for info in message.infos] == ["Lake Erie"] * 2
    assert message.infos[0].severity == "Severe"
    assert dict(message.infos[0].parameters) == {
        "Alert_Location_Status": "IN EFFECT",
        "Alert_Type": "warning",
    }
    assert (message.infos[0].effective, message.infos[0].expires, message.unread) == (
        at("2026-06-01T10:00"),
        at("2026-06-03T10:00"),
        (),
    )
    [nameless] = marine(said, area="Lake Erie").messages
    assert nameless.infos[0].areas[0].description == ""
    assert (nameless.infos[0].effective, nameless.infos[0].expires) == (None, None)


@pytest.mark.parametrize(
    ("warnings", "events", "unread"),
    [
        *((None, None, None), ({}, None, None), ({"locations": []}, None, None)),
        ({"locations": [{"events": [GALE]}, {"events": [GALE, GALE]}]}, 3, False),
        ({"locations": [{"events": [GALE, "x"]}, {"events": [GALE]}]}, 2, True),
        ({"locations": [{"events": None}, {"events": [GALE]}]}, 1, True),
        ({"locations": ["x", {"events": [GALE]}]}, 1, True),
        ({"locations": [{"events": []}]}, None, None),
        ({"locations": "x"}, 0, True),
        ("x", 0, True),
    ],
)
def test_a_marine_warning_that_can_not_be_read_is_named_beside_the_others(warnings, events, unread):
    messages = marine(warnings).messages

    if events is None:
        assert messages == ()
    else:
        assert len(messages[0].infos) == 2 * events  # in English and in French
        assert bool(messages[0].unread) == unread


# -- Germany ------------------------------------------------------------------------------------


def test_a_german_warning_names_its_area_its_height_and_what_to_do():
    message = one(
        read_germany,
        AREADESC="Bodensee",
        ALTITUDE="1000",
        CEILING="2000",
        RESPONSETYPE="Prepare",
        LANGUAGE="en",
        EFFECTIVE="2026-06-01T07:00:00Z",
        INSTRUCTION="Stay ashore.",
        WEB="https://example.org",
    )
    [info] = message.infos
    [area] = info.areas

    assert area.description == "Bodensee"
    assert (area.altitude_m, area.ceiling_m) == pytest.approx((304.8, 609.6))  # of 1000, 2000 ft
    assert (info.response_types, info.language) == (("Prepare",), "en")
    assert info.effective == at("2026-06-01T07:00")
    assert (info.instruction, info.web) == ("Stay ashore.", "https://example.org")
    plain = one(read_germany, NAME="Bodensee West", AREADESC="Bodensee").infos[0]
    assert (plain.areas[0].description, plain.response_types) == ("Bodensee West", ())


# -- Norway -------------------------------------------------------------------------------------


def test_a_norwegian_warning_has_its_words_heights_and_codes():
    message = one(
        read_norway,
        id="2.49.0.1.578.0.1",
        type="Update",
        status="Actual",
        sent="2026-06-01T06:00:00Z",
        lang="en",
        area="Skagerrak",
        event="gale",
        eventAwarenessName="Gale",
        responseType="Avoid",
        title="Gale, yellow",
        description="Wind.",
        consequences="Waves.",
        altitude_above_sea_level=0,
        ceiling_above_sea_level=274.32,
        awareness_level="2; yellow; Moderate",
        awareness_type="1; Wind",
        riskMatrixColor="Yellow",
        triggerLevel="15 m/s",
        geographicDomain="marine",
        eventEndingTime="2026-06-02T06:00:00Z",
    )
    [info] = message.infos

    assert (message.identifier, message.msg_type, message.status) == (
        "2.49.0.1.578.0.1",
        "Update",
        "Actual",
    )
    assert (info.language, info.event, info.headline) == ("en", "Gale", "Gale, yellow")
    assert info.description == "Wind.\n\nWaves."
    assert info.response_types == ("Avoid",)
    assert [tuple(code) for code in info.event_codes] == [("eventType", "gale")]
    assert dict(info.parameters) == {
        "awareness_level": "2; yellow; Moderate",
        "awareness_type": "1; Wind",
        "riskMatrixColor": "Yellow",
        "triggerLevel": "15 m/s",
        "geographicDomain": "marine",
        "eventEndingTime": "2026-06-02T06:00:00Z",
    }
    area = info.areas[0]
    assert (area.description, area.altitude_m, area.ceiling_m) == ("Skagerrak", 0.0, 274.32)
    plain = one(read_norway, event="gale").infos[0]
    assert (plain.language, plain.event, plain.response_types) == ("no", "gale", ())


# -- Sweden -------------------------------------------------------------------------------------


def swedish(*areas: Any, **warning: Any) -> Listing:
    return read_sweden(json.dumps([{"warningAreas": list(areas), **warning}]).encode(), "a service")


@pytest.mark.parametrize(
    ("warning", "messages", "unread"),
    [
        *(({"warningAreas": [{}]}, 1, 0), ({"warningAreas": [{}, {}]}, 2, 0)),
        *(({"warningAreas": [{}, None]}, 1, 1), ({"warningAreas": []}, 0, 1)),
        *(({"warningAreas": {}}, 0, 1), ({}, 0, 1), (None, 0, 1)),
    ],
)
def test_a_swedish_warning_or_area_that_can_not_be_read_is_named(warning, messages, unread):
    listing = read_sweden(json.dumps([warning]).encode(), "a service")

    assert (len(listing.messages), len(listing.unread)) == (messages, unread)


def test_a_swedish_warning_without_a_kind_has_the_words_and_code_of_its_event():
    said = {"code": "WIND_SEA", "en": "Wind at sea"}

    info = swedish({"warningLevel": {"code": "orange"}}, event=said).messages[0].infos[0]

    assert (info.event, info.headline) == ("Wind at sea", "Wind at sea")
    assert [tuple(code) for code in info.event_codes] == [("SMHI event", "WIND_SEA")]
    assert (info.severity, dict(info.parameters)) == ("Severe", {"warningLevel": "ORANGE"})
    plain = swedish({}).messages[0].infos[0]
    assert (plain.severity, plain.parameters, plain.event_codes) == ("", (), ())


@pytest.mark.parametrize(
    ("code", "severity"),
    [("YELLOW", "Moderate"), ("ORANGE", "Severe"), ("RED", "Extreme"), ("MESSAGE", "Minor")],
)
def test_each_swedish_level_has_its_severity(code, severity):
    [message] = swedish({"warningLevel": {"code": code}}).messages

    assert message.infos[0].severity == severity


def test_the_paragraphs_of_a_swedish_warning_have_their_titles():
    texts = [{"title": {"en": "Where"}, "text": {"en": "East."}}, "x", {"text": {"en": "Now."}}]

    assert swedish({"descriptions": texts}).messages[0].infos[0].description == (
        "Where: East.\n\nNow."
    )
    assert swedish({"descriptions": "x"}).messages[0].infos[0].description == ""


SQUARE = {"type": "Polygon", "coordinates": [[[10, 60], [11, 60], [11, 61]]]}


@pytest.mark.parametrize(
    ("area", "rings", "unread"),
    [
        *((SQUARE, 1, 0), ({"geometry": SQUARE}, 1, 0), (None, 0, 0), ("x", 0, 1)),
        ({"features": [{"geometry": SQUARE}, {"geometry": SQUARE}]}, 2, 0),
    ],
)
def test_a_swedish_area_is_a_geometry_a_feature_or_several(area, rings, unread):
    [place] = swedish({"area": area}).messages[0].infos[0].areas

    assert (len(place.polygons), len(place.unread)) == (rings, unread)
