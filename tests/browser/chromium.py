"""Debian's chromium, driven; absent, the tests that need it are skipped with a reason."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

QUIET = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)
PHONE = {"width": 360, "height": 780}
DESKTOP = {"width": 1280, "height": 900}


@contextmanager
def browser() -> Iterator[Browser]:
    """Run chromium until the block ends."""
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="browser: playwright (group browser) is not installed"
    )
    path = shutil.which("chromium")
    if path is None:
        pytest.skip("browser: chromium is not installed (Debian: apt-get install chromium)")
    with playwright.sync_playwright() as driver:
        made = driver.chromium.launch(executable_path=path, args=list(QUIET))
        yield made
        made.close()
