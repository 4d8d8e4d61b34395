"""The chart of the hours in a real browser: sizes, words, the chosen hour, large text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from safety_check.model.verdict import Verdict
from safety_check.report.page.chart import build_chart
from safety_check.report.page.page import render_page
from safety_check.units import Preferences
from tests import scenes
from tests.report.test_chart import SCENES

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

SIZES = {
    "360": (360, 780),
    "390": (390, 844),
    "768": (768, 1024),
    "1280": (1280, 900),
    "on its side": (844, 390),
}
NAMES = ("limits that change", "two days", "a tide")
# Places of words and of points along the lines of a panel, on the screen. [px]
MEASURED = """() => {
  const seen = (node) => node.getBoundingClientRect();
  const chart = [...document.querySelectorAll("svg.chart")].filter((one) => seen(one).height > 0);
  const texts = [...chart[0].querySelectorAll("text")].map((text) => {
    const box = seen(text);
    return { text: text.textContent, size: parseFloat(getComputedStyle(text).fontSize)
      * text.getScreenCTM().a, x: box.x, y: box.y, width: box.width, height: box.height,
      bound: text.classList.contains("bound") };
  });
  const points = [...chart[0].querySelectorAll(".middle, .caution, .forbids, .spread, .grid")]
    .flatMap((path) => {
      const screen = path.getScreenCTM(), length = path.getTotalLength();
      return Array.from({ length: Math.ceil(length) }, (_, at) => {
        const point = path.getPointAtLength(at).matrixTransform(screen);
        return [point.x, point.y];
      });
    });
  const { x, y, width, height } = seen(chart[0]);
  return { shown: chart.length, texts, points, frame: { x, y, width, height } };
}"""


@dataclass(frozen=True)
class Window:
    """A page, and the verdict in it."""

    page: Page
    verdict: Verdict


@pytest.fixture(scope="module", params=NAMES)
def shown(
    request: pytest.FixtureRequest, chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Window]:
    """Return one window with a page in it, which the tests resize."""
    file: Path = tmp_path_factory.mktemp("chart") / "page.html"
    verdict = SCENES[request.param]()
    file.write_text(render_page(verdict, scenes.settings()), encoding="utf-8")
    context = chromium.new_context(bypass_csp=True)
    window = Window(context.new_page(), verdict)
    window.page.goto(file.as_uri())
    yield window
    context.close()


@pytest.fixture
def page(shown: Window) -> Page:
    """Return the window's page."""
    return shown.page


def crosses(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Return whether the letters of two texts share room; a box has air above and below them."""
    air = 0.14 * one["height"]
    return bool(
        one["x"] + 1 < other["x"] + other["width"]
        and other["x"] + 1 < one["x"] + one["width"]
        and one["y"] + air < other["y"] + other["height"] - air
        and other["y"] + air < one["y"] + one["height"] - air
    )


@pytest.mark.one_in(15)
@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_one_drawing_is_seen_its_text_can_be_read_and_nothing_crosses_it(
    page: Page, size: tuple[int, int]
) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    chart = page.evaluate(MEASURED)
    assert chart["shown"] == page.get_by_role("img", name="Hour by hour").count() == 1
    frame, texts = chart["frame"], chart["texts"]
    for number, text in enumerate(texts):
        assert 13 <= text["size"] <= 16.5, text
        assert frame["x"] - 1 <= text["x"], text
        assert text["x"] + text["width"] <= frame["x"] + frame["width"] + 1, text
        assert not [other for other in texts[:number] if crosses(text, other)], text
    for text in texts:
        inside = [
            point
            for point in chart["points"]
            if text["bound"]
            and text["x"] < point[0] < text["x"] + text["width"]
            and text["y"] + 0.2 * text["height"] < point[1] < text["y"] + 0.85 * text["height"]
        ]
        assert not inside, text
    if size[1] < size[0] < 1000:
        assert frame["height"] <= size[1]


@pytest.mark.thorough
def test_the_column_and_the_values_follow_the_chosen_hour(shown: Window) -> None:
    shown.page.set_viewport_size({"width": 390, "height": 844})
    choose = """row => {
      document.documentElement.dataset.row = row;
      document.dispatchEvent(new CustomEvent("hour", { detail: { row } }));
      const chart = document.querySelector("svg.chart.slim");
      return [Number(chart.querySelector(".cursor").getAttribute("x")),
        [...chart.querySelectorAll("[data-hours]")].map((value) => value.textContent)];
    }"""
    drawn = build_chart(shown.verdict, Preferences())
    for row in (0, 7, len(drawn.hours) - 1):
        x, values = shown.page.evaluate(choose, row)
        assert x == pytest.approx(drawn.hours[row].x, abs=0.1)  # places are rounded to 0.1
        parts = (*drawn.panels, drawn.odds)
        assert values == [*(part.values[row] for part in parts), drawn.head.said[row]]


@pytest.mark.thorough
def test_text_of_twice_the_size_is_drawn_larger_and_can_be_scrolled_to(page: Page) -> None:
    page.set_viewport_size({"width": 360, "height": 780})
    large = page.add_style_tag(content="html { font-size: 212% }")
    chart = page.evaluate(MEASURED)
    assert min(text["size"] for text in chart["texts"]) >= 26
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    large.evaluate("style => style.remove()")
