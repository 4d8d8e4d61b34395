"""An open page of the live server in a real browser: newer data, and a check that is being made."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("uvicorn", reason="the live page needs the extra web")

from safety_check.sources.http.request_log import logged
from safety_check.sources.registry import load_sources
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.web import updates
from safety_check.web.session import Session, StoredCheck
from tests.browser import axe
from tests.browser.chromium import PHONE
from tests.browser.conftest import Opener
from tests.live import Live, at_home, running
from tests.web.test_checking import SHORT
from tests.web.test_updates import LATER, windier

WAIT = 120_000  # ms; the machine may be shared


@pytest.fixture
def live(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Live]:
    monkeypatch.setattr(updates, "LISTENS", 0.3)
    monkeypatch.setattr(updates, "SOON", 0.3)
    with at_home(tmp_path), running() as made:
        yield made


@pytest.mark.thorough
def test_an_open_page_says_what_a_newer_check_changes_and_stays_until_the_button_is_pressed(
    opened: Opener, live: Live, tmp_path: Path, checker: str
) -> None:
    made = live.send("/check", **SHORT)
    shown = opened(f"{live.base}{made.url.path}", PHONE, bypass_csp=True)
    page = shown.page
    before = page.inner_text("h1 .big")
    region = page.locator("#newer")
    assert region.get_attribute("role") == "status"
    assert region.inner_text() == ""
    live.session.forecast = windier(tmp_path)
    live.session.as_of = LATER
    button = region.get_by_role("link", name="Open the newer check")
    button.wait_for(timeout=WAIT)
    assert "wind up" in region.inner_text()
    assert f"was {before}." in region.inner_text()
    assert page.url == f"{live.base}{made.url.path}"
    assert page.inner_text("h1 .big") == before
    assert axe.findings(page, checker) == []
    assert shown.overflow <= 0
    button.click()
    page.wait_for_url("**/check/2?since=1", timeout=WAIT)
    assert page.inner_text("h1 .big") != before
    assert shown.complaints == []


@pytest.mark.thorough
def test_while_a_check_is_made_the_page_names_the_services_that_have_not_answered(
    opened: Opener, live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, *_, other = load_sources().values()
    may_go_on, check = threading.Event(), Session.check

    def slow(self: Session, asked: PlanRequest) -> StoredCheck:
        with logged(one, "https://one.example/"):
            pass
        with logged(other, "https://other.example/"):
            assert may_go_on.wait(WAIT)
        return check(self, asked)

    monkeypatch.setattr(Session, "check", slow)
    shown = opened(live.base, PHONE)
    page = shown.page
    page.fill("#hours", "0.5")
    assert page.locator(".progress").first.get_attribute("role") == "status"
    # A browser that waits for its next page answers no question of a test, but goes on logging.
    page.evaluate(
        """() => {
          const status = document.querySelector(".progress");
          const log = () => console.log(status.textContent);
          new MutationObserver(log).observe(status, { childList: true });
        }"""
    )
    said = f"1 of 2 services have answered. Waiting for: {other.title} …"
    try:
        page.locator('form[action="/check"] button').click(no_wait_after=True)
        end = time.monotonic() + WAIT / 1000
        while said not in shown.complaints and time.monotonic() < end:
            page.wait_for_timeout(100)
    finally:
        may_go_on.set()
    assert said in shown.complaints
    page.wait_for_url("**/check/1", timeout=WAIT)
