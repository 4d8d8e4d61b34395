"""A stored check is asked for again in its own words, and at another time without that day's."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import OWN_WORD
from safety_check.settings.user_file import UserSettings
from safety_check.store.rows import StoredCheck
from safety_check.use_cases.asked_again import next_request, read_at, request_again, words_of
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.recheck import MovementRequest
from tests import scenes

TRIP = scenes.plan()  # from 10:00 to 15:00 at the water
START = TRIP.start


def checked(plan: Plan = TRIP, read: tuple[datetime, ...] = (), **words: Any) -> StoredCheck:
    """Return a stored check; the user read the warnings at these times, a service at noon UTC."""
    service = replace(scenes.FROM_THE_ALERT_SERVICE, fetched=datetime(2026, 6, 12, 23, tzinfo=UTC))
    own = tuple(replace(service, source=OWN_WORD, fetched=one) for one in read)
    verdict = Verdict(plan, scenes.NOW, Severity.GO, (), (), (), (), (service, *own), ())
    return StoredCheck(verdict, scenes.briefing(), UserSettings(), words=words)


# -- words ---------------------------------------------------------------------------------------


def test_words_are_all_that_was_said_but_what_means_nothing_at_another_time() -> None:
    asked = PlanRequest(
        water="Orvel Lake", hours=4.5, start="sat 6:00", reach="1 mi", night=True,
        as_of="now", warnings="none", read_at="20:10", saved_plan="dawn",
    )  # fmt: skip
    assert words_of(asked) == {
        "water": "Orvel Lake", "hours": "4.5", "start": "sat 6:00", "reach": "1 mi", "night": "yes",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({}, {}),
        ({"light": True}, {"light": "yes"}),
        ({"light": False}, {"light": "no"}),  # no light is a statement
        ({"night": False}, {}),  # by day is the usual
        ({"hours": 5.0}, {"hours": "5"}),
        ({"hours": "4:30"}, {"hours": "4:30"}),
    ],
)
def test_a_statement_that_there_is_no_light_is_kept(
    said: dict[str, Any], words: dict[str, str]
) -> None:
    assert words_of(PlanRequest(**said)) == words


def test_words_on_moving_water_are_kept() -> None:
    assert words_of(MovementRequest(gauge="2 ft")) == {"gauge": "2 ft"}


# -- the same trip -------------------------------------------------------------------------------


def test_a_check_of_an_older_version_is_asked_again_by_its_plan() -> None:
    again = request_again(checked())
    assert again == PlanRequest(
        water="Invented Lake",
        launch="ramp",
        craft="sit-on-top-kayak",
        start="2026-06-13T10:00",
        hours="5",
        reach="1609 m",
        water_temperature="23.0 C",
    )


def test_a_check_is_asked_again_in_the_words_of_its_user() -> None:
    said: dict[str, Any] = {
        "reach": "1 mi", "from_shore": "100 yd", "life_jacket": "worn", "wearing": "wetsuit",
        "company": "alone", "current": "none", "high_water": "08:10", "gauge": "2 ft",
        "release": "none",
    }  # fmt: skip
    again = request_again(checked(replace(TRIP, night=True, from_shore=90.0), **said))
    assert {name: getattr(again, name) for name in said} == said
    assert again.night


@pytest.mark.parametrize(("words", "light"), [("yes", True), ("no", False), ("", None)])
def test_a_light_is_declared_again_as_it_was(words: str, light: bool | None) -> None:
    assert request_again(checked(light=words)).light is light


def test_a_distance_from_the_shore_is_asked_again_where_there_was_one() -> None:
    assert request_again(checked(replace(TRIP, from_shore=91.44))).from_shore == "91 m"


def test_a_reach_that_was_only_assumed_is_not_said() -> None:
    assert request_again(checked(replace(TRIP, reach_assumed=True), reach="1 mi")).reach is None


@pytest.mark.parametrize(
    ("kelvin", "words", "asked"),
    [
        (None, "58 F", None),
        (287.594, "58 F", "58 F"),  # 14.444 °C
        (287.594, None, "14.4 C"),
        (287.15 + 0.019, "14 C", "14 C"),
        (287.15 + 0.021, "14 C", "14.0 C"),
        (280.15, "14 C", "7.0 C"),  # colder water was measured since
        (290.15, "14 C", "17.0 C"),
        (287.15, "cold", "14.0 C"),  # of an older version
    ],
)
def test_a_temperature_measured_since_replaces_the_words(
    kelvin: float | None, words: str | None, asked: str | None
) -> None:
    said: dict[str, Any] = {} if words is None else {"water_temperature": words}
    again = request_again(checked(replace(TRIP, water_temperature=kelvin), **said))
    assert again.water_temperature == asked


def test_the_warnings_were_read_when_the_user_last_did() -> None:
    assert read_at(checked().verdict) is None  # a service is not the user
    times = (datetime(2026, 6, 12, 20, 5, tzinfo=UTC), datetime(2026, 6, 12, 21, 30, tzinfo=UTC))
    for read in (times, times[::-1]):
        assert read_at(checked(read=read).verdict) == "2026-06-12T16:30"
        assert request_again(checked(read=read)).read_at == "2026-06-12T16:30"


# -- the next such trip --------------------------------------------------------------------------

ASKED = PlanRequest(
    water="Invented Lake", start="sat 10:00", hours="5h", reach="1 mi", wearing="wetsuit",
    water_temperature="58 F", read_at="20:10", current="none", high_water="08:10", gauge="2 ft",
    release="none",
)  # fmt: skip


def test_a_trip_that_has_not_begun_is_asked_for_as_it_was() -> None:
    assert next_request(ASKED, TRIP, START - timedelta(seconds=1)) is ASKED


def test_a_trip_that_has_begun_is_asked_for_the_next_day_without_what_was_said_of_its_own() -> None:
    assert next_request(ASKED, TRIP, START) == PlanRequest(
        water="Invented Lake",
        start="2026-06-14T10:00",
        hours="5",
        reach="1 mi",
        wearing="wetsuit",
    )


@pytest.mark.parametrize(
    ("start", "now", "following"),
    [  # at the water, five hours behind UTC in summer and six in winter
        ((6, 13, 15), (6, 20, 14, 59), "2026-06-20T10:00"),  # still to come today
        ((6, 13, 15), (6, 20, 15, 0), "2026-06-21T10:00"),
        ((6, 13, 3), (6, 14, 2, 0), "2026-06-13T22:00"),  # it is still the 13th there
        ((10, 31, 15), (10, 31, 16, 0), "2026-11-01T10:00"),  # over the change of the clocks
    ],
)
def test_the_next_trip_begins_at_the_same_time_of_day_at_the_water(
    start: tuple[int, int, int], now: tuple[int, int, int, int], following: str
) -> None:
    begins = datetime(2026, *start, tzinfo=UTC)
    trip = scenes.plan(start=begins)
    assert next_request(ASKED, trip, datetime(2026, *now, tzinfo=UTC)).start == following


@pytest.mark.parametrize(
    ("minutes", "hours"), [(300, "5"), (299, "5"), (285, "4.75"), (286, "5"), (10, "0.25")]
)
def test_the_next_trip_is_no_shorter_to_the_quarter_of_an_hour(minutes: int, hours: str) -> None:
    trip = replace(TRIP, end=START + timedelta(minutes=minutes))
    assert next_request(ASKED, trip, START).hours == hours
