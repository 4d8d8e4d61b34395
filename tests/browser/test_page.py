"""The page in a real browser: phone and desktop, keys alone, no script, no network, paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from safety_check.model.verdict import Severity, Verdict
from safety_check.report.page.page import render_page
from safety_check.report.page.unweighed import was_asked
from tests import scenes
from tests.browser import axe
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.conftest import Opener
from tests.hostile import DIRECTIONS, HOSTILE, as_shown
from tests.report.test_page import everywhere

MOST_SHEETS = 6  # judgement: what one pins to a fridge
if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

SIZES = {"phone": PHONE, "desktop": DESKTOP}
sizes = pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)


@pytest.mark.one_in(2)
@pytest.mark.promise("the page needs no network")
@sizes
def test_with_the_network_cut_nothing_is_asked_for_and_nothing_fails(
    opened: Opener, sample: tuple[str, Verdict], size: dict[str, int]
) -> None:
    address, verdict = sample
    shown = opened(address, size, offline=True)
    shown.page.keyboard.press("End")
    shown.page.wait_for_load_state("networkidle")
    asked = [request for request in shown.requests if not request.startswith("data:")]
    assert (asked, shown.complaints) == ([address], [])
    assert shown.page.inner_text("h1 .big") == str(verdict.severity)


@pytest.mark.one_in(2)
@sizes
def test_nothing_is_wider_than_the_window(
    opened: Opener, sample: tuple[str, Verdict], size: dict[str, int]
) -> None:
    shown = opened(sample[0], size)
    shown.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    assert shown.overflow <= 0


@pytest.mark.one_in(4)
@sizes
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_accessibility_checker_finds_nothing_serious(
    opened: Opener, sample: tuple[str, Verdict], size: dict[str, int], scheme: str, checker: str
) -> None:
    shown = opened(sample[0], size, color_scheme=scheme, bypass_csp=True)
    shown.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    assert axe.findings(shown.page, checker) == []


@pytest.mark.thorough
def test_the_checker_sees_what_is_wrong(opened: Opener, checker: str, tmp_path: Path) -> None:
    file = tmp_path / "bad.html"
    file.write_text('<p style="color:#aaa;background:#fff">pale</p><input>', encoding="utf-8")
    shown = opened(file.as_uri(), PHONE)
    assert {finding.split(":")[0] for finding in axe.findings(shown.page, checker)} >= {
        "color-contrast",
        "label",
    }


# -- by keys alone -----------------------------------------------------------------------------


def tab_to(page: Page, selector: str) -> None:
    for _ in range(100):
        page.keyboard.press("Tab")
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
    raise AssertionError(f"no key leads to {selector}")


@pytest.mark.thorough
@sizes
def test_the_keys_lead_past_the_head_to_each_reason_and_open_it(
    opened: Opener, sample: tuple[str, Verdict], size: dict[str, int]
) -> None:
    shown = opened(sample[0], size)
    page = shown.page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")
    facts = page.locator("details.reason").first.locator("dl")
    assert not facts.is_visible()
    page.keyboard.press("Enter")
    assert facts.is_visible()
    assert "Source" in facts.inner_text()


def _text(layer: Locator) -> str:
    return layer.text_content() or ""


@pytest.mark.thorough
@sizes
def test_the_hour_is_chosen_by_keys_and_chart_sentence_and_map_follow(
    opened: Opener, sample: tuple[str, Verdict], size: dict[str, int]
) -> None:
    address, verdict = sample
    page = opened(address, size).page
    shown = page.locator(".lm-hour:visible")
    assert "Sat 13 Jun 15:00" in _text(shown)  # the highest waves of the trip
    tab_to(page, "#strip [role=radio]")
    cursor = page.locator("svg.chart:visible .cursor")
    before = cursor.get_attribute("x")
    page.keyboard.press("ArrowRight")
    assert cursor.get_attribute("x") != before
    page.keyboard.press("Home")
    for row, hour in enumerate(verdict.around):
        said = page.inner_text("#said")
        assert f"{hour.severity};" in said
        name = page.locator("#strip [aria-checked=true]").locator(".gone").inner_text()
        assert said.startswith(name)
        assert page.evaluate("document.documentElement.dataset.row") == str(row)
        assert page.locator("#strip [tabindex='0']").count() == 1
        assert shown.count() == 1
        assert said[:5] in _text(shown)
        page.keyboard.press("ArrowRight")
    page.locator("#strip .in-trip").first.click()
    assert page.inner_text("#said").startswith("10:00")
    page.locator("#hours ~ .stepper").get_by_role("button", name="Hour after").click()
    assert set(page.locator(".said").all_inner_texts()) == {page.inner_text("#said")}
    assert page.inner_text("#said").startswith("11:00")


# -- with scripts off --------------------------------------------------------------------------


@pytest.mark.thorough
@sizes
def test_without_scripts_all_is_there_but_the_choice_of_an_hour(
    opened: Opener, sample: tuple[str, Verdict], size: dict[str, int]
) -> None:
    address, verdict = sample
    page = opened(address, size, java_script_enabled=False).page
    assert page.locator("h1").inner_text().startswith(str(verdict.severity))
    assert page.locator("#strip [role=radio]").count() == 0
    assert page.get_by_role("list", name="Hour").get_by_role("listitem").count() == len(
        verdict.hours
    )
    assert page.locator(".lm-hour:visible").count() == 1
    assert page.locator("svg.chart:visible").count() == 1
    page.locator("text=Hour by hour as a table").click()
    assert page.locator("#rows tbody tr").count() == len(verdict.around)
    assert page.locator("#rows").is_visible()
    for summary in page.locator(".reasons summary").all():
        summary.click()
    for finding in verdict.findings:
        if was_asked(finding, verdict):
            assert page.get_by_text(finding.reason, exact=True).first.is_visible()


# -- age ---------------------------------------------------------------------------------------


def test_a_saved_page_says_how_old_it_is_and_when_its_time_is_over(
    opened: Opener, sample: tuple[str, Verdict]
) -> None:
    address, verdict = sample
    page = opened(address, PHONE).page
    page.clock.set_fixed_time(verdict.plan.start)
    page.reload()
    assert "14 h ago. Forecasts change" in page.inner_text(".made")
    page.clock.set_fixed_time(verdict.plan.end.replace(day=16))
    page.reload()
    assert "4 days ago. This trip has ended" in page.inner_text(".made")


# -- paper -------------------------------------------------------------------------------------


@pytest.mark.thorough
def test_on_paper_every_reason_is_open_and_the_ground_is_white(
    opened: Opener, sample: tuple[str, Verdict]
) -> None:
    address, verdict = sample
    for script in (True, False):
        page = opened(address, DESKTOP, color_scheme="dark", java_script_enabled=script).page
        page.emulate_media(media="print", color_scheme="dark")
        assert not page.locator("#said").is_visible()
        weighty = page.locator(".reasons details.reason dl").all()
        boxes = [item.bounding_box() for item in weighty]
        assert len(boxes) == sum(finding.severity > Severity.GO for finding in verdict.findings) > 0
        assert all(box is not None and box["height"] > 20 for box in boxes)
        colour = page.locator("body").evaluate("body => getComputedStyle(body).backgroundColor")
        assert colour == "rgb(255, 255, 255)"
        printed = page.pdf(format="A4")
        assert printed.startswith(b"%PDF-")
        assert printed.count(b"/Type /Page\n") <= MOST_SHEETS


# -- hostile text ------------------------------------------------------------------------------


@pytest.mark.one_in(8)
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_shown_as_text_and_nothing_runs(
    opened: Opener, tmp_path: Path, name: str
) -> None:
    file = tmp_path / "page.html"
    file.write_text(render_page(everywhere(HOSTILE[name]), scenes.settings()), encoding="utf-8")
    shown = opened(file.as_uri(), PHONE)
    assert shown.complaints == []
    assert "run" not in shown.page.title().split()
    assert shown.page.title().startswith(("NO-GO", "MARGINAL"))
    assert shown.overflow <= 0
    assert shown.page.evaluate("document.querySelectorAll('script, img, iframe, form').length") == 1
    said = shown.page.locator("main").inner_text()
    assert as_shown(HOSTILE[name])[:200] in " ".join(said.split())
    assert not DIRECTIONS & set(said + shown.page.title())


def test_a_script_that_gets_in_all_the_same_does_not_run(
    opened: Opener, sample: tuple[str, Verdict]
) -> None:
    page = opened(sample[0], PHONE).page
    title = page.title()
    page.evaluate(
        """() => {
          const script = document.createElement("script");
          script.textContent = "document.title = 'run'";
          document.body.append(script);
          document.body.insertAdjacentHTML("beforeend", "<img src=x onerror='document.title=1'>");
        }"""
    )
    page.wait_for_timeout(100)
    assert page.title() == title
