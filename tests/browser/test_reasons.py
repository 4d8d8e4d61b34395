"""The reasons in a real browser: a line each, whatever the room, and no word on another."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from safety_check.report.page.page import render_page
from safety_check.report.page.page_reasons import explain
from safety_check.use_cases.sample import check_sample

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SIZES = {"360": (360, 780), "390": (390, 844), "768": (768, 1024), "1280": (1280, 900),
         "on its side": (844, 390)}  # fmt: skip
LINES = """() => [...document.querySelectorAll(".reason > summary")].map((summary) => {
  const place = (part) => {
    const { x, y, width, height } = part.getBoundingClientRect();
    return { what: part.className.baseVal ?? part.className, x, y, width, height };
  };
  const parts = [...summary.querySelectorAll(
    ".level, .name, .value, .reason-bar, .limit, .when")].map(place);
  return { said: summary.innerText, frame: place(summary), parts };
})"""


@pytest.fixture(scope="module")
def page(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """Return one window with the page of the sample, which the tests resize."""
    settings, verdict = check_sample()
    file: Path = tmp_path_factory.mktemp("reasons") / "page.html"
    file.write_text(render_page(verdict, settings), encoding="utf-8")
    context = chromium.new_context(bypass_csp=True)
    shown = context.new_page()
    shown.goto(file.as_uri())
    yield shown
    context.close()


def overlap(one: dict[str, Any], other: dict[str, Any]) -> bool:
    return bool(
        one["x"] + 1 < other["x"] + other["width"]
        and other["x"] + 1 < one["x"] + one["width"]
        and one["y"] + 2 < other["y"] + other["height"]
        and other["y"] + 2 < one["y"] + one["height"]
    )


def require_lines(page: Page) -> None:
    """Require that the parts of each line stay within it and off each other."""
    lines = page.evaluate(LINES)
    assert len(lines) == 6
    for line in lines:
        frame, parts = line["frame"], line["parts"]
        for number, part in enumerate(parts):
            assert part["x"] + part["width"] <= frame["x"] + frame["width"] + 0.5, part
            assert not [other for other in parts[:number] if overlap(part, other)], line["said"]
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


@pytest.mark.one_in(6)
@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_each_reason_is_a_line_of_its_own(page: Page, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    require_lines(page)


@pytest.mark.thorough
def test_a_line_is_read_as_text_with_the_same_facts(page: Page) -> None:
    settings, verdict = check_sample()
    weighty = [reason for reason in explain(verdict, settings) if reason.severity]
    for reason, line in zip(weighty, page.evaluate(LINES), strict=True):
        said = " ".join(line["said"].split())
        for part in (str(reason.severity), reason.name, reason.value, reason.limit, reason.hours):
            assert part in said
    assert page.locator(".reason-bar:not([aria-hidden=true])").count() == 0


@pytest.mark.thorough
@pytest.mark.parametrize("width", [360, 768])
def test_text_of_twice_the_size_stacks(page: Page, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 1024})
    page.locator(".rest > summary").click()
    large = page.add_style_tag(content="html { font-size: 212% }")
    require_lines(page)
    first = page.evaluate(LINES)[0]["parts"]
    bar = next(part for part in first if part["what"] == "reason-bar")
    assert bar["width"] > 0.8 * page.evaluate("document.querySelector('.line').clientWidth")
    large.evaluate("style => style.remove()")
    page.locator(".rest > summary").click()
