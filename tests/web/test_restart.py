"""What the live page knows survives a restart: it is read from the history."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from safety_check import __version__
from safety_check.settings.settings import load_settings
from safety_check.use_cases.check import check_plan
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.web.demonstration import sample_session
from tests.live import Live, at_home, running
from tests.report.reading import Reader
from tests.web.test_checking import SHORT, headline, without_keys

AS_OF = "2026-06-12T20:30"
DAY_AFTER = "2026-06-14T08:00"


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Response]:
    """Return the page of a check that a server made which has ended since."""
    with at_home(tmp_path_factory.mktemp("home")):
        with running() as first:
            made = first.send("/check", **SHORT, read_at="20:10", company="group")
        yield made


@pytest.fixture(scope="module")
def restarted(before: httpx.Response) -> Iterator[Live]:
    """Return a server that was started after the check."""
    with running() as made:
        yield made


@pytest.fixture
def later(restarted: Live) -> Iterator[Live]:
    """Return the later server; a test may set its clock."""
    as_of = restarted.session.as_of
    yield restarted
    restarted.session.as_of = as_of


@pytest.mark.thorough
def test_the_link_to_a_check_stays_good_and_shows_the_same_page(
    before: httpx.Response, later: Live
) -> None:
    again = later.client.get(before.url.path)
    assert again.status_code == 200
    assert without_keys(again.text) == without_keys(before.text)
    assert later.client.get("/last").url.path == before.url.path


@pytest.mark.thorough
def test_a_check_from_before_is_saved_changed_repeated_and_logged(
    before: httpx.Response, later: Live
) -> None:
    path, verdict = before.url.path, headline(before.text)
    assert headline(later.client.get(f"{path}/file").text) == verdict
    again = later.send(f"{path}/again")
    assert headline(again.text) == verdict
    assert "as you entered it" in Reader(again.text).text  # tide and current, said before
    tighter = later.send(f"{path}/limit", quantity="wind_speed", no_go="1 mph")
    assert f"changes from {verdict} to NO-GO." in tighter.text
    later.send(f"{path}/limit", quantity="wind_speed", reset="yes")
    fields = dict(re.findall(r'name="(water|launch|craft)" value="([^"]*)"', before.text))
    logged = later.send("/trips", **fields, began=SHORT["start"], notes="after the restart")
    assert "after the restart" in Reader(logged.text).text


@pytest.mark.thorough
def test_the_form_proposes_the_newest_trip_in_the_users_own_words(
    before: httpx.Response, later: Live
) -> None:
    made = later.send("/check", **SHORT, from_shore="60 yd", company="group", read_at="20:10")
    assert made.status_code == 200
    with running() as newest:
        text = newest.client.get("/").text
    for name in ("start", "hours", "current", "high_water"):
        assert f'value="{SHORT[name]}"' in text
    for name, amount, unit in (("reach", 300, "yd"), ("from_shore", 60, "yd"),
                               ("water_temperature", 72, "F")):  # fmt: skip
        assert re.search(
            rf'name="{name}"[^>]* value="{amount}".*?<option selected>{unit}<', text, re.DOTALL
        )
    assert 'value="2026-06-12T20:10"' in text  # when the warnings were read, with its day
    assert '<option value="group" selected>' in text


@pytest.mark.thorough
def test_a_check_of_the_command_line_is_shown_too(before: httpx.Response, later: Live) -> None:
    session = later.session
    asked = PlanRequest(
        water="Marrowick Arm (invented)", launch="mill slip", craft="canoe", as_of=AS_OF,
        start="2026-06-13 11:00", hours="0.5", reach="250 yd", water_temperature="71 F",
    )  # fmt: skip
    done = check_plan(asked, load_settings(), session.forecast, "before breakfast")
    shown = later.client.get("/last")
    assert shown.url.path == f"/check/{done.number}"
    assert headline(shown.text) == str(done.verdict.severity)
    assert re.search(r'name="reach"[^>]* value="250"', later.client.get("/").text)


@pytest.mark.thorough
def test_memory_holds_a_few_checks_and_the_history_all(before: httpx.Response) -> None:
    session = sample_session(remembered=1)
    first = session.done(int(before.url.path.rpartition("/")[2]))
    assert first is not None
    other = session.check(
        PlanRequest(**{**vars(first.asked), "hours": "0.75", "read_at": None, "warnings": None})
    )
    assert list(session.shelf._held) == [other.number]
    again = session.done(first.number)
    assert again is not None
    assert again is not first
    assert again.verdict.at == first.verdict.at
    assert list(session.shelf._held) == [first.number]


@pytest.mark.thorough
def test_the_map_is_drawn_without_the_waters_file(before: httpx.Response, tmp_path: Path) -> None:
    with at_home(tmp_path), running() as moved:
        made = moved.send("/check", **SHORT)
        shutil.rmtree(tmp_path / "waters")
        with running() as after:
            shutil.rmtree(tmp_path / "waters")
            shown = after.client.get(made.url.path)
            assert "lm-hour" in made.text
            assert shown.text.count("lm-hour") == made.text.count("lm-hour")
            home = after.client.get("/")
            assert (home.status_code, "not added a water yet" in home.text) == (200, True)


# -- trips that are over ---------------------------------------------------------------------------


def test_a_trip_that_is_over_is_shown_and_offers_only_what_still_makes_sense(
    before: httpx.Response, later: Live
) -> None:
    later.session.as_of = DAY_AFTER
    shown = later.client.get(before.url.path)
    assert headline(shown.text) == headline(before.text)
    assert "This trip is over." in Reader(shown.text).text
    actions = re.findall(r'<form method="post" action="([^"]+)"', shown.text)
    assert actions == ["/trips"]
    for what, fields in (
        ("again", {}),
        ("limit", {"quantity": "wind_speed", "no_go": "1 mph"}),
    ):
        refused = later.send(f"{before.url.path}/{what}", **fields)
        assert refused.status_code == 422
    assert load_settings().user.limit == []


def test_the_form_proposes_the_next_day_and_nothing_that_was_said_for_the_old_one(
    before: httpx.Response, later: Live
) -> None:
    later.session.as_of = DAY_AFTER
    text = later.client.get("/").text
    assert re.search(r'name="start"[^>]*value="2026-06-14T1\d:00"', text)
    assert "slack 09:40" not in text
    assert 'value="72"' not in text
    assert 'value="2026-06-12T20:10"' not in text


# -- what can't be read ------------------------------------------------------------------------


def history() -> Path:
    return load_settings().folders.data / "history.sqlite3"


def changed(number: str, column: str, value: object) -> object:
    """Change a column of a check; return the value from before."""
    with sqlite3.connect(history()) as base:
        (old,) = base.execute(f"SELECT {column} FROM checks WHERE id = ?", (number,)).fetchone()
        base.execute(f"UPDATE checks SET {column} = ? WHERE id = ?", (value, number))
    base.close()
    return old


@pytest.mark.thorough
def test_a_check_of_another_version_says_so(before: httpx.Response, later: Live) -> None:
    number = before.url.path.rpartition("/")[2]
    old = changed(number, "program", "0.0.9")
    later.session.shelf._held.clear()
    text = Reader(later.client.get(before.url.path).text).text
    changed(number, "program", old)
    later.session.shelf._held.clear()
    assert f"safety-check 0.0.9 made this check, and this is {__version__}." in text


def test_a_check_that_cannot_be_read_is_one_clear_message_and_the_others_stay(
    before: httpx.Response, later: Live
) -> None:
    number = before.url.path.rpartition("/")[2]
    old = changed(number, "archive", b"damaged")
    later.session.shelf._held.clear()
    try:
        for path in ("", "/file"):
            answer = later.client.get(f"{before.url.path}{path}")
            assert answer.status_code == 410
            assert f"check {number} of the history is damaged" in Reader(answer.text).text
        assert later.send(f"{before.url.path}/again").status_code == 502
        assert later.client.get("/").status_code == 200
    finally:
        changed(number, "archive", old)


@pytest.mark.thorough
def test_without_a_usable_history_a_check_is_made_and_shown_all_the_same(tmp_path: Path) -> None:
    with at_home(tmp_path), running() as live:
        (tmp_path / "data").mkdir(exist_ok=True)
        shutil.rmtree(tmp_path / "data")
        (tmp_path / "data").write_text("not a folder")
        made = live.send("/check", **SHORT)
        assert made.url.path == "/check/-1"
        assert "This check is not in the history." in Reader(made.text).text
        assert live.client.get("/last").url.path == "/check/-1"
        again = live.send("/check/-1/again")
        assert again.url.path == "/check/-2"
        assert headline(again.text) == headline(made.text)
