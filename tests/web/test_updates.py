"""An open page learns of newer data, at the pace of a watch and only while it asks."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from safety_check.errors import DataError
from safety_check.settings.folders import shipped_file
from safety_check.settings.settings import load_settings
from safety_check.store.store import Store
from safety_check.use_cases.watch import USUAL_PERIOD
from safety_check.web import updates
from safety_check.web.session import Session, StoredCheck
from tests.live import Live, at_home, running
from tests.web.sockets import until
from tests.web.test_checking import SHORT, headline, without_keys

MADE = "2026-06-12T20:30"
A_LITTLE_LATER, LATER = "2026-06-12T20:55", "2026-06-12T21:00"
NEXT_DAY = "2026-06-14T08:00"


def windier(folder: Path, times: float = 2.5) -> Path:
    """Return the bundled forecast as a newer one that says more wind."""
    said = json.loads(shipped_file("sample/forecast.json").read_text(encoding="utf-8"))
    for name, values in said["hourly"].items():
        if name.startswith("wind_speed"):
            said["hourly"][name] = [value and value * times for value in values]
    file = folder / "windier.json"
    file.write_text(json.dumps(said), encoding="utf-8")
    return file


@pytest.fixture
def page(tmp_path: Path) -> Iterator[tuple[Live, httpx.Response]]:
    """Return a server, and the page of a check that is open in a browser."""
    with at_home(tmp_path), running() as live:
        yield live, live.send("/check", **SHORT)


def ask(live: Live, shown: httpx.Response) -> dict[str, Any]:
    """Ask as the script of a page does."""
    answer = live.client.post(f"{shown.url.path}/newer", data={"token": live.token()})
    assert answer.status_code == 200
    return dict(answer.json())


def checks_made() -> int:
    with Store.open(load_settings().folders.data) as store:
        return len(store.checks(1000))


def test_a_newer_forecast_is_said_in_words_after_one_check_in_a_period(
    page: tuple[Live, httpx.Response], tmp_path: Path
) -> None:
    live, shown = page
    live.session.forecast = windier(tmp_path)
    for early in (MADE, A_LITTLE_LATER):
        live.session.as_of = early
        told = ask(live, shown)
        assert told == {"text": "", "address": None, "again_in": updates.LISTENS}
    assert checks_made() == 1
    live.session.as_of = LATER
    assert ask(live, shown)["again_in"] == updates.SOON
    told = until(lambda: ask(live, shown), lambda told: told["address"])
    before = headline(shown.text)
    newer = live.client.get(told["address"])
    now = headline(newer.text)
    assert now != before
    assert "wind up " in told["text"]
    assert told["text"].endswith(f" Verdict now {now}, was {before}.")
    assert f"was {before} at the last check" in newer.text
    # The open page stays as it was, and its newer page has nothing to add.
    assert without_keys(live.client.get(shown.url.path).text) == without_keys(shown.text)
    assert ask(live, newer)["text"] == ""
    for _ in range(3):
        assert ask(live, shown)["address"] == told["address"]
    assert checks_made() == 2


@pytest.mark.thorough
def test_a_check_that_somebody_else_makes_is_noticed_without_another_one(
    page: tuple[Live, httpx.Response],
) -> None:
    live, shown = page
    live.send(f"{shown.url.path}/limit", quantity="wind_speed", no_go="1", no_go_unit="mph")
    told = ask(live, shown)
    assert told["text"] == f"Verdict now NO-GO, was {headline(shown.text)}."
    assert told["address"] == "/check/2?since=1"
    live.send("/check", **{**SHORT, "reach": "200 yd"})  # another trip
    assert ask(live, shown)["address"] == "/check/2?since=1"
    assert checks_made() == 3


@pytest.mark.thorough
def test_what_fails_is_said_and_not_tried_again_before_the_next_period(
    page: tuple[Live, httpx.Response], monkeypatch: pytest.MonkeyPatch
) -> None:
    live, shown = page
    tried: list[int] = []

    def fails(self: Session, before: StoredCheck, read: str | None = None) -> StoredCheck:
        tried.append(before.number)
        raise DataError("the file is garbled.")

    monkeypatch.setattr(Session, "again", fails)
    live.session.as_of = LATER
    told = until(lambda: ask(live, shown), lambda told: told["text"])
    assert told["text"] == "This trip could not be checked: the file is garbled."
    for _ in range(3):
        assert ask(live, shown) == told
    assert tried == [1]
    live.session.as_of = "2026-06-12T21:30"
    until(lambda: ask(live, shown), lambda told: len(tried) == 2)


@pytest.mark.thorough
def test_trips_that_are_over_and_checks_that_do_not_exist_are_left_alone(
    page: tuple[Live, httpx.Response],
) -> None:
    live, shown = page
    live.session.as_of = NEXT_DAY
    nothing = {"text": "", "address": None, "again_in": None}
    assert ask(live, shown) == nothing
    assert 'id="newer"' not in live.client.get(shown.url.path).text
    for number in ("999", "-1", "x"):
        answer = live.client.post(f"/check/{number}/newer", data={"token": live.token()})
        assert answer.json() == nothing
    assert checks_made() == 1


@pytest.mark.thorough
def test_a_number_of_trips_is_followed_at_once_and_a_further_one_is_told_so(
    page: tuple[Live, httpx.Response], monkeypatch: pytest.MonkeyPatch
) -> None:
    live, shown = page
    monkeypatch.setattr(updates, "MOST_TRIPS", 0)
    live.session.as_of = LATER
    answer = live.client.post(f"{shown.url.path}/newer", data={"token": live.token()})
    assert answer.status_code == 503
    assert answer.json()["again_in"] == updates.LISTENS
    assert checks_made() == 1


@pytest.mark.thorough
def test_only_a_page_of_our_own_has_a_check_made(page: tuple[Live, httpx.Response]) -> None:
    live, shown = page
    live.session.as_of = LATER
    path = f"{shown.url.path}/newer"
    assert live.client.get(path).status_code == 405
    assert live.client.post(path).status_code == 403
    foreign = {"origin": "http://evil.example"}
    assert live.client.post(path, data={"token": live.token()}, headers=foreign).status_code == 403
    assert checks_made() == 1


@pytest.mark.thorough
def test_a_check_is_due_after_a_period_and_when_the_launch_has_come(
    page: tuple[Live, httpx.Response],
) -> None:
    with Store.open(load_settings().folders.data) as store:
        record = store.check(1)
    at, start = record.kept.verdict.at, record.kept.plan.start
    soon = timedelta(seconds=1)
    assert not updates.is_due(record, at + USUAL_PERIOD - soon)
    assert updates.is_due(record, at + USUAL_PERIOD)
    verdict = replace(record.kept.verdict, at=start - 2 * soon)
    late = replace(record, kept=replace(record.kept, verdict=verdict))
    assert not updates.is_due(late, start - soon)
    assert updates.is_due(late, start)
