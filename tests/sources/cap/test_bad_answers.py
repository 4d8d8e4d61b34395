"""Any bytes give messages or DataError, within bounded size and time; nothing is lost unsaid."""

from __future__ import annotations

import json
import time
import zipfile
from dataclasses import replace
from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.sources.cap import archive, index, tree
from safety_check.sources.cap.alerts import translations
from safety_check.sources.cap.archive import read_zip
from safety_check.sources.cap.canada import read_canada
from safety_check.sources.cap.canada_water import read_canada_water
from safety_check.sources.cap.germany import read_germany
from safety_check.sources.cap.in_force import in_force
from safety_check.sources.cap.index import links_to_follow, read_index
from safety_check.sources.cap.message import Link, Listing
from safety_check.sources.cap.norway import read_norway
from safety_check.sources.cap.read import read_cap, read_meteoalarm
from safety_check.sources.cap.styles import READERS
from safety_check.sources.cap.sweden import read_sweden
from tests.properties import cases
from tests.sources.cap.recorded import alert_xml, info_xml, made
from tests.sources.spoiled import HTML, NO_JSON, any_bytes, at, spoiled_json

NOON = at("2026-06-01T12:00:00")
RSS = "<rss version='2.0'><channel><title>x</title>{}</channel></rss>"
BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE alert [<!ENTITY a "ha">'
    + b"".join(b'<!ENTITY %c "&%c;&%c;&%c;">' % (i + 1, i, i, i) for i in range(97, 120))
    + b"]><alert><identifier>&x;</identifier></alert>"
)
OUTSIDE = (
    b'<!DOCTYPE alert [<!ENTITY f SYSTEM "file:///etc/hostname">]>'
    b"<alert><identifier>&f;</identifier></alert>"
)
SQUARE = {"type": "Polygon", "coordinates": [[[10, 60], [11, 60], [11, 61]]]}
GEOJSON = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": SQUARE,
            "properties": {"alert_name_en": "wind warning", "EVENT": "STURM", "event": "gale"},
            "when": {"interval": ["2026-06-01T08:00:00Z", "2026-06-01T20:00:00Z"]},
        }
    ],
}
SMHI = [
    {
        "id": 1,
        "event": {"code": "WIND_SEA", "en": "Wind at sea", "sv": "Vind till havs"},
        "warningAreas": [
            {
                "id": 2,
                "published": "2026-06-01T06:00:00Z",
                "approximateStart": "2026-06-01T08:00:00Z",
                "warningLevel": {"code": "YELLOW", "en": "Yellow warning"},
                "eventDescription": {"code": "GALE_LOW", "en": "Gale"},
                "areaName": {"en": "Skagerrak", "sv": "Skagerrak"},
                "descriptions": [{"title": {"en": "Where"}, "text": {"en": "In the east."}}],
                "area": {"type": "Feature", "geometry": SQUARE},
            }
        ],
    }
]
MARINE = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": SQUARE,
            "properties": {
                "lastUpdated": "2026-06-01T10:00:00.000Z",
                "area": {"region": {"en": "Great Lakes"}, "value": {"en": "Lake Erie"}},
                "warnings": {
                    "locations": [
                        {
                            "name": {"en": "Western Lake Erie", "fr": "Ouest du lac Érié"},
                            "events": [
                                {
                                    "name": {"en": "Strong wind warning", "fr": "Vent fort"},
                                    "type": {"en": "warning"},
                                    "category": {"en": "marine"},
                                    "status": {"en": "IN EFFECT"},
                                },
                                {"name": {"en": "Gale warning"}, "status": {"en": "ENDED"}},
                            ],
                        }
                    ]
                },
            },
        },
        {"type": "Feature", "geometry": SQUARE, "properties": {"area": {"value": "Lake Huron"}}},
    ],
}
METEOALARM = {
    "warnings": [{"alert": {"identifier": "1", "info": [{"event": "Wind", "area": [{}]}]}}]
}


def packed(**files: bytes) -> bytes:
    """Return a zip file of files by their names."""
    held = BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive_file:
        for name, content in files.items():
            archive_file.writestr(f"{name}.xml", content)
    return held.getvalue()


GOOD = {
    "cap": alert_xml(info_xml()),
    "rss": RSS.format("<item><title>Gale</title><link>https://example.org</link></item>").encode(),
    "atom": b"<feed><entry><id>https://example.org</id></entry></feed>",
    "zip": packed(a=alert_xml(info_xml())),
    "meteoalarm": json.dumps(METEOALARM).encode(),
    "canada": json.dumps(GEOJSON).encode(),
    "canada_water": json.dumps(MARINE).encode(),
    "norway": json.dumps(GEOJSON).encode(),
    "germany": json.dumps(GEOJSON).encode(),
    "sweden": json.dumps(SMHI).encode(),
}


@st.composite
def damaged(draw: st.DrawFn, good: bytes) -> bytes:
    """Return a good answer of which some bytes are others, are gone, or stand twice."""
    body = good
    for _ in range(draw(st.integers(1, 4))):
        where, length = draw(st.integers(0, len(body))), draw(st.integers(0, 12))
        junk = draw(st.binary(max_size=6) | st.just(body[where : where + length]))
        body = body[:where] + junk + body[where + draw(st.integers(0, 12)) :]
    return body


# -- any bytes ----------------------------------------------------------------------------------


@pytest.mark.parametrize("style", READERS)
@cases(60)
@given(data=st.data())
def test_any_bytes_give_messages_or_an_error(style, data):
    body = data.draw(st.binary(max_size=60) | any_bytes(SMHI) | damaged(GOOD[style]))
    try:
        listing = READERS[style](body, "a service")
    except DataError:
        return
    assert isinstance(listing, Listing)
    in_force(listing.messages, NOON)


@pytest.mark.parametrize(
    ("reader", "good"),
    [
        (read_meteoalarm, METEOALARM),
        (read_canada, GEOJSON),
        (read_canada_water, MARINE),
        (read_norway, GEOJSON),
        (read_germany, GEOJSON),
        (read_sweden, SMHI),
    ],
)
@cases(60)
@given(data=st.data())
def test_an_answer_with_one_spoiled_part_gives_messages_or_an_error(reader, good, data):
    body = data.draw(spoiled_json(good))
    try:
        listing = reader(body, "a service")
    except DataError:
        return
    in_force(listing.messages, NOON)


@cases(150)
@given(st.text(), st.sampled_from(["onset", "expires", "event", "severity", "urgency", "language"]))
def test_a_spoiled_element_never_loses_the_message(text, element):
    plain = "".join(letter for letter in text if letter.isprintable() and letter not in "<&>")
    body = alert_xml(info_xml(**{element: plain}))
    listing = read_cap(body, "a service")

    assert len(listing.messages) == 1
    if element not in ("urgency", "expires"):
        assert in_force(listing.messages, NOON)


@cases(100)
@given(st.integers(0, 2000), st.binary(min_size=1, max_size=3))
def test_a_damaged_archive_loses_no_message_unsaid(where, junk):
    good = packed(a=alert_xml(info_xml()), b=alert_xml(info_xml(), identifier="2"))
    where %= len(good)
    try:
        listing = read_zip(good[:where] + junk + good[where + len(junk) :], "a service")
    except DataError:
        return
    assert len(listing.messages) + len(listing.unread) >= 2


@pytest.mark.parametrize("style", READERS)
@pytest.mark.parametrize(
    "body", [b"", HTML, b"\xff\xfe\x00", b"null", b"<a/>", b"Too Many Requests"]
)
def test_what_is_no_list_of_warnings_is_an_error(style, body):
    with pytest.raises(DataError, match="a service: "):
        READERS[style](body, "a service")


@pytest.mark.parametrize("name", NO_JSON)
@pytest.mark.parametrize("reader", [read_canada, read_norway, read_germany, read_meteoalarm])
def test_what_is_no_list_as_documented_is_an_error(reader, name):
    with pytest.raises(DataError, match="a service: "):
        reader(NO_JSON[name], "a service")


def test_an_error_of_the_map_server_with_status_200_is_no_empty_list():
    fault = b"<ows:ExceptionReport xmlns:ows='x'><ows:Exception/></ows:ExceptionReport>"
    for body in (fault, b'{"exceptions": []}', b'{"features": []}'):
        with pytest.raises(DataError):
            read_germany(body, "a service")
    assert read_germany(b'{"type": "FeatureCollection", "features": []}', "x") == Listing()


# -- bounded ------------------------------------------------------------------------------------


@pytest.mark.parametrize("body", [BOMB, OUTSIDE], ids=["entities", "a file"])
@pytest.mark.parametrize("reader", [read_cap, read_index])
def test_entities_are_refused(reader, body):
    with pytest.raises(DataError, match="refused"):
        reader(body, "a service")


@pytest.mark.parametrize("style", READERS)
def test_an_answer_that_is_too_large_is_refused(style, monkeypatch):
    monkeypatch.setattr(tree, "GREATEST_ANSWER", 1000)
    monkeypatch.setattr(tree, "GREATEST_XML", 1000)
    monkeypatch.setattr(archive, "GREATEST_ANSWER", 1000)

    with pytest.raises(DataError, match="more than any list of warnings"):
        READERS[style](b" " * 1001, "a service")


def test_a_zip_bomb_is_not_unpacked(monkeypatch):
    monkeypatch.setattr(archive, "GREATEST_XML", 10_000)
    bomb = packed(a=b" " * 5_000_000, b=alert_xml(info_xml()))

    listing = read_zip(bomb, "a service")

    assert len(listing.messages) == 1
    assert listing.unread == ("a.xml: it can't be unpacked, or is too large",)


def test_an_archive_that_lies_about_its_size_is_not_unpacked(monkeypatch):
    monkeypatch.setattr(archive, "GREATEST_XML", 10_000)
    bomb = packed(a=b" " * 5_000_000)
    true_size, said = (5_000_000).to_bytes(4, "little"), (100).to_bytes(4, "little")

    listing = read_zip(bomb.replace(true_size, said), "a service")

    assert listing.messages == ()
    assert len(listing.unread) == 1


def test_all_files_of_an_archive_together_are_bounded(monkeypatch):
    monkeypatch.setattr(archive, "GREATEST_UNPACKED", 1500)
    files = {f"m{number}": alert_xml(info_xml(), identifier=str(number)) for number in range(9)}

    listing = read_zip(packed(**files), "a service")

    assert 0 < len(listing.messages) < 9
    assert len(listing.messages) + len(listing.unread) == 9


def test_an_archive_of_very_many_files_is_refused(monkeypatch):
    monkeypatch.setattr(archive, "MOST_MEMBERS", 2)

    with pytest.raises(DataError, match="has 3 files"):
        read_zip(packed(a=b"", b=b"", c=b""), "a service")


@pytest.mark.thorough
def test_very_many_messages_and_blocks_of_one_name_take_no_longer_than_their_number():
    names = "warnings@example.org,1,2026-06-01T06:00:00+00:00 " * 20
    message = made(msgType="Update", references=names)
    many = [replace(message, infos=message.infos * 30)] * 3000

    began = time.process_time()
    [kept, *_] = in_force(many, NOON)
    alerts = list(translations(kept.infos * 1000))

    assert (len(kept.infos), len(alerts)) == (30, 30_000)
    assert time.process_time() - began < 20  # comparing each with each would take hours


def test_deep_nesting_is_bounded():
    deep = b"<alert><info>" + b"<a>" * 20_000 + b"</a>" * 20_000 + b"</info></alert>"

    assert len(read_cap(deep, "a service").messages) == 1
    with pytest.raises(DataError):
        read_meteoalarm(b'{"warnings": ' + b"[" * 200_000, "a service")


def test_links_are_bounded_and_the_rest_is_named():
    newest = Link("https://example.org/new", updated=NOON)
    old = Link("https://example.org/old", updated=at("2026-05-01T00:00:00"))
    listing = Listing(links=(*[old] * index.MOST_LINKS, newest))

    bounded = links_to_follow(listing, NOON)

    assert len(bounded.links) == index.MOST_LINKS
    assert bounded.links[0] == newest
    assert bounded.unread == (f"1 older warnings beyond the first {index.MOST_LINKS}",)


def test_links_of_messages_that_have_expired_are_not_followed():
    link = Link("https://example.org/1", expires=NOON)

    assert links_to_follow(Listing(links=(link,)), NOON).links == ()
    assert links_to_follow(Listing(links=(replace(link, expires=None),)), NOON).links


# -- lists --------------------------------------------------------------------------------------


def test_an_empty_list_is_a_list_without_warnings():
    assert read_index(RSS.format("").encode(), "a service") == Listing()
    assert read_zip(packed(), "a service") == Listing()
    assert read_meteoalarm(b'{"warnings": []}', "a service") == Listing()
    assert read_sweden(b"[]", "a service") == Listing()


def test_an_entry_without_a_link_is_named():
    listing = read_index(RSS.format("<item><title>Gale</title></item>").encode(), "a service")

    assert listing.unread == ("an entry without a link: Gale",)


def test_a_link_may_be_in_the_guid():
    item = "<item><title>Gale</title><guid>https://example.org/1</guid></item>"

    assert read_index(RSS.format(item).encode(), "x").links[0].url == "https://example.org/1"


def test_an_entry_of_an_atom_feed_links_to_its_cap_file_and_says_when_it_ends():
    feed = (
        "<feed xmlns='http://www.w3.org/2005/Atom' "
        "xmlns:cap='urn:oasis:names:tc:emergency:cap:1.2'>"
        "<updated>2026-06-01T11:00:00Z</updated><entry><id>https://example.org/page</id>"
        "<title>Yellow wind</title><updated>2026-06-01T10:00:00Z</updated>"
        "<link href='https://example.org/page.html' type='text/html'/>"
        "<link href='https://example.org/1.cap' type='application/cap+xml'/>"
        "<cap:expires>2026-06-01T20:00:00+00:00</cap:expires></entry></feed>"
    )
    listing = read_index(feed.encode(), "a service")

    assert listing.updated == at("2026-06-01T11:00:00")
    assert listing.links == (
        Link(
            "https://example.org/1.cap",
            "https://example.org/page",
            "Yellow wind",
            at("2026-06-01T10:00:00"),
            at("2026-06-01T20:00:00"),
        ),
    )


def test_a_message_inside_an_entry_needs_no_link():
    inside = alert_xml(info_xml()).decode()
    listing = read_index(RSS.format(f"<item><title>x</title>{inside}</item>").encode(), "a service")

    assert (len(listing.messages), listing.links, listing.unread) == (1, (), ())


@pytest.mark.parametrize("namespace", ["urn:oasis:names:tc:emergency:cap:1.1", ""])
def test_older_namespaces_and_none_are_read(namespace):
    body = alert_xml(info_xml()).replace(
        b"urn:oasis:names:tc:emergency:cap:1.2", namespace.encode()
    )

    assert read_cap(body, "a service").messages[0].infos[0].event == "gale"


def test_several_messages_in_one_wrapper_are_all_read():
    inside = "".join(
        f"<c><x>{alert_xml(info_xml(), identifier=name).decode()}</x></c>" for name in "ab"
    )
    wrapper = f"<e:Distribution xmlns:e='urn:oasis:names:tc:emergency:EDXL:DE:1.0'>{inside}"

    messages = read_cap(f"{wrapper}</e:Distribution>".encode(), "a service").messages

    assert [message.identifier for message in messages] == ["a", "b"]


def test_a_comment_a_stylesheet_and_a_byte_order_mark_do_not_matter():
    before = "\ufeff<?xml version='1.0' encoding='UTF-8'?><!-- x --><?xml-stylesheet href='x'?>"

    assert read_cap(before.encode() + alert_xml(info_xml()), "a service").messages


def test_a_file_in_an_archive_that_is_no_message_is_named():
    listing = read_zip(packed(a=HTML, b=alert_xml(info_xml())), "a service")

    assert len(listing.messages) == 1
    assert listing.unread == ("a.xml: not a CAP message",)


def test_a_feature_that_is_none_and_a_page_that_is_not_the_last_are_named():
    answer = {**GEOJSON, "features": [None], "numberMatched": 12, "numberReturned": 1}

    listing = read_canada(json.dumps(answer).encode(), "a service")

    assert listing.unread == (
        "warnings beyond the first page of the answer",
        "a warning that can't be read",
    )


def test_a_swedish_warning_is_told_in_two_languages():
    [message] = read_sweden(json.dumps(SMHI).encode(), "a service").messages
    english, swedish = message.infos

    assert (message.identifier, message.sent) == ("1-2", at("2026-06-01T06:00:00"))
    assert (english.language, english.event, english.severity) == ("en-GB", "Gale", "Moderate")
    assert english.headline == "Wind at sea, Yellow warning"
    assert english.description == "Where: In the east."
    assert [code.value for code in english.event_codes] == ["WIND_SEA", "GALE_LOW"]
    assert (english.onset, english.expires) == (at("2026-06-01T08:00:00"), None)
    assert english.areas[0].description == "Skagerrak"
    assert len(english.areas[0].polygons[0]) == 4
    assert swedish.event == "Vind till havs"


def test_a_german_lake_warning_is_read_from_its_layer():
    # invented, with the names of the properties as public clients read them
    properties = {
        "IDENTIFIER": "2.49.0.0.276.0.DWD.PVW.1",
        "SENT": "2026-06-01T06:00:00Z",
        "STATUS": "Actual",
        "MSGTYPE": "Alert",
        "WARNCELLID": 209000001,
        "NAME": "Bodensee West",
        "EVENT": ["STURMBÖEN"],
        "HEADLINE": "Amtliche WARNUNG vor STURMBÖEN",
        "SEVERITY": "Moderate",
        "EC_II": 52,
        "EC_GROUP": "WIND",
        "ONSET": "2026-06-01T08:00:00Z",
        "EXPIRES": None,
        "ALTITUDE": 0,
        "CEILING": 9842.5197,
    }
    feature = {"type": "Feature", "geometry": None, "properties": properties}
    body = json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()

    [message] = read_germany(body, "a service").messages
    [info] = message.infos

    assert (info.event, info.severity, info.language) == ("STURMBÖEN", "Moderate", "de-DE")
    assert [tuple(code) for code in info.event_codes] == [("II", "52"), ("GROUP", "WIND")]
    assert info.areas[0].geocodes[0] == ("WARNCELLID", "209000001")
    assert (info.onset, info.expires) == (at("2026-06-01T08:00:00"), None)


def test_a_canadian_warning_is_held_until_the_end_of_the_event():
    # the times of a frost advisory that a public client recorded: it expires before it ends
    properties = {
        "alert_code": "FTA",
        "feature_id": "1",
        "alert_type": "advisory",
        "alert_name_en": "frost advisory",
        "alert_name_fr": "avis de gel",
        "alert_text_en": "Frost.",
        "risk_colour_en": "yellow",
        "status_en": "issued",
        "publication_datetime": "2026-09-21T00:50:00.658Z",
        "validity_datetime": "2026-09-21T04:00:00.658Z",
        "expiration_datetime": "2026-09-21T08:50:00.658Z",
        "event_end_datetime": "2026-09-21T13:30:00.658Z",
    }
    feature = {"type": "Feature", "geometry": None, "properties": properties}
    body = json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()

    messages = read_canada(body, "a service").messages

    assert [info.event for info in messages[0].infos] == ["frost advisory", "avis de gel"]
    assert messages[0].infos[0].severity == "Moderate"
    assert len(in_force(messages, at("2026-09-21T13:00:00"))) == 1
    assert in_force(messages, at("2026-09-21T13:31:00")) == ()


def test_a_canadian_marine_area_has_its_warnings_until_they_have_ended():
    # the words and fields that public clients recorded in July 2026
    listing = read_canada_water(json.dumps(MARINE).encode(), "a service")

    [message] = in_force(listing.messages, NOON)
    english, french = message.infos
    assert (english.event, french.event) == ("Strong wind warning", "Vent fort")
    assert (english.language, english.severity) == ("en-CA", "Severe")
    assert english.areas[0].description == "Western Lake Erie"
    assert len(english.areas[0].polygons) == 1
    assert english.expires == at("2026-06-03T10:00:00")
    assert in_force(listing.messages, at("2026-06-03T10:00:00")) == ()


@pytest.mark.parametrize("warnings", ["x", [], {"locations": None}, {"locations": [None]}])
def test_canadian_marine_warnings_that_cannot_be_read_are_no_calm(warnings):
    answer = json.loads(json.dumps(MARINE))
    answer["features"][0]["properties"]["warnings"] = warnings

    [message] = read_canada_water(json.dumps(answer).encode(), "a service").messages

    assert message.unread
    assert in_force([message], NOON)


@pytest.mark.parametrize(
    ("kind", "severity"), [("warning", "Severe"), ("advisory", "Minor"), ("", "")]
)
def test_a_canadian_alert_without_colour_has_the_severity_of_its_kind(kind: str, severity: str):
    answer = json.loads(json.dumps(GEOJSON))
    answer["features"][0]["properties"] |= {"alert_type": kind, "risk_colour_en": ""}

    [message] = read_canada(json.dumps(answer).encode(), "a service").messages

    # lost, it counts as severe: test_a_class_of_hazard_counts_by_its_severity
    assert {info.severity for info in message.infos} == {severity}
