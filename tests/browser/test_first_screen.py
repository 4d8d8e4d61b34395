"""The first screen of a phone, other sizes, large text and paper.

The five-second test (docs/five_second_test.md): on each of six pages the answers to five questions
stand within the first two screens of a phone, found there by their roles and names as a screen
reader finds them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from safety_check.model.verdict import Verdict
from safety_check.report.page.page import render_page
from tests import six_pages
from tests.browser import axe
from tests.browser.conftest import Opener

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

PHONE = {"width": 390, "height": 844}
TWO_SCREENS = 2 * PHONE["height"]
TOUCH = 44  # px; the least size of what a finger has to hit
WIDTHS = (360, 390, 600, 768, 990, 1280)
QUESTIONS = {  # the question, and the name of the line that answers it
    "When is it safe?": "When",
    "Why not?": "Why",
    "Where is the lee?": "Lee",
    "When must I be back?": "Back",
}
SHEETS = ("A4", "Letter")


@pytest.fixture(scope="module")
def looked_at(
    chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Callable[[str], tuple[Page, Verdict]]]:
    """Return what shows one of the six pages in a window of its own, and its verdict."""
    folder = tmp_path_factory.mktemp("six")
    view: Any = PHONE
    context = chromium.new_context(viewport=view)

    @cache
    def look(name: str) -> tuple[Page, Verdict]:
        settings, verdict = six_pages.judged(name, folder)
        file = folder / f"{name}.html"
        file.write_text(render_page(verdict, settings), encoding="utf-8")
        shown = context.new_page()
        shown.clock.set_fixed_time(verdict.at)
        shown.goto(file.as_uri())
        return shown, verdict

    yield look
    context.close()


def bottom(found: Locator) -> float:
    """Return where the one element that was found ends on the page [px]."""
    assert found.count() == 1
    box = found.bounding_box()
    assert box is not None
    assert box["height"] > 0
    return box["y"] + box["height"]


@pytest.mark.one_in(6)
@pytest.mark.parametrize("name", six_pages.CASES)
def test_five_seconds(looked_at: Callable[[str], tuple[Page, Verdict]], name: str) -> None:
    page, verdict = looked_at(name)
    page.evaluate("scrollTo(0, 0)")
    assert bottom(page.get_by_role("heading", level=1, name=str(verdict.severity))) < 150
    terms = page.get_by_role("term")
    for question, label in QUESTIONS.items():
        term = terms.get_by_text(label, exact=True)
        answer = term.locator("xpath=following-sibling::dd")
        assert len(answer.inner_text()) > 10, question
        assert bottom(answer) <= PHONE["height"], question
    strip = page.get_by_role("radiogroup", name="Hour")
    assert bottom(strip) <= PHONE["height"]
    section = page.get_by_role("region", name="What would change it")
    assert section.get_by_role("listitem").count() > 0
    assert bottom(section) <= TWO_SCREENS
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


@pytest.mark.one_in(3)
@pytest.mark.parametrize("name", six_pages.CASES)
def test_each_hour_of_the_trip_is_a_cell_that_a_finger_hits(
    looked_at: Callable[[str], tuple[Page, Verdict]], name: str
) -> None:
    page, verdict = looked_at(name)
    cells = page.locator("#strip .in-trip")
    assert cells.count() == len(verdict.hours)
    sizes = cells.evaluate_all("all => all.map(one => [one.offsetWidth, one.offsetHeight])")
    assert min(side for size in sizes for side in size) >= TOUCH
    names = cells.locator(".gone").all_inner_texts()
    for hour, said in zip(verdict.hours, names, strict=True):
        assert f": {hour.severity}; wind " in said
        assert ", gusts " in said
        assert ", waves " in said
    first = cells.first.bounding_box()
    assert first is not None
    assert 0 <= first["x"] < PHONE["width"] - TOUCH  # the strip begins with the trip


@pytest.mark.thorough
def test_on_a_phone_on_its_side_answer_and_hours_share_one_screen(
    looked_at: Callable[[str], tuple[Page, Verdict]],
) -> None:
    for page, _ in map(looked_at, six_pages.CASES):
        page.set_viewport_size({"width": 844, "height": 390})
        page.evaluate("scrollTo(0, 0)")
        assert bottom(page.locator("#strip")) <= 390
        page.set_viewport_size({"width": 390, "height": 844})


@pytest.mark.thorough
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_at_every_width_nothing_overflows_and_the_checker_finds_nothing(
    opened: Opener, sample: tuple[str, Verdict], checker: str, scheme: str
) -> None:
    shown = opened(sample[0], PHONE, color_scheme=scheme, bypass_csp=True)
    shown.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    for width in WIDTHS:
        shown.page.set_viewport_size({"width": width, "height": 900})
        assert shown.overflow <= 0, width
        if (scheme == "dark") == (width in (390, 768)):  # each width in one of the two schemes
            assert axe.findings(shown.page, checker) == [], width


@pytest.mark.thorough
def test_from_600_px_the_head_and_the_short_sections_have_two_columns(
    looked_at: Callable[[str], tuple[Page, Verdict]],
) -> None:
    page, _ = looked_at("GO")
    for width, beside in ((390, False), (600, True), (768, True), (990, True)):
        page.set_viewport_size({"width": width, "height": 844})
        tops = [
            page.locator(part).evaluate("part => part.getBoundingClientRect().top")
            for part in (".trip-asked", ".decision")
        ]
        assert (tops[1] - tops[0] < 20) == beside, width
        assert (
            page.locator(".ashore").evaluate("e => getComputedStyle(e).columnCount") == "2"
        ) == (beside), width
    page.set_viewport_size({"width": 390, "height": 844})


@pytest.mark.thorough
@pytest.mark.parametrize("width", [320, 390])
def test_text_twice_as_large_is_stacked_and_not_squeezed(
    looked_at: Callable[[str], tuple[Page, Verdict]], width: int
) -> None:
    page, _ = looked_at("NO-GO")
    page.set_viewport_size({"width": width, "height": 844})
    usual = page.evaluate("document.documentElement.scrollHeight")
    page.evaluate("document.documentElement.style.fontSize = '212%'")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    # a line holds at least five letters, the emergency number above all
    narrow = page.locator("dd").evaluate_all(
        """all => all.filter(one => one.offsetHeight && one.offsetWidth
             < 2.5 * parseFloat(getComputedStyle(one).fontSize)).map(one => one.textContent)"""
    )
    assert narrow == []
    # four times the area, and what a narrower line wastes
    assert page.evaluate("document.documentElement.scrollHeight") < 5 * usual
    page.evaluate("document.documentElement.style.fontSize = ''")
    page.set_viewport_size({"width": 390, "height": 844})


def sheets(page: Page, form: str) -> int:
    """Return how many sides a page takes on paper."""
    return page.pdf(format=form).count(b"/Type /Page\n")


@pytest.mark.thorough
def test_what_one_takes_along_is_printed_on_one_side(
    opened: Opener, sample: tuple[str, Verdict], looked_at: Callable[[str], tuple[Page, Verdict]]
) -> None:
    """Without what stands overleaf there is one side; with it the rest begins a new one.

    No reader of PDF files is needed: the browser breaks pages the same way in both.
    """
    along = "#strip, svg.chart, #leave, #advice-0, .float-plan"
    with_map = opened(sample[0], PHONE).page
    assert with_map.locator(".trip-map .lake-map").count() == 1
    for page in (with_map, looked_at("48 h")[0]):
        page.emulate_media(media="print")
        first = page.locator(".answer, .hour-by-hour, .drawn, .ashore")
        assert first.locator(along).count() >= 5
        assert "The emergency number" in page.locator(".float-plan").inner_text()
        assert page.locator(".now").evaluate("e => getComputedStyle(e).breakBefore") == "page"
        whole = {form: sheets(page, form) for form in SHEETS}
        page.evaluate(
            "document.querySelectorAll('.now, .rest-of-page, footer').forEach(one => one.remove())"
        )
        assert {form: sheets(page, form) for form in SHEETS} == dict.fromkeys(SHEETS, 1)
        assert min(whole.values()) > 1


@pytest.mark.thorough
def test_with_scripts_off_the_strip_is_a_list_of_the_hours_of_the_trip(
    opened: Opener, tmp_path: Path
) -> None:
    settings, verdict = six_pages.judged("GO", tmp_path)
    file = tmp_path / "page.html"
    file.write_text(render_page(verdict, settings), encoding="utf-8")
    shown = opened(file.as_uri(), PHONE, java_script_enabled=False)
    hours = shown.page.get_by_role("list", name="Hour").get_by_role("listitem")
    assert hours.count() == len(verdict.hours)
    assert hours.first.inner_text().startswith("10:00: GO; wind ")
    assert shown.page.get_by_role("radio").count() == 0
    assert shown.page.locator(".stepper:visible").count() == 0
    assert shown.overflow <= 0
