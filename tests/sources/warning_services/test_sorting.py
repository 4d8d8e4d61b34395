"""Which parts of a message concern a trip, and which leave the answer in doubt."""

from __future__ import annotations

import pytest

from safety_check.sources.cap.message import Area, Info, Listing
from safety_check.sources.warning_services.answered import Answered
from safety_check.sources.warning_services.placing import trip_places
from safety_check.sources.warning_services.services import load_file
from safety_check.sources.warning_services.sorting import name_of, sort_messages
from tests.sources.cap.recorded import info_xml, made
from tests.sources.spoiled import at, provenance

BODO = (67.28, 14.40)  # a fjord in Norway
AROUND = "67,14 67,15 68,15 68,14 67,14"
FAR_OFF = "59,10 59,11 60,11 60,10 59,10"


def area(polygon: str) -> str:
    return f"<area><areaDesc>an area</areaDesc><polygon>{polygon}</polygon></area>"


def sort(*blocks: str):
    listing = Listing((made("".join(blocks)),))
    answered = Answered((listing,), provenance(), ())
    row = load_file().service["met_norway_alerts"]
    return sort_messages(row, answered, trip_places([BODO]), at("2026-06-01T12:00:00"))


def test_a_warning_here_has_its_class_and_a_link():
    [alert], doubts = sort(info_xml(area(AROUND)))

    assert (alert.event, alert.hazard, alert.severity) == ("gale", "gale", "Moderate")
    assert alert.link == load_file().service["met_norway_alerts"].link
    assert doubts == ()


def test_a_warning_elsewhere_in_the_country_does_nothing():
    assert sort(info_xml(area(FAR_OFF))) == ((), ())


def test_a_warning_whose_shape_cannot_be_read_is_shown_as_a_doubt():
    alerts, [doubt] = sort(info_xml(area("67,14 north")))

    assert alerts == ()
    assert "can't be placed" in doubt.reason


def test_a_part_that_cannot_be_placed_is_a_doubt_beside_a_part_that_is_here():
    # one message, two areas with their own severity: the graver one could hold here as well
    alerts, [doubt] = sort(
        info_xml(area(AROUND)), info_xml(area("?"), severity="Extreme", headline="Hurricane")
    )

    assert [alert.severity for alert in alerts] == ["Moderate"]
    assert "Hurricane" in doubt.reason


def test_translations_are_one_warning_and_graver_ones_are_kept():
    alerts, _ = sort(
        info_xml(area(AROUND), language="no", event="kuling"),
        info_xml(area(AROUND), language="en", event="gale"),
        info_xml(area(AROUND), language="no", event="storm", severity="Severe"),
    )

    assert [(alert.event, alert.severity) for alert in alerts] == [
        ("gale", "Moderate"),
        ("storm", "Severe"),
    ]


def test_a_message_without_information_is_a_doubt():
    alerts, [doubt] = sort("<note>x</note>")

    assert alerts == ()
    assert "a message without information" in doubt.reason


def test_three_doubts_are_named_and_the_others_counted():
    row = load_file().service["met_norway_alerts"]
    for count, end in ((3, "c. Read"), (4, "c; and 1 more. Read"), (5, "c; and 2 more. Read")):
        listing = Listing(unread=tuple("abcde"[:count]))
        answered = Answered((listing, listing), provenance(), ())
        alerts, [doubt] = sort_messages(row, answered, trip_places([BODO]), at("2026-06-01T12:00"))
        assert alerts == ()
        assert doubt.reason == (
            f"Warnings that can't be read: a; b; {end} the warnings at {row.link}."
        )
        assert (doubt.source, doubt.wanted) == (row.title, ("alerts",))


def test_the_same_warning_twice_is_shown_once():
    alerts, doubts = sort(info_xml(area(AROUND)), info_xml(area(AROUND)))

    assert (len(alerts), doubts) == (1, ())


@pytest.mark.parametrize(
    ("info", "name"),
    [
        (Info("en", "Met", "gale", headline="Gale"), "Gale"),
        (Info("en", "Met", "gale"), "gale"),
        (Info("en", "Met", ""), "a warning without a name"),
        (Info("en", "Met", "gale", areas=(Area("north"), Area(""), Area("south"))),
         "gale (north, south)"),
        (Info("en", "Met", "g" * 80), "g" * 80),
        (Info("en", "Met", "g" * 81), "g" * 79 + "…"),
    ],
)  # fmt: skip
def test_a_warning_is_named_by_its_headline_or_event_and_its_areas(info, name):
    assert name_of([info]) == name
