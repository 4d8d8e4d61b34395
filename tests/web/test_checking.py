"""What the live page does, asked as a browser without scripts would ask."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest

from safety_check.model.verdict import Severity
from safety_check.report.page import page
from safety_check.use_cases.sample import check_sample
from safety_check.web import views
from safety_check.web.session import required
from tests.hostile import HOSTILE
from tests.live import Live
from tests.report.reading import Reader

MARROWICK = '["Marrowick Arm (invented)", "mill slip"]'
SHORT = {
    "place": MARROWICK,
    "craft": "canoe",
    "start": "2026-06-13T10:00",
    "hours": "0.5",
    "reach": "300 yd",
    "water_temperature": "72 F",
    "current": "0.4 kt from NE, slack 09:40, slack 15:50",
    "high_water": "low 09:20, 15:30",
}


def headline(text: str) -> str:
    found = re.search(r'<span class="big">([A-Z-]+)</span>', text)
    assert found is not None, text[-600:]
    return found[1]


def without_keys(text: str) -> str:
    """Return a page without what differs each time it is shown."""
    return re.sub(r'name="(token|once)" value="[^"]+"', "", text)


def proposed(live: Live) -> dict[str, str]:
    return {name: text for name, text in views.home(live.session)["value"].items() if text}


def test_the_form_proposes_the_bundled_scenario_and_checking_it_gives_its_verdict(
    live: Live,
) -> None:
    answer = live.send("/check", **proposed(live))
    _, verdict = check_sample()
    assert answer.url.path.startswith("/check/")
    assert headline(answer.text) == str(verdict.severity)
    said = Reader(answer.text).text
    for finding in verdict.findings:
        assert finding.severity == Severity.GO or finding.reason in said


@pytest.mark.thorough
def test_no_form_of_the_live_page_hides_a_value_of_the_page_itself(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two names that met once replaced the units of the hours by the choices of a form."""
    shown: list[set[str]] = []

    def noted(*given: Any) -> dict[str, Any]:
        said = view(*given)
        shown.append(set(said))
        return said

    view = page.view
    monkeypatch.setattr(page, "view", noted)
    told = live.send("/check", **SHORT).text
    (names,) = shown
    done = required(live.session.done(int(live.client.get("/last").url.path.rpartition("/")[2])))
    assert not names & {*views.limit_form(done), *views.trip_form(done)}
    strip = told[told.index('id="strip"') : told.index('id="said"')]
    assert re.search(r"<span>[\d-]+ mph</span>", strip)


def test_a_check_can_be_looked_at_and_made_again_with_one_button(live: Live) -> None:
    first = live.send("/check", **SHORT)
    same = live.client.get(first.url.path)
    assert without_keys(same.text) == without_keys(first.text)
    assert live.client.get("/last").url == first.url
    path = f"{first.url.path}/again"
    form = first.text[first.text.index(f'action="{path}"') : first.text.index("Check again now")]
    fields = {
        unescape(name): unescape(value)
        for name, value in re.findall(r'name="([^"]+)" value="([^"]*)"', form)
    }
    again = live.client.post(path, data=fields)
    assert again.url.path != first.url.path
    assert headline(again.text) == headline(first.text)
    assert "the same as at the last check (Fri 12 Jun 20:30" in Reader(again.text).text
    # Nothing that was said of tide and current is lost.
    assert "as you entered it" in Reader(again.text).text


@pytest.mark.thorough
def test_the_users_reading_of_official_warnings_is_a_field_of_both_forms(live: Live) -> None:
    nobody = live.send("/check", **SHORT)
    assert "Nobody has read the official warnings" in Reader(nobody.text).text
    said = live.send("/check", **SHORT, read_at="20:10")  # the clock stands at Fri 12 Jun 20:30
    text = Reader(said.text).text
    assert "Official warnings: none, by your own word, read on Fri 12 Jun 20:10." in text
    assert "Nobody has read" not in text
    # Repeated on another day the time would mean another: the form has it with its day.
    form = said.text[said.text.index('/again"') : said.text.index("Check again now")]
    assert 'name="read_at" type="datetime-local" value="2026-06-12T20:10"' in form
    home = live.client.get("/").text
    assert 'name="read_at" type="datetime-local" value="2026-06-12T20:10"' in home
    future = live.send("/check", **SHORT, read_at="2026-06-12T20:40")
    assert future.status_code == 422
    assert "in the future" in Reader(future.text).text


def test_a_tighter_limit_moves_the_verdict_and_the_default_moves_it_back(live: Live) -> None:
    before = live.send("/check", **SHORT)
    assert headline(before.text) in ("GO", "MARGINAL")
    tightened = live.send(f"{before.url.path}/limit", quantity="wind_speed", no_go="1 mph")
    assert headline(tightened.text) == "NO-GO"
    assert f"changes from {headline(before.text)} to NO-GO." in tightened.text
    assert "your limit for this craft is 1 mph" in tightened.text
    back = live.send(f"{tightened.url.path}/limit", quantity="wind_speed", reset="yes")
    assert headline(back.text) == headline(before.text)


@pytest.mark.thorough
def test_a_looser_limit_needs_an_explicit_option(live: Live) -> None:
    before = live.send("/check", **SHORT)
    loose = {"quantity": "wind_speed", "marginal": "30 mph", "no_go": "40 mph"}
    refused = live.send(f"{before.url.path}/limit", **loose)
    assert refused.status_code == 422
    assert "looser than the default" in Reader(refused.text).text
    allowed = live.send(f"{before.url.path}/limit", **loose, loosen="yes")
    assert "looser than the default, as you asked" in Reader(allowed.text).text
    live.send(f"{before.url.path}/limit", quantity="wind_speed", reset="yes")


def test_a_trip_is_logged_in_the_paddlers_words(live: Live) -> None:
    done = live.send("/trips", water="Marrowick Arm (invented)", began="2026-06-13T10:00",
                     wind="whitecaps", comfort="2", notes="turned back")  # fmt: skip
    assert done.url.path == "/trips"
    said = Reader(done.text).text
    for part in ("Marrowick Arm (invented)", "(Beaufort 4, from the look of the water)",
                 "comfort 2 of 5", "turned back"):  # fmt: skip
        assert part in said


@pytest.mark.thorough
def test_a_check_can_be_saved_as_one_file(live: Live) -> None:
    shown = live.send("/check", **SHORT)
    kept = live.client.get(f"{shown.url.path}/file")
    assert (
        kept.headers["content-disposition"] == 'attachment; filename="safety-check-2026-06-13.html"'
    )
    assert 'action="' not in kept.text
    assert "Content-Security-Policy" in kept.text
    assert headline(kept.text) == headline(shown.text)


SUMMARY = {"div", "p", "strong", "ul", "li", "bdi", "span"}  # of an error


@pytest.mark.one_in(8)
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_in_any_field_is_shown_as_text_or_refused(live: Live, name: str) -> None:
    text = HOSTILE[name][:3000]
    plain = {tag for tag, _ in Reader(live.client.get("/").text).tags}
    for field in (*SHORT, "point", "from_shore"):
        answer = live.send("/check", **{**SHORT, field: text})
        assert {tag for tag, _ in Reader(answer.text).tags} - plain <= SUMMARY
    told = live.send("/trips", water="Marrowick Arm (invented)", began="2026-06-13T10:00",
                     notes=text)  # fmt: skip
    assert [tag for tag, _ in Reader(told.text).tags].count("script") == 2


def test_a_check_that_does_not_exist_says_where_all_of_them_are(live: Live) -> None:
    for path in ("/check/999999", "/check/999999/file"):
        answer = live.client.get(path)
        assert answer.status_code == 404
        assert "history list" in answer.text
    assert live.send("/check/999999/limit", quantity="wind_speed", no_go="1 mph").status_code == 422


def test_a_phone_finds_what_it_needs_for_its_home_screen(live: Live) -> None:
    manifest = live.client.get("/manifest.webmanifest").json()
    assert (manifest["start_url"], manifest["display"]) == ("/last", "standalone")
    sizes = set()
    for icon in manifest["icons"]:
        answer = live.client.get(icon["src"])
        assert answer.headers["content-type"].startswith(icon["type"])
        sizes.add(icon["sizes"])
    assert {"192x192", "512x512"} <= sizes
    assert "/worker.js" in live.client.get("/").text
    assert live.client.get("/worker.js").headers["content-type"].startswith("text/javascript")
