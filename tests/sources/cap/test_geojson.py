"""GeoJSON of warnings: what a property says, and what of an answer is missing."""

from __future__ import annotations

import json
from typing import Any

import pytest

from safety_check.sources.cap.geojson import cut_short, named, prose, read_features, span, word
from safety_check.sources.cap.message import Listing, Message, Named
from tests.sources.spoiled import at

ONE: list[Any] = [{"properties": {}}]


def read(answer: dict[str, Any]) -> tuple[Listing, list[dict[str, Any]]]:
    """Return a listing, and the properties that each message was made of."""
    given: list[dict[str, Any]] = []

    def message(properties: Any, area: Any) -> Message:
        given.append(dict(properties))
        return Message("1", "", None)

    whole = {"type": "FeatureCollection", "features": ONE, **answer}
    return read_features(json.dumps(whole).encode(), "a service", message), given


@pytest.mark.parametrize(
    ("answer", "short"),
    [
        ({"features": ONE}, False),
        ({"features": ONE, "numberMatched": 1, "numberReturned": 1}, False),
        ({"features": ONE, "numberMatched": 2, "numberReturned": 1}, True),
        ({"features": ONE, "numberMatched": 2, "numberReturned": 2}, True),  # it sent one
        ({"features": ONE * 2, "numberMatched": 2, "numberReturned": 1}, True),
        ({"features": ONE * 2, "numberMatched": 1}, False),
        ({"features": None, "numberMatched": 1}, True),
        ({"features": ONE, "links": [{"rel": "self"}, {"rel": "next"}]}, True),
        ({"features": ONE, "links": [{"rel": "self"}, "next"]}, False),
        ({"features": ONE, "links": "next"}, False),
    ],
)
def test_an_answer_is_cut_short_where_it_says_that_there_is_more(answer, short):
    assert cut_short(answer) == short


def test_an_answer_is_as_old_as_its_first_time_that_can_be_read():
    changed, stamp, updated = (f"2026-06-01T0{hour}:00:00Z" for hour in (6, 7, 8))

    listing, _ = read({"lastChange": changed, "timeStamp": stamp, "updated": updated})
    assert (listing.updated, listing.made) == (at("2026-06-01T06:00"), at("2026-06-01T07:00"))
    listing, _ = read({"lastChange": "soon", "updated": updated})
    assert (listing.updated, listing.made) == (at("2026-06-01T08:00"), None)
    assert read({"lastChange": 7})[0].updated is None


def test_a_feature_brings_its_interval_and_the_language_of_the_answer():
    interval = ["2026-06-01T08:00:00Z", "2026-06-01T20:00:00Z"]
    features = [
        {"properties": {"event": "gale"}, "when": {"interval": interval}},
        {"properties": {"answer_language": "sv"}, "when": {"interval": interval[:1]}},
        {"properties": {}, "when": interval},
        {"properties": None},
        None,
    ]

    listing, given = read({"features": features, "lang": "no"})

    assert given == [
        {
            "answer_language": "no",
            "event": "gale",
            "when_begins": interval[0],
            "when_ends": interval[1],
        },
        {"answer_language": "sv"},
        {"answer_language": "no"},
    ]
    assert listing.unread == ("a warning that can't be read",) * 2


@pytest.mark.parametrize(
    ("value", "said"),
    [
        *(("gale", "gale"), (" a\nb ", "a b"), (["first", "second"], "first"), ([], "")),
        *((7, "7"), (7.5, "7.5"), (0, "0"), ([7], "7"), (True, ""), (None, ""), ({}, "")),
    ],
)
def test_a_word_is_a_text_or_a_number_on_one_line(value, said):
    assert word({"x": value}, "x") == said
    assert word({}, "x") == ""


def test_prose_has_a_paragraph_for_each_key_that_has_a_text():
    properties = {"a": " One.\nTwo. ", "b": "  ", "c": 7, "d": "Three."}

    assert prose(properties, "a", "b", "c", "d", "e") == "One.\nTwo.\n\nThree."
    assert prose(properties, "e") == ""


def test_a_parameter_without_a_value_is_left_out():
    assert named({"a": "1", "b": ""}, {"a": "A", "b": "B", "c": "C"}) == (Named("A", "1"),)


def test_a_span_without_an_offset_is_as_long_as_it_can_be():
    said = {"from": "2026-06-01T12:00:00", "to": "2026-06-01T12:00:00"}

    assert span(said, "from", "to") == {
        "onset": at("2026-05-31T22:00:00"),  # at UTC+14
        "expires": at("2026-06-02T00:00:00"),  # at UTC-12
        "unread": (),
    }
    spoiled = span({"from": "soon", "to": "later"}, "from", "to")
    assert spoiled == {
        "onset": None,
        "expires": None,
        "unread": ("onset 'soon'", "expires 'later'"),
    }
