"""A browser for each worker, and pages that tell on whatever they should not do."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from safety_check.model.verdict import Verdict
from safety_check.report.page import page
from safety_check.report.page.page_map import draw_map
from safety_check.use_cases.sample import check_sample
from safety_check.use_cases.wave_map import map_hours_around
from tests.browser import axe
from tests.browser.chromium import browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

Opener = Callable[..., "Shown"]
PATIENCE = 120_000  # ms; the machine may be shared


@dataclass
class Shown:
    """A page in the browser, and what it did meanwhile."""

    page: Page
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    @property
    def overflow(self) -> int:
        """By how many pixels the page is wider than the window."""
        return int(self.page.evaluate("document.documentElement.scrollWidth - innerWidth"))


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """Return a running browser."""
    with browser() as made:
        yield made


@pytest.fixture
def opened(chromium: Browser) -> Iterator[Opener]:
    """Return a function that opens an address in a window of its own."""
    contexts = []

    def opener(address: str, size: dict[str, int], **more: Any) -> Shown:
        view: Any = size
        context = chromium.new_context(viewport=view, **more)
        contexts.append(context)
        context.set_default_timeout(PATIENCE)
        shown = Shown(context.new_page())
        shown.page.on("request", lambda request: shown.requests.append(request.url))
        shown.page.on("pageerror", lambda error: shown.complaints.append(str(error)))
        shown.page.on("console", lambda message: shown.complaints.append(message.text))
        shown.page.on("dialog", lambda dialog: shown.complaints.append("a dialog"))
        shown.page.goto(address)
        return shown

    yield opener
    for one_context in contexts:
        one_context.close()


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Verdict]:
    """Return the address of the bundled scenario's page, and its verdict."""
    settings, verdict = check_sample()
    file = tmp_path_factory.mktemp("page") / "page.html"
    file.write_text(
        page.render_page(
            verdict,
            settings,
            draw_map(verdict, map_hours_around(verdict, settings), settings.preferences),
        ),
        encoding="utf-8",
    )
    return file.as_uri(), verdict


@pytest.fixture(scope="module")
def checker(request: pytest.FixtureRequest) -> str:
    """Return the script of the accessibility checker."""
    cache = getattr(request.config, "cache", None)
    shelf: Path = cache.mkdir("axe-core") if cache else Path(tempfile.gettempdir())
    return axe.script(shelf)
