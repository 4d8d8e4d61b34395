"""What is kept is read back whole, or computed again: never a damaged array, never another's."""

from __future__ import annotations

import os
import zipfile

import numpy as np
import pytest

from safety_check.waters.array_cache import cache_key, cached
from tests.everyday import EVERYDAY

TABLE = {"fetch": np.arange(36.0).reshape(12, 3), "points": np.array([[0.0, np.nan]])}


def same(one, other):
    return one.keys() == other.keys() and all(
        np.array_equal(one[value], other[value], equal_nan=True) for value in one
    )


def never():
    raise AssertionError("computed again")


@pytest.fixture
def file(tmp_path):
    cached(tmp_path / "cache", "table", lambda: TABLE)
    return tmp_path / "cache" / "table.npz"


def test_what_is_kept_is_not_computed_again(file):
    assert same(cached(file.parent, "table", never), TABLE)
    assert list(file.parent.iterdir()) == [file]


@pytest.mark.parametrize(
    "other",
    [[np.zeros(3)], [np.zeros((2, 2))], [np.zeros(2), np.zeros(2)], [np.array([0, 0, 0, 1e-9])]],
)
def test_other_content_has_another_key(other):
    assert cache_key("1", other) != cache_key("1", [np.zeros(4)])


def test_another_version_has_another_key():
    assert cache_key("1", [np.zeros(4)]) != cache_key("2", [np.zeros(4)])


def flipped(content, place):
    return content[:place] + bytes([content[place] ^ 0xFF]) + content[place + 1 :]


DAMAGES = {
    "empty": lambda content: b"",
    "text": lambda content: b"<html>not found</html>",
    "cut off": lambda content: content[: len(content) // 2],
    "cut off by a byte": lambda content: content[:-1],
    "longer": lambda content: content + b"\0" * 70_000,
    "a number changed": lambda content: flipped(content, len(content) // 2),
    "the array's shape changed": lambda content: content.replace(b"(12, 3)", b"(12, 2)"),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_file_is_computed_again_and_replaced(file, damage):
    sound = file.read_bytes()
    assert DAMAGES[damage](sound) != sound
    file.write_bytes(DAMAGES[damage](sound))

    assert same(cached(file.parent, "table", lambda: TABLE), TABLE)
    assert same(cached(file.parent, "table", never), TABLE)
    with zipfile.ZipFile(file) as rewritten:
        assert rewritten.testzip() is None


@pytest.mark.thorough
def test_no_changed_byte_anywhere_is_ever_read_as_another_array(file):
    sound = file.read_bytes()

    for place in range(0, len(sound), 7 if EVERYDAY else 1):
        file.write_bytes(flipped(sound, place))
        assert same(cached(file.parent, "table", lambda: TABLE), TABLE), place


def test_the_arrays_of_another_under_this_name_are_not_taken(file):
    cached(file.parent, "other", lambda: {"fetch": np.zeros((12, 3))})
    file.write_bytes(file.with_name("other.npz").read_bytes())

    assert same(cached(file.parent, "table", lambda: TABLE), TABLE)


def test_a_cache_that_cant_be_written_costs_only_time(tmp_path):
    in_the_way = tmp_path / "file"
    in_the_way.write_text("no folder")

    assert same(cached(in_the_way, "table", lambda: TABLE), TABLE)


def test_a_write_that_fails_leaves_nothing_behind(tmp_path, monkeypatch):
    def fail(*_):
        raise OSError("disk full")

    monkeypatch.setattr(os, "replace", fail)
    cached(tmp_path, "table", lambda: TABLE)

    assert list(tmp_path.iterdir()) == []
