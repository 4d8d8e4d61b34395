from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.clean_text import clean_text
from tests.properties import cases

HOSTILE = [
    ("\x1b[31mred\x1b[0m", "red"),  # colour
    ("\x9b2Jgone", "gone"),  # the one-byte form of CSI
    ("\x1b]8;;http://x\x1b\\link\x1b]8;;\x1b\\", "link"),  # hyperlink
    ("\x1b]52;c;YQ==\x07paste", "paste"),  # clipboard
    ("\x1bPq#0\x1b\\picture", "picture"),  # sixel
    ("\x1bcreset", "reset"),
    ("\x1b]never closed, yet read", "never closed, yet read"),
    ("safe\u202egnalf", "safegnalf"),  # right-to-left override
    ("a\u2066b\u2069c\u200fd\u061ce", "abcde"),
    ("bell\x07 back\x08space\x00", "bell backspace"),
    ("zero\u200bwidth\ufeff", "zerowidth"),
    ("half \ud800 pair", "half pair"),
    ("tab\tand\nline", "tab and line"),
    ("Île-de-France, Brasília, 東京", "Île-de-France, Brasília, 東京"),
]


@pytest.mark.parametrize(("received", "shown"), HOSTILE)
def test_text_from_a_service_can_command_no_terminal(received, shown):
    assert clean_text(received) == shown


@cases(200)
@given(st.text(), st.booleans())
def test_whatever_comes_only_visible_characters_are_left(text, lines):
    shown = clean_text(text, lines=lines)

    assert all(unicodedata.category(value)[0] != "C" or value == "\n" for value in shown)
    assert lines or "\n" not in shown


def test_a_long_text_is_cut_and_says_so():
    assert clean_text("word " * 10_000, limit=50) == "word " * 9 + "word…"


def test_paragraphs_of_a_warning_can_stay():
    assert clean_text("WHAT: wind\r\n\r\nWHEN: noon\x85", lines=True) == "WHAT: wind\n\nWHEN: noon"
