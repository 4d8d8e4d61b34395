"""Make the pictures of README, and the icons, from what the program itself draws.

Run: python -m tests.browser.screenshots --out docs/pictures
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from safety_check.report.page import page
from safety_check.report.page.page_map import draw_map
from safety_check.use_cases.sample import check_sample
from safety_check.use_cases.wave_map import map_hours_around
from tests.browser.chromium import PHONE, browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ICON = Path(__file__).parents[2] / "safety_check" / "web" / "static" / "icon.svg"
PICTURES = {  # window, colours, pixels to each of the page's, and what stands at the top
    "page-phone": (PHONE, "light", 2, ""),
    "page-phone-hours": (PHONE, "dark", 2, "#hours"),
    "page-phone-lake": (PHONE, "light", 2, "#lake"),
    "page-desktop": ({"width": 1280, "height": 1600}, "light", 1, ""),
}


def pictures(made: Browser, folder: Path) -> None:
    """Draw the page of the bundled scenario, as if looked at a few hours after its check."""
    settings, verdict = check_sample()
    file = Path(tempfile.mkdtemp()) / "page.html"
    file.write_text(
        page.render_page(
            verdict,
            settings,
            draw_map(verdict, map_hours_around(verdict, settings), settings.preferences),
        ),
        encoding="utf-8",
    )
    for name, (size, scheme, scale, top) in PICTURES.items():
        look: Any = {"viewport": size, "color_scheme": scheme}
        context = made.new_context(**look, device_scale_factor=scale)
        shown = context.new_page()
        shown.clock.set_fixed_time(verdict.plan.start)
        shown.goto(file.as_uri())
        if top:
            shown.locator(top).evaluate("part => scrollTo(0, part.offsetTop - 16)")
        shown.screenshot(path=folder / f"{name}.png")
        context.close()


def icons(made: Browser) -> None:
    """Draw the icons that a phone's home screen asks for."""
    for size in (192, 512):
        context = made.new_context(viewport={"width": size, "height": size})
        shown = context.new_page()
        shown.set_content(f"<style>*{{margin:0;display:block}}</style>{ICON.read_text()}")
        shown.screenshot(path=ICON.with_name(f"icon-{size}.png"), omit_background=True)
        context.close()


def main() -> None:
    """Make them all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--icons", action="store_true", help="the icons of the program as well")
    told = parser.parse_args()
    told.out.mkdir(parents=True, exist_ok=True)
    with browser() as made:
        pictures(made, told.out)
        if told.icons:
            icons(made)


if __name__ == "__main__":
    main()
