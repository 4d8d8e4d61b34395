"""Zip files of warnings: what is a file in one, and how much of it is unpacked."""

from __future__ import annotations

import zipfile
from io import BytesIO

import pytest

from safety_check.sources.cap import archive
from safety_check.sources.cap.archive import read_zip
from tests.sources.cap.recorded import alert_xml, info_xml

MESSAGE = alert_xml(info_xml())


def packed(**files: bytes) -> bytes:
    """Return a zip file; a name with a slash at its end is a folder."""
    held = BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as whole:
        for name, content in files.items():
            whole.writestr(name, content)
    return held.getvalue()


def test_a_folder_in_an_archive_is_no_message_and_an_empty_file_is_one_that_is_lost():
    listing = read_zip(packed(**{"folder/": b"", "folder/a.xml": MESSAGE}), "a service")
    assert (len(listing.messages), listing.unread) == (1, ())

    assert read_zip(packed(a=b""), "a service").unread == ("a: not a CAP message",)


def test_as_many_files_as_are_allowed_are_read(monkeypatch):
    monkeypatch.setattr(archive, "MOST_MEMBERS", 2)

    assert len(read_zip(packed(a=MESSAGE, b=MESSAGE), "a service").messages) == 2


@pytest.mark.parametrize(("room", "read"), [(len(MESSAGE), 1), (len(MESSAGE) - 1, 0)])
def test_a_file_may_fill_the_room_that_is_left(monkeypatch, room, read):
    for limit in ("GREATEST_XML", "GREATEST_UNPACKED"):
        with monkeypatch.context() as patch:
            patch.setattr(archive, limit, room)
            listing = read_zip(packed(a=MESSAGE), "a service")
        assert (len(listing.messages), len(listing.unread)) == (read, 1 - read)


@pytest.mark.parametrize(("room", "read"), [(2 * len(MESSAGE), 2), (2 * len(MESSAGE) - 1, 1)])
def test_each_file_takes_its_part_of_the_room_for_all(monkeypatch, room, read):
    monkeypatch.setattr(archive, "GREATEST_UNPACKED", room)

    listing = read_zip(packed(a=MESSAGE, b=MESSAGE), "a service")

    assert (len(listing.messages), len(listing.unread)) == (read, 2 - read)


def test_a_file_that_is_larger_than_it_says_is_not_unpacked(monkeypatch):
    monkeypatch.setattr(archive, "GREATEST_XML", 999)
    size, said = (1000).to_bytes(4, "little"), (999).to_bytes(4, "little")

    listing = read_zip(packed(a=b"\n" * 1000).replace(size, said), "a service")

    assert listing.unread == ("a: it can't be unpacked, or is too large",)


def test_a_long_name_is_named_by_its_first_hundred_characters():
    listing = read_zip(packed(**{"a" * 150: b"x"}), "a service")

    assert listing.unread == ("a" * 99 + "…: not a CAP message",)
