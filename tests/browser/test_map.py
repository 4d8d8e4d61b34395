"""The map in a real browser: its letters, its labels, its two frames, and what each hour says."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from safety_check.model.verdict import Verdict
from tests.browser.chromium import PHONE
from tests.browser.conftest import Opener

WIDTHS = (360, 768, 1280)
SMALLEST, LARGEST = 13.0, 16.0  # pixels; what issue 17 asks for
SIZES_OF_LETTERS = """() => [...document.querySelectorAll('.maps .lm-t')]
  .filter((text) => text.getClientRects().length)
  .map((text) => parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a)"""
LABELS = """(drawing) => {
  const box = (item) => {
    const { left, top, right, bottom } = item.getBoundingClientRect();
    return { left, top, right, bottom, text: item.textContent };
  };
  const svg = document.querySelector(drawing + ' svg');
  const shown = [...svg.querySelectorAll('.lm-on')].filter((t) => t.getClientRects().length);
  return [box(svg.querySelector('.lm-land')), ...shown.map(box)];
}"""
TELL = "(row) => document.dispatchEvent(new CustomEvent('hour', { detail: { row } }))"


def crossings(boxes: list[dict[str, Any]]) -> list[tuple[str, str]]:
    """Return each two labels that cross."""
    return [
        (one["text"], other["text"])
        for one, other in itertools.combinations(boxes, 2)
        if one["left"] < other["right"]
        and other["left"] < one["right"]
        # A line of text is taller than its letters by a fifth above and below.
        and one["top"] + 3 < other["bottom"] - 3
        and other["top"] + 3 < one["bottom"] - 3
    ]


@pytest.mark.thorough
@pytest.mark.parametrize("frame", ["trip", "whole"])
def test_letters_are_as_large_as_text_at_any_width(
    opened: Opener, sample: tuple[str, Verdict], frame: str
) -> None:
    page = opened(sample[0], PHONE).page
    page.locator(f"label[for=frame-{frame}]").click()
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        sizes = page.evaluate(SIZES_OF_LETTERS)
        assert len(sizes) > 10
        assert min(sizes) >= SMALLEST
        assert max(sizes) <= LARGEST


@pytest.mark.thorough
@pytest.mark.parametrize("frame", ["trip", "whole"])
@pytest.mark.parametrize("width", WIDTHS)
def test_labels_cross_neither_one_another_nor_the_frame(
    opened: Opener, sample: tuple[str, Verdict], frame: str, width: int
) -> None:
    address, verdict = sample
    page = opened(address, {"width": width, "height": 900}).page
    page.locator(f"label[for=frame-{frame}]").click()
    for row in range(len(verdict.around)):
        page.evaluate(TELL, row)
        bounds, *labels = page.evaluate(LABELS, f".{frame}-map")
        assert labels
        assert crossings(labels) == []
        for label in labels:
            assert bounds["left"] - 1 <= label["left"], label
            assert label["right"] <= bounds["right"] + 1, label
            assert bounds["top"] - 4 <= label["top"], label
            assert label["bottom"] <= bounds["bottom"] + 4, label


@pytest.mark.thorough
def test_keys_alone_change_the_frame_and_nothing_else_is_shown(
    opened: Opener, sample: tuple[str, Verdict]
) -> None:
    for script in (True, False):
        page = opened(sample[0], PHONE, java_script_enabled=script).page
        trip, whole = page.locator(".trip-map svg"), page.locator(".whole-map svg")
        assert (trip.is_visible(), whole.is_visible()) == (True, False)
        page.locator("#frame-trip").focus()
        page.keyboard.press("ArrowRight")
        assert (trip.is_visible(), whole.is_visible()) == (False, True)
        page.keyboard.press("ArrowLeft")
        assert (trip.is_visible(), whole.is_visible()) == (True, False)


@pytest.mark.thorough
def test_each_half_of_the_switch_is_large_enough_for_a_finger(
    opened: Opener, sample: tuple[str, Verdict]
) -> None:
    page = opened(sample[0], PHONE).page
    for label in page.locator(".maps > label").all():
        box = label.bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["width"] >= 44


@pytest.mark.thorough
def test_the_words_are_those_of_the_hour_that_the_map_shows(
    opened: Opener, sample: tuple[str, Verdict]
) -> None:
    address, verdict = sample
    page = opened(address, PHONE).page
    page.locator("summary", has_text="The map in words").click()
    told = set()
    for row in range(len(verdict.around)):
        page.evaluate(TELL, row)
        words = page.locator("#map-words > li:visible")
        assert words.count() == 1
        said = words.inner_text()
        told.add(said)
        assert page.locator(".trip-map desc").text_content() == said
        head = page.locator(".trip-map .lm-hour:visible .lm-t.lm-ink").all_text_contents()
        assert said.startswith(head[0])
        assert head[1] in said
        highest = page.locator(".trip-map .lm-hour:visible .lm-on", has_text="highest")
        if highest.count():
            height = highest.text_content() or ""
            assert f"on the trip up to {height.removeprefix('highest ')}" in said
    assert len(told) == len(verdict.around)


@pytest.mark.thorough
def test_paper_has_the_map_of_the_trip_whatever_was_shown(
    opened: Opener, sample: tuple[str, Verdict]
) -> None:
    page = opened(sample[0], PHONE).page
    page.locator("label[for=frame-whole]").click()
    page.emulate_media(media="print")
    assert page.locator(".trip-map svg").is_visible()
    assert not page.locator(".whole-map svg").is_visible()
    assert not page.locator(".maps > label").first.is_visible()
