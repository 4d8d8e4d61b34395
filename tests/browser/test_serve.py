"""The live page in a real browser: with and without scripts, by keys alone, without a signal."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("uvicorn", reason="the live page needs the extra web")

from tests.browser import axe
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.conftest import Opener
from tests.browser.test_page import sizes, tab_to
from tests.hostile import HOSTILE, as_shown
from tests.live import Live, at_home, running

if TYPE_CHECKING:
    from playwright.sync_api import Page

PAGES = ("/", "/last", "/outlook", "/history", "/plan/1", "/trips", "/check/999999")


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    with at_home(tmp_path_factory.mktemp("home")), running() as made:
        yield made


@pytest.mark.thorough
@sizes
@pytest.mark.parametrize("script", [True, False], ids=["scripts", "no scripts"])
def test_a_trip_is_checked_a_limit_changed_and_the_trip_logged(
    opened: Opener, live: Live, size: dict[str, int], script: bool
) -> None:
    shown = opened(live.base, size, java_script_enabled=script)
    page = shown.page
    page.fill("#hours", "0.5")
    page.get_by_role("button", name="Check").click()
    page.wait_for_url("**/check/*")
    before = page.inner_text("h1 .big")
    page.select_option("#quantity", "wind_speed")
    page.fill("#no_go", "1 mph")
    page.get_by_role("button", name="Set and check again").click()
    page.wait_for_selector(".news:not(#newer)")
    assert page.inner_text("h1 .big") == "NO-GO"
    assert f"changes from {before} to NO-GO." in page.inner_text(".news:not(#newer)")
    page.get_by_role("button", name="Back to the default").click()
    page.wait_for_selector(f".news:not(#newer):has-text('to {before}')")
    page.fill("#wind", "scattered whitecaps")
    page.get_by_role("button", name="Log it").click()
    page.wait_for_url("**/trips")
    assert "from the look of the water" in page.inner_text("main")
    assert shown.complaints == []
    assert all(request.startswith(live.base) for request in shown.requests)


@pytest.mark.thorough
@sizes
def test_the_keys_alone_fill_in_and_send_the_form(
    opened: Opener, live: Live, size: dict[str, int]
) -> None:
    page = opened(live.base, size).page
    tab_to(page, "#hours")
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("0.5")
    tab_to(page, "form button")
    page.keyboard.press("Enter")
    page.wait_for_url("**/check/*")
    tab_to(page, "#strip [role=radio]")
    said = page.inner_text("#said")
    page.keyboard.press("ArrowRight")
    assert page.inner_text("#said") != said


@pytest.fixture(scope="module")
def checked(live: Live) -> Live:
    """Return the live page after a check."""
    live.send("/check", place='["Marrowick Arm (invented)", "mill slip"]',
              craft="canoe", start="2026-06-13T10:00", hours="2",
              water_temperature="72 F")  # fmt: skip
    return live


@pytest.mark.thorough
@sizes
@pytest.mark.parametrize("path", PAGES)
def test_the_accessibility_checker_finds_nothing_serious(
    opened: Opener, checked: Live, size: dict[str, int], path: str, checker: str
) -> None:
    shown = opened(f"{checked.base}{path}", size, bypass_csp=True)
    assert axe.findings(shown.page, checker) == []
    assert shown.overflow <= 0


@pytest.mark.thorough
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_typed_into_every_field_is_shown_as_text(
    opened: Opener, live: Live, name: str
) -> None:
    text = HOSTILE[name][:2000]
    shown = opened(live.base, PHONE)
    page = shown.page
    for field in ("point", "reach", "from_shore", "water_temperature"):
        page.goto(live.base)
        page.fill(f"#{field}", text)
        page.get_by_role("button", name="Check").click()
        page.wait_for_selector("[role=alert]")
        assert " ".join(page.input_value(f"#{field}").split()) == as_shown(text)
        assert page.title() == "Not checked: Check a trip"
        assert shown.overflow <= 0
    refused = [complaint for complaint in shown.complaints if "422" not in complaint]
    assert refused == []


def _kept(page: Page) -> None:
    """Wait until the browser could do without the server."""
    page.wait_for_function("() => Boolean(navigator.serviceWorker.controller)")


@pytest.mark.thorough
def test_when_the_server_is_gone_the_last_check_is_shown_and_says_so(
    opened: Opener, tmp_path: Path
) -> None:
    with at_home(tmp_path), running() as gone:
        page = opened(gone.base, PHONE).page
        page.get_by_role("button", name="Check").click()
        page.wait_for_url("**/check/*")
        page.wait_for_function("async () => Boolean(await caches.match('/last'))")
        _kept(page)
        verdict = page.inner_text("h1 .big")
        page.goto(f"{gone.base}/last")
        assert "/check/" in page.url
        assert not page.locator("#kept").is_visible()
    for path in ("/", "/trips", "/last"):
        page.goto(f"{gone.base}{path}")
        assert page.url == f"{gone.base}/last"
        assert page.inner_text("h1 .big") == verdict
        assert "stored on this device" in page.inner_text("#kept")
        assert page.locator(".lm-hour:visible").count() == 1


def test_when_the_server_is_gone_and_nothing_was_checked_it_says_that_nothing_is_stored(
    opened: Opener, tmp_path: Path
) -> None:
    with at_home(tmp_path), running() as gone:
        page = opened(gone.base, PHONE).page
        _kept(page)
    page.goto(f"{gone.base}/trips")
    assert "No check is stored on this device yet" in page.inner_text("body")


def test_a_browser_finds_the_page_ready_for_the_home_screen(opened: Opener, live: Live) -> None:
    page = opened(live.base, DESKTOP).page
    session = page.context.new_cdp_session(page)
    told = session.send("Page.getAppManifest")
    assert told["errors"] == []
    assert told["url"] == f"{live.base}/manifest.webmanifest"
    errors = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert [error["errorId"] for error in errors if error["errorId"] != "in-incognito"] == []


@pytest.mark.thorough
def test_another_site_in_the_same_browser_can_not_send_our_forms(
    opened: Opener, live: Live
) -> None:
    page = opened(f"http://localhost:{live.address.port}/trips", PHONE).page
    before = len(live.session.trips())
    page.evaluate(
        """async ([base, token]) => {
          const form = document.createElement("form");
          form.method = "post";
          form.action = `${base}/trips`;
          form.innerHTML = `<input name=token value="${token}"><input name=notes value=x>`;
          document.body.append(form);
          form.submit();
        }""",
        [live.base, live.token()],
    )
    page.wait_for_timeout(500)
    assert len(live.session.trips()) == before
