"""The re-check inside a saved page: a file, no network, the clock of the phone."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

import pytest

from safety_check.assess.verdict import assess_case, judge_in_brief
from safety_check.conditions.case import Case
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.page.page import render_page
from safety_check.use_cases.launch_observation import LaunchObservation
from safety_check.use_cases.observed import add_observation, offline_briefing
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.sight_table import judge_sightings
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.browser import axe
from tests.browser.chromium import DESKTOP
from tests.browser.conftest import Opener, Shown

SIZES = ({"width": 360, "height": 780}, {"width": 768, "height": 1024}, DESKTOP)
HOUR = timedelta(hours=1)


class Saved(NamedTuple):
    """A saved page, and what it was made from."""

    address: str
    case: Case
    verdict: Verdict


@pytest.fixture(scope="module")
def saved(tmp_path_factory: pytest.TempPathFactory) -> Saved:
    at = scenes.START - HOUR / 2
    trip = scenes.plan(hours=2)
    case = Case(trip, scenes.briefing(at=at), scenes.POND, scenes.settings(), load_trust())
    verdict = assess_case(case, load_rulebook()).verdict
    file = tmp_path_factory.mktemp("eyes") / "page.html"
    text = render_page(verdict, case.settings, None, judge_sightings(case, verdict))
    assert len(text.encode()) < 500_000
    file.write_text(text, encoding="utf-8")
    return Saved(file.as_uri(), case, verdict)


def shown_at(
    opened: Opener, saved: Saved, at: datetime, size: dict[str, int] = SIZES[0], **more: object
) -> Shown:
    """Return the page without a network, as a phone shows it whose clock says this."""
    shown = opened("about:blank", size, offline=True, **more)
    shown.page.clock.install(time=at)
    shown.page.goto(saved.address)
    return shown


def rechecked(saved: Saved, at: datetime, seen: LaunchObservation) -> Severity:
    briefing = offline_briefing(saved.case.briefing, at, saved.case.trust.greatest_age)
    plan, briefing = add_observation(saved.case.plan, briefing, seen)
    then = replace(saved.case, plan=plan, briefing=briefing)
    return judge_in_brief(then, load_rulebook())[0]


def head(shown: Shown) -> str:
    return shown.page.inner_text("#eyes-head")


@pytest.mark.thorough
@pytest.mark.promise("the page needs no network")
@pytest.mark.parametrize("size", SIZES, ids=["phone", "tablet", "desktop"])
def test_what_is_seen_gets_the_verdict_of_a_recheck(
    opened: Opener, saved: Saved, size: dict[str, int], checker: str
) -> None:
    start = scenes.START
    shown = shown_at(opened, saved, start, size)
    page = shown.page
    assert str(saved.verdict.severity) == "GO"
    for state in ("Calm", "Ripples", "Scattered whitecaps", "Many whitecaps"):
        page.get_by_text(state, exact=True).click()
        expected = max(
            rechecked(saved, time, LaunchObservation.of_state(state.lower()))
            for time in (start, start + HOUR)
        )
        assert head(shown).startswith(str(expected))
    assert "was GO on this page" in head(shown)
    page.locator("label[for=eyes-from-8]").click()
    seen = LaunchObservation.of_state("many whitecaps", from_direction="NW")
    assert head(shown).startswith(str(rechecked(saved, start, seen)))
    assert axe.findings(page, checker) == []
    heights = page.locator("#eyes-form label[for^=eyes-state]").evaluate_all(
        "labels => labels.map(label => label.getBoundingClientRect().height)"
    )
    assert min(heights) >= 48
    assert shown.overflow <= 0
    assert shown.complaints == []
    assert [one for one in shown.requests if one.startswith("http")] == []


@pytest.mark.promise("a saved page knows what it was made with")
def test_a_number_is_never_answered_better_than_by_a_recheck(opened: Opener, saved: Saved) -> None:
    shown = shown_at(opened, saved, scenes.START)
    found = []
    for wind in ("3", "11.9", "12,5", "16", "40"):
        shown.page.fill("#eyes-wind", wind)
        level = Severity[head(shown).split(",")[0].replace("-", "_")]
        seen = LaunchObservation(wind=f"{wind.replace(',', '.')} mph")
        assert level >= rechecked(saved, scenes.START, seen)
        found.append(level)
    assert found[0] == Severity.GO
    assert found == sorted(found)
    assert found[-1] == Severity.NO_GO
    shown.page.fill("#eyes-wind", "breezy")
    assert head(shown) == "Write the wind as a number, for example 12."
    assert shown.page.get_attribute("#eyes-wind", "aria-invalid") == "true"


@pytest.mark.thorough
def test_colder_water_counts_and_warmer_changes_nothing(opened: Opener, saved: Saved) -> None:
    shown = shown_at(opened, saved, scenes.START)
    shown.page.fill("#eyes-water", "75")
    assert head(shown) == "GO, as on this page"
    shown.page.fill("#eyes-water", "40")
    cold = LaunchObservation(water_temperature="40 F")
    assert head(shown).startswith(str(rechecked(saved, scenes.START, cold)))
    assert "NO-GO" in head(shown)


@pytest.mark.one_in(3)
@pytest.mark.promise("a saved page knows what it was made with")
@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (-2.0, "The clock of this device is before this check was made"),
        (2.2, "This trip has ended."),
        (200.0, "This trip has ended."),
    ],
)
def test_by_a_clock_that_does_not_fit_nothing_is_better_than_unknown(
    opened: Opener, saved: Saved, hours: float, said: str
) -> None:
    shown = shown_at(opened, saved, scenes.START + hours * HOUR)
    shown.page.get_by_text("Calm", exact=True).click()
    assert head(shown) == "UNKNOWN"
    assert shown.page.inner_text("#eyes-why").startswith(said)


@pytest.mark.promise("a saved page knows what it was made with")
def test_forecasts_that_are_too_old_by_the_clock_answer_nothing(
    opened: Opener, tmp_path: Path
) -> None:
    at = scenes.START - timedelta(hours=34)
    trip, given = scenes.plan(hours=5), scenes.forecast(
        provenance=replace(scenes.FROM_A_FILE, issued=at, fetched=at)
    )  # fmt: skip
    case = Case(trip, scenes.briefing(given, at), scenes.POND, scenes.settings(), load_trust())
    verdict = assess_case(case, load_rulebook()).verdict
    table = judge_sightings(case, verdict)
    assert table.good_until is not None
    assert scenes.START < table.good_until < trip.end
    file = tmp_path / "old.html"
    file.write_text(render_page(verdict, case.settings, None, table), encoding="utf-8")
    saved = Saved(file.as_uri(), case, verdict)
    shown = shown_at(opened, saved, table.good_until + timedelta(minutes=5))
    assert "too old since" in shown.page.inner_text("#eyes-why")
    assert head(shown) == "UNKNOWN"


@pytest.mark.thorough
def test_without_scripts_a_plain_table_says_what_each_state_means(
    opened: Opener, saved: Saved
) -> None:
    shown = opened(saved.address, SIZES[0], java_script_enabled=False)
    said = shown.page.inner_text("#eyes-section")
    assert "this needs scripts" in said
    for state in ("Calm", "Ripples", "Scattered whitecaps", "Many whitecaps"):
        assert state in said
    assert "NO-GO" in said


@pytest.mark.thorough
def test_it_is_not_printed(opened: Opener, saved: Saved) -> None:
    shown = opened(saved.address, DESKTOP)
    shown.page.emulate_media(media="print")
    assert not shown.page.is_visible("#eyes-section")
