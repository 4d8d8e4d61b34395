"""From the elements of CAP 1.2 to a message, each in its place."""

from __future__ import annotations

from safety_check.sources.cap.build import read_references
from safety_check.sources.cap.message import Reference
from tests.sources.cap.recorded import info_xml, made
from tests.sources.spoiled import at


def test_a_text_keeps_its_lines_and_a_name_is_one_line():
    info = made(info_xml(description="One.\nTwo.", instruction="A\nB", headline="a\nb")).infos[0]

    assert (info.description, info.instruction, info.headline) == ("One.\nTwo.", "A\nB", "a b")


def test_a_reference_has_three_parts_and_its_identifier_may_have_commas():
    assert read_references("a,b,c d,e f,g,h,i") == (
        Reference("a", "b", "c"),
        Reference("f", "g,h", "i"),
    )


def test_an_information_block_has_each_element_in_its_place():
    area = (
        "<area><areaDesc>here</areaDesc><altitude>1000</altitude><ceiling>2000</ceiling>"
        "<geocode><valueName>X</valueName><value>1</value></geocode></area>"
        "<category>Safety</category>"
        "<eventCode><valueName>Y</valueName><value>2</value></eventCode>"
        "<parameter><valueName>Z</valueName><value>3</value></parameter>"
    )
    info = made(info_xml(area, effective="2026-06-01T07:00:00Z", web="w", language="")).infos[0]

    assert (info.language, info.category, info.event) == ("en-US", "Met Safety", "gale")
    assert (info.urgency, info.severity, info.certainty) == ("Expected", "Moderate", "Likely")
    assert (info.effective, info.onset, info.expires) == (
        at("2026-06-01T07:00"),
        at("2026-06-01T08:00"),
        at("2026-06-01T20:00"),
    )
    assert (info.event_codes, info.parameters) == ((("Y", "2"),), (("Z", "3"),))
    [place] = info.areas
    assert (place.altitude_m, place.ceiling_m) == (304.8, 609.6)  # 1000 and 2000 feet
    assert (place.geocodes, place.unread, info.web) == ((("X", "1"),), (), "w")


def test_a_message_without_information_says_so():
    assert made("<note>x</note>").unread == ("a message without information",)
    assert made().unread == ()
