"""Lists in RSS, RDF and Atom: which address an entry has, and how old a list is."""

from __future__ import annotations

import pytest

from safety_check.errors import DataError
from safety_check.sources.cap.index import MOST_LINKS, links_to_follow, read_index
from safety_check.sources.cap.message import Link, Listing
from tests.sources.cap.recorded import alert_xml, info_xml
from tests.sources.spoiled import at

NOON = at("2026-06-01T12:00:00")


def listed(items: str, head: str = "") -> Listing:
    return read_index(f"<rss><channel>{head}{items}</channel></rss>".encode(), "a service")


def address(*inside: str) -> str:
    """Return where the message of an entry is, by the elements of the entry."""
    found = listed(f"<item>{''.join(inside)}</item>")
    return found.links[0].url if found.links else ""


def test_a_list_of_rss_has_a_channel_and_a_feed_of_atom_has_none():
    with pytest.raises(DataError, match="a list without its 'channel'"):
        read_index(b"<rss><item><link>https://example.org/1</link></item></rss>", "a service")
    assert read_index(b"<feed/>", "a service") == Listing()


def test_the_items_of_rdf_stand_beside_the_channel():
    body = b"<RDF><channel/><item><link>https://example.org/1</link></item></RDF>"

    assert [link.url for link in read_index(body, "a service").links] == ["https://example.org/1"]


def test_a_cap_message_in_place_of_a_list_is_a_list_of_one_and_another_document_is_none():
    assert len(read_index(alert_xml(info_xml()), "a service").messages) == 1
    with pytest.raises(DataError, match="the answer is 'html', not a list of warnings"):
        read_index(b"<html/>", "a service")


PAGE = "<link>https://example.org/page</link>"
CAP = "<link href='https://example.org/1.cap' type='application/cap+xml'/>"
FILE = "<enclosure url='https://example.org/file'/>"


@pytest.mark.parametrize(
    ("inside", "url"),
    [
        ((PAGE, CAP), "https://example.org/1.cap"),
        ((CAP, PAGE), "https://example.org/1.cap"),
        ((PAGE, FILE), "https://example.org/page"),
        ((FILE, PAGE), "https://example.org/file"),
        (("<link> </link>", FILE), "https://example.org/file"),
        (("<link>\n https://example.org/1 \n</link>",), "https://example.org/1"),
        (("<link href='1.cap'/>",), "1.cap"),
        (("<guid>https://example.org/2</guid>", PAGE), "https://example.org/page"),
        (("<id>http://example.org/3</id>",), "http://example.org/3"),
        (("<id>tag:example.org,2026:3</id>",), ""),
        (("<source url='https://example.org/4'/>",), ""),
    ],
)
def test_the_address_of_an_entry_is_that_of_its_cap_file_or_its_first_link(inside, url):
    assert address(*inside) == url


def test_an_entry_says_what_it_is_and_when_it_was_sent_and_ends():
    item = (
        "<item><title> Gale </title><guid>7</guid><link>x</link><title>Storm</title>"
        "<pubDate>Mon, 01 Jun 2026 08:00:00 GMT</pubDate>"
        "<updated>2026-06-01T09:00:00Z</updated><expires>2026-06-01T20:00:00Z</expires></item>"
    )
    sent, ends = at("2026-06-01T09:00:00"), at("2026-06-01T20:00:00")

    assert listed(item).links == (Link("x", "7", "Gale", sent, ends),)


@pytest.mark.parametrize("name", ["updated", "pubDate", "published", "sent"])
def test_the_time_of_an_entry_has_several_names(name):
    [link] = listed(f"<item><link>x</link><{name}>2026-06-01T09:00:00Z</{name}></item>").links

    assert link.updated == at("2026-06-01T09:00:00")


def test_an_entry_that_is_listed_twice_is_read_once():
    assert len(listed("<item><link>x</link></item>" * 2).links) == 1


def test_an_entry_with_the_message_itself_is_not_read_again_at_its_link():
    item = f"<item>{PAGE}{alert_xml(info_xml()).decode()}</item>"
    listing = listed(item + "<item><link>x</link></item>")

    assert (len(listing.messages), [link.url for link in listing.links]) == (1, ["x"])


@pytest.mark.parametrize("name", ["lastBuildDate", "pubDate", "date", "updated"])
def test_a_list_is_as_old_as_the_latest_time_of_its_own(name):
    later = f"<{name}>2026-06-01T11:00:00Z</{name}>"
    entry = "<item><link>x</link><pubDate>2026-06-01T13:00:00Z</pubDate></item>"
    other = "<pubDate>2026-06-01T10:00:00Z</pubDate><title>2026-06-01T12:00:00Z</title>"

    for head in (later + other, other + later):
        assert listed(entry, head).updated == at("2026-06-01T11:00:00")
    feed = f"<feed>{later}<entry><id>x</id></entry></feed>".encode()
    assert read_index(feed, "a service").updated == at("2026-06-01T11:00:00")
    assert listed(entry).updated is None


def test_as_many_links_as_a_check_may_follow_are_all_followed():
    every = tuple(Link(f"https://example.org/{number}") for number in range(MOST_LINKS))

    assert links_to_follow(Listing(links=every), NOON) == Listing(links=every)


def test_a_link_without_a_time_counts_as_new_and_one_that_ends_later_is_followed():
    old = Link("old", updated=at("2026-06-01T11:00:00"))
    coming = Link("coming", expires=at("2026-06-01T12:00:01"))
    ended = Link("ended", expires=NOON)
    listing = Listing(links=(old, coming, ended), updated=NOON, unread=("one",))

    found = links_to_follow(listing, NOON)

    assert [link.url for link in found.links] == ["coming", "old"]
    assert (found.updated, found.unread) == (NOON, ("one",))
