"""The estimated range of the water's temperature in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety_check.report.page.page import render_page
from tests import scenes
from tests.assess.test_water_estimate import judged
from tests.browser import axe
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.conftest import Opener

SIZES = {"phone": PHONE, "desktop": DESKTOP}
RANGES = {"caution between": (14.0, 25.0), "narrow at a limit": (20.6, 21.4), "wide": (1.0, 29.0)}


@pytest.fixture(scope="module", params=list(RANGES.values()), ids=list(RANGES))
def address(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the page of a morning on water whose temperature is estimated."""
    verdict = judged(*request.param).verdict
    file: Path = tmp_path_factory.mktemp("band") / "page.html"
    file.write_text(render_page(verdict, scenes.settings()), encoding="utf-8")
    return file.as_uri()


@pytest.mark.thorough
@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_band_is_seen_and_read_and_the_accessibility_checker_finds_nothing(
    opened: Opener, address: str, size: dict[str, int], scheme: str, checker: str
) -> None:
    shown = opened(address, size, color_scheme=scheme, bypass_csp=True)
    band = shown.page.locator("svg.water-band")
    assert band.is_visible()
    assert "not measured" in (band.get_attribute("aria-label") or "")
    assert shown.overflow <= 0
    assert axe.findings(shown.page, checker) == []


@pytest.mark.thorough
def test_no_label_of_the_band_is_cut_off_or_lies_on_another(opened: Opener, address: str) -> None:
    page = opened(address, PHONE).page
    frame = page.locator("svg.water-band").bounding_box()
    boxes = [text.bounding_box() for text in page.locator("svg.water-band text").all()]
    assert frame is not None
    assert len(boxes) == 4
    for number, box in enumerate(boxes):
        assert box is not None
        assert frame["x"] <= box["x"] + 0.5
        assert box["x"] + box["width"] <= frame["x"] + frame["width"] + 0.5
        for other in boxes[:number]:
            assert other is not None
            beside = (
                box["x"] + box["width"] <= other["x"] + 0.5
                or other["x"] + other["width"] <= box["x"] + 0.5
            )
            apart = (
                box["y"] + box["height"] <= other["y"] + 2
                or other["y"] + other["height"] <= box["y"] + 2
            )
            assert beside or apart
