"""The coming days, the history, a float plan and the trip log as pages, without scripts."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from safety_check.assess.outlook import best_first
from safety_check.model.verdict import Severity
from safety_check.report import outlook
from safety_check.report.float_plan import short_text
from safety_check.settings.settings import load_settings
from safety_check.use_cases.outlook import OutlookRequest, compare_outlooks
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.web.history_pages import A_PAGE, float_plan_of
from tests.live import Live, at_home, running
from tests.report.reading import Reader
from tests.web.test_checking import MARROWICK, SHORT, headline
from tests.web.test_form_errors import named

OUTLOOK = {
    "place0": MARROWICK,
    "days": "2",
    "hours": "1",
    "craft": "canoe",
    "reach": "300",
    "reach_unit": "yd",
    "water_temperature": "72",
    "water_temperature_unit": "F",
    "current": "0.4 kt from NE, slack sat 09:40, slack sat 15:50",
    "high_water": "low sat 09:20, sat 15:30",
    "read_at": "20:10",
}


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    with at_home(tmp_path_factory.mktemp("home")), running() as made:
        yield made


@pytest.fixture(scope="module")
def ahead(live: Live) -> str:
    """Return the page of the coming days."""
    answer = live.send("/outlook", **OUTLOOK)
    assert answer.status_code == 200
    return answer.text


@pytest.fixture(scope="module")
def checked(live: Live) -> str:
    """Return the address of a check."""
    return live.send("/check", **SHORT).url.path


def number_of(path: str) -> int:
    return int(path.rsplit("/", 1)[1])


def test_the_page_of_the_coming_days_says_what_the_outlook_says(live: Live, ahead: str) -> None:
    said = Reader(ahead).text
    asked = PlanRequest(craft="canoe", reach="300 yd", water_temperature="72 F",
                        current=OUTLOOK["current"], high_water=OUTLOOK["high_water"],
                        warnings="none", read_at="20:10", as_of=live.session.as_of)  # fmt: skip
    assert live.session.forecast is not None
    request = OutlookRequest(
        ("Marrowick Arm (invented):mill slip",), 2, "1", (live.session.forecast,), asked
    )
    found = compare_outlooks(request, load_settings(), lambda remark: None)
    assert outlook.first_line(found, best_first(found)) in said
    with_window = 0
    for day in found[0].days:
        row = outlook.row_of(day)
        assert row.day in said
        if day.window:
            with_window += 1
            for words in (str(row.severity), row.window, row.start, row.ends):
                assert words in said
    assert with_window >= 1


@pytest.mark.thorough
def test_each_best_window_has_a_button_that_checks_it(live: Live, ahead: str) -> None:
    forms = re.findall(r'<form method="post" action="/check".*?</form>', ahead, re.DOTALL)
    assert len(forms) >= 2  # the best of all, and each day with a window
    fields = {
        unescape(name): unescape(value)
        for name, value in re.findall(r'name="([^"]+)" value="([^"]*)"', forms[0])
    }
    answer = live.client.post("/check", data=fields)
    best = re.search(r"(GO|MARGINAL): the best is", Reader(ahead).text)
    assert best is not None
    assert headline(answer.text) == best[1]


def test_the_coming_days_can_be_saved_as_a_calendar(live: Live, ahead: str) -> None:
    pytest.importorskip("icalendar", reason="the calendar needs the extra calendar")
    answer = live.send("/outlook", **OUTLOOK, calendar="yes")
    assert answer.headers["content-type"].startswith("text/calendar")
    assert answer.text.count("BEGIN:VEVENT") == ahead.count('class="span"')


@pytest.mark.parametrize(
    ("change", "name", "part"),
    [
        ({"days": "x"}, "days", "is not a number"),
        ({"days": "17"}, "days", "from 1 to 16"),
        ({"hours": "25"}, "hours", "1 to 24 hours"),
        ({"place0": ""}, "places", "choose at least one"),
        ({"place0": "x"}, "places", "not one of the options"),
        ({"place0": '["Nowhere", "ramp"]'}, "places", "is not known"),
        ({"reach": "far"}, "reach", "not a number with a unit"),
    ],
)
def test_an_error_of_an_outlook_stands_at_its_field(
    live: Live, change: dict[str, str], name: str, part: str
) -> None:
    answer = live.send("/outlook", **{**OUTLOOK, **change})
    assert answer.status_code == 422
    assert named(answer.text, name)["aria-invalid"] == "true"
    assert part in Reader(answer.text).text.casefold()


def test_the_history_lists_each_check_with_its_verdict_and_leads_to_it(
    live: Live, checked: str
) -> None:
    shown = live.client.get(checked)
    text = live.client.get("/history").text
    card = text[text.index('class="card"') :]
    assert f'href="{checked}"' in card
    assert f'href="/plan/{number_of(checked)}"' in card
    assert headline(shown.text) in Reader(card).text
    assert "Marrowick Arm (invented), mill slip" in Reader(card).text


def test_a_long_history_is_read_page_by_page(live: Live, checked: str) -> None:
    for text in ("1", "0", "-1", "x", "9" * 30, ""):
        assert live.client.get("/history", params={"before": text}).status_code == 200
    assert "no older checks" in live.client.get("/history?before=1").text
    assert live.client.get("/history").text.count('class="card"') <= A_PAGE


def test_the_float_plan_of_a_check_can_be_printed_sent_and_saved(live: Live, checked: str) -> None:
    number = number_of(checked)
    page = live.client.get(f"/plan/{number}")
    done = live.session.done(number)
    assert done is not None
    text = short_text(float_plan_of(done), done.settings.preferences)
    said = Reader(page.text).text
    for part in (text, "Nothing has been sent.", "If I am not back", "Send as a text message"):
        assert part in said
    assert 'href="sms:?&amp;body=Float%20plan' in page.text
    kept = live.client.get(f"/plan/{number}/file")
    assert 'filename="float-plan-2026-06-13.html"' in kept.headers["content-disposition"]
    assert "Raise the alarm" in kept.text
    for path in ("/plan/999999", "/plan/999999/file", "/plan/x"):
        assert live.client.get(path).status_code == 404


def test_the_log_shows_its_trips_and_a_suggested_limit_is_set_by_a_button(
    live: Live, checked: str
) -> None:
    for day in range(10, 16):
        answer = live.send("/trips", water="Marrowick Arm (invented)", craft="canoe",
                           began=f"2026-05-{day}T10:00", wind="5-6", wind_unit="mph",
                           comfort="1", notes=f"day {day}")  # fmt: skip
        assert answer.url.path == "/trips"
    said = Reader(answer.text).text
    assert said.index("day 15") < said.index("day 10")  # the newest first
    assert "wind 5 mph to 6 mph" in said
    assert "TIGHTER: wind speed" in said
    offered = re.search(r"Set it: (.*?)</button>", answer.text)
    assert offered is not None
    assert not load_settings().user.limit
    accepted = live.send("/trips/limits", craft="canoe", quantity="wind_speed")
    assert accepted.status_code == 200
    (limit,) = load_settings().user.limit
    assert (limit.craft, limit.quantity) == ("canoe", "wind_speed")
    assert f"no-go from {limit.no_go}" in unescape(offered[1])
    refused = live.send("/trips/limits", craft="canoe", quantity="sea_surface_height")
    assert refused.status_code == 422
    assert "no longer suggests" in Reader(refused.text).text


def test_pages_without_anything_say_what_to_do(tmp_path: Path) -> None:
    with at_home(tmp_path), running() as empty:
        assert "No check has been made yet" in empty.client.get("/history").text
        assert "No trips logged yet" in empty.client.get("/trips").text


def test_a_day_without_a_window_has_no_button(live: Live) -> None:
    answer = live.send("/outlook", **{**OUTLOOK, "current": "", "days": "1"})
    assert 'action="/check"' not in answer.text
    assert str(Severity.UNKNOWN) in answer.text or "Not enough daylight" in answer.text
