"""A new user with nothing but a phone: from an empty home to a first check."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("uvicorn", reason="the live page needs the extra web")

from safety_check.settings.folders import shipped_file
from safety_check.settings.settings import load_settings
from safety_check.waters import files
from tests.browser import axe
from tests.browser.conftest import Opener, Shown
from tests.live import Live, at_home, new_user, running

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

PHONE = {"width": 390, "height": 844}
WIDTHS = (360, 768, 1280)
PATIENCE = 180_000  # ms; the first check of a water computes its open water, on a busy machine
ARM = shipped_file("sample") / "marrowick_arm.geojson"
READY = {"life_jacket": "worn", "wearing": "none", "company": "alone", "light": "yes"}
TRIP = {
    "start": "2026-06-13T10:00",
    "hours": "0.5",
    "water_temperature": "72",
    "current": "0.4 kt from NE, slack 09:40, slack 15:50",
    "high_water": "low 09:20, 15:30",
}


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    with at_home(tmp_path_factory.mktemp("home")), running(session=new_user()) as made:
        yield made


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def add_the_arm(page: Page, name: str) -> None:
    page.get_by_role("link", name="Add a water").first.click()
    page.set_input_files("#file", ARM)
    press(page, "Read the file")
    page.fill("#name", name)
    page.select_option("#kind", "tidal")
    press(page, "Store it")


def tap(page: Page, right: float, down: float) -> None:
    """Tap the outline at shares of its sides, and wait for the closer view."""
    drawing = page.locator(".outline input:visible")
    box = drawing.bounding_box()
    assert box is not None
    with page.expect_navigation():
        drawing.click(position={"x": box["width"] * right, "y": box["height"] * down})


@pytest.mark.one_in(2)
@pytest.mark.parametrize("script", [True, False], ids=["scripts", "no scripts"])
def test_a_phone_alone_goes_from_an_empty_home_to_a_first_check(
    opened: Opener, tmp_path: Path, script: bool
) -> None:
    with at_home(tmp_path), running(session=new_user()) as empty:
        shown = opened(empty.base, PHONE, java_script_enabled=script)
        page = shown.page
        page.set_default_timeout(PATIENCE)
        add_the_arm(page, "the arm")
        page.get_by_role("link", name="Add another launch").click()
        tap(page, 0.3, 0.5)
        tap(page, 0.4, 0.4)
        page.fill("#name", "west beach")
        press(page, "Launch here")
        page.wait_for_url("**/own")
        launches = files.load("the arm", load_settings().folders.waters).launches
        assert [launch.name for launch in launches] == ["mill slip", "saltings steps", "west beach"]

        page.get_by_role("link", name="Add a craft").click()
        page.fill("#name", "my canoe")
        page.select_option("#kind", "canoe")
        page.fill("#cruise_speed", "2.5")
        press(page, "Store")
        page.get_by_role("link", name="Change what you bring").click()
        for name, word in READY.items():
            page.select_option(f"#{name}", word)
        press(page, "Store")
        assert "Nothing is missing" in page.inner_text("main")

        page.get_by_role("link", name="Check a trip").click()
        page.select_option("#place", label="the arm: mill slip")
        page.select_option("#craft", "my canoe")
        for name, text in TRIP.items():
            page.fill(f"#{name}", text)
        page.get_by_role("button", name="Check", exact=True).click()
        page.wait_for_url("**/check/*")
        assert page.inner_text("h1 .big") in ("GO", "MARGINAL")
        assert "the arm" in page.inner_text("main")
        assert shown.complaints == []
        assert all(request.startswith(empty.base) for request in shown.requests)


PAGES = (
    *("/", "/own", "/waters/add", "/craft", "/craft?craft=my+canoe", "/paddler", "/contact"),
    *("/limits?craft=canoe", "/limits/one?quantity=wind_speed&craft=canoe", "/water/the-arm"),
    *("/water/the-arm/ramp", "/water/the-arm/ramp?at=37.36020,-75.95842&span=1500"),
    "/water/the-arm/ramp?at=by+the+pub",
)


@pytest.fixture(scope="module")
def furnished(fresh: Live) -> Live:
    """Return a home with a water and a craft, and a search that waits for a choice."""
    sent = {"file": ("arm.geojson", ARM.read_bytes())}
    found = fresh.client.post("/waters/file", data={"token": fresh.token()}, files=sent)
    fresh.send(found.url.path, choice="0", name="the arm", kind="tidal")
    fresh.send("/craft", name="my canoe", kind="canoe", default="yes")
    return fresh


@pytest.mark.thorough
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_the_accessibility_checker_finds_nothing_on_any_page(
    opened: Opener, furnished: Live, width: int, scheme: str, checker: str
) -> None:
    size = {"width": width, "height": 900}
    shown = opened(furnished.base, size, color_scheme=scheme, bypass_csp=True)
    for path in PAGES:
        shown.page.goto(f"{furnished.base}{path}")
        assert axe.findings(shown.page, checker) == [], path
        assert shown.overflow <= 0, path
    add_again(shown, furnished)
    assert axe.findings(shown.page, checker) == []
    assert shown.overflow <= 0


def add_again(shown: Shown, live: Live) -> None:
    """Show the form of a search, with an error in it."""
    shown.page.goto(f"{live.base}/own")
    add_the_arm(shown.page, "the arm")
    shown.page.wait_for_selector("#name-error")
    assert shown.page.evaluate("document.activeElement.id") == "name"


@pytest.mark.thorough
def test_the_keys_alone_choose_a_numbered_place(opened: Opener, furnished: Live) -> None:
    page = opened(f"{furnished.base}/water/the-arm/ramp", PHONE).page
    for _ in range(3):
        page.get_by_role("listitem").get_by_role("link").nth(3).focus()
        with page.expect_navigation():
            page.keyboard.press("Enter")
    page.fill("#name", "by keys")
    page.keyboard.press("Enter")
    page.wait_for_url("**/own")
    launches = files.load("the arm", load_settings().folders.waters).launches
    assert "by keys" in [launch.name for launch in launches]


def test_the_place_of_the_phone_fills_the_field_where_it_may(
    opened: Opener, furnished: Live
) -> None:
    here = {"latitude": 37.36302, "longitude": -75.93741, "accuracy": 12}
    shown = opened(f"{furnished.base}/waters/add", PHONE, geolocation=here,
                   permissions=["geolocation"])  # fmt: skip
    press(shown.page, "Use my location")
    shown.page.wait_for_function("document.getElementById('near').value !== ''")
    assert shown.page.input_value("#near") == "37.36302, -75.93741"
    assert "Found, to within 12 m." in shown.page.inner_text("[data-locate]")
    assert shown.complaints == []


@pytest.mark.thorough
def test_a_place_that_is_not_shared_says_why_and_coordinates_can_be_typed(
    opened: Opener, furnished: Live
) -> None:
    denied = opened(f"{furnished.base}/waters/add", PHONE, permissions=[]).page
    press(denied, "Use my location")
    denied.wait_for_function("document.querySelector('[data-locate]').innerText.includes('Type')")
    assert denied.input_value("#near") == ""
    assert denied.is_editable("#near")


@pytest.mark.thorough
def test_without_https_the_page_says_why_the_place_is_not_shared(
    opened: Opener, furnished: Live
) -> None:
    shown = opened("about:blank", PHONE)
    shown.page.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false})")
    shown.page.goto(f"{furnished.base}/waters/add")
    assert "only over https or on this device itself" in shown.page.inner_text("[data-locate]")
    assert shown.page.get_by_role("button", name="Use my location").count() == 0


@pytest.mark.thorough
def test_a_file_that_is_too_large_is_refused_before_it_is_sent(
    opened: Opener, furnished: Live, tmp_path: Path
) -> None:
    page = opened(f"{furnished.base}/waters/add", PHONE).page
    large = tmp_path / "large.geojson"
    large.write_bytes(b" " * 8_000_001)
    page.set_input_files("#file", large)
    assert "more than 8 MB" in page.evaluate("document.getElementById('file').validationMessage")
    press(page, "Read the file")
    assert page.url.endswith("/waters/add")
