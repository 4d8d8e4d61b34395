"""The trip log: words, times, and what trips speak for."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import PlanError
from safety_check.model.trip import SuggestedLimits, Trip
from safety_check.model.verdict import Limit
from safety_check.physics.wind import beaufort
from safety_check.report import suggestions as report
from safety_check.settings.folders import Folders
from safety_check.settings.limits import load_default_limits
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable, UserSettings
from safety_check.store.rows import StoredCheck
from safety_check.store.store import Store
from safety_check.use_cases.suggest_limits import (
    Suggest,
    beaufort_number,
    comfort_level,
    load_trip_words,
    middle_of,
    suggest,
    value_met,
)
from safety_check.use_cases.times_in_words import parse_past_time
from safety_check.use_cases.trip_log import (
    TripReport,
    log_trip,
    suggest_limits,
)
from safety_check.waters import files
from tests import scenes

CRAFT = "sit-on-top-kayak"
SHIPPED = {
    quantity: limit for (quantity, whom), limit in load_default_limits().items()
    if whom in (CRAFT, "any")
}  # fmt: skip
# Bounds of our own for wind, so that a new shipped value changes nothing here.
WIND: Limit = replace(SHIPPED["wind_speed"], marginal=5.5, no_go=8.0)
LIMITS = {**SHIPPED, "wind_speed": WIND}
RULE: Suggest = load_trip_words().suggest
AFTER = scenes.START + timedelta(hours=9)


def trip(wind: float = math.nan, comfort: int | None = None, **more: object) -> Trip:
    given = Trip(
        0, AFTER, scenes.START, "Lake", "ramp", "UTC", CRAFT, True,
        wind_speed=wind, comfort=comfort,
    )  # fmt: skip
    return replace(given, **more)  # type: ignore[arg-type]


# -- words -------------------------------------------------------------------------------------

# WMO-No. 306, code table 1100: the look of the sea beside each number.
LOOKS = [("glassy", 0), ("ripples", 1), ("small wavelets", 2), ("scattered whitecaps", 3),
         ("frequent whitecaps", 4), ("many whitecaps", 5), ("whitecaps everywhere", 6),
         ("foam streaks", 7)]  # fmt: skip


@pytest.mark.parametrize(("words", "number"), LOOKS)
def test_a_look_of_the_water_is_a_beaufort_number(words: str, number: int) -> None:
    assert beaufort_number(words) == number
    assert beaufort(np.array(middle_of(number))) == number


def test_no_word_has_two_meanings() -> None:
    said = load_trip_words()
    for words in (
        [word for one_word in said.look for word in one_word.words],
        [word for entry in said.comfort for word in entry.words],
    ):
        assert len(words) == len(set(words))
        assert all(word == word.casefold() for word in words)


@pytest.mark.parametrize("words", ["choppish", "", "12", "whitecap s"])
def test_unknown_words_are_refused_with_those_that_are_known(words: str) -> None:
    with pytest.raises(PlanError, match="scattered whitecaps"):
        beaufort_number(words)


def test_comfort_is_a_number_or_a_word() -> None:
    assert [comfort_level(value) for value in ("1", "Afraid", "ok", "at ease")] == [1, 1, 3, 5]
    with pytest.raises(PlanError, match="from 1"):
        comfort_level("6")


def test_words_count_for_limits_with_the_least_wind_that_they_stand_for() -> None:
    told = trip(middle_of(4), beaufort=4)
    assert value_met(told, "wind_speed") == 5.5
    assert math.isnan(value_met(told, "wind_speed_of_gust"))


# -- when --------------------------------------------------------------------------------------

FRIDAY_EVENING = datetime(2026, 6, 12, 20, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("06:00", datetime(2026, 6, 12, 6, tzinfo=UTC)),
        ("21:00", datetime(2026, 6, 11, 21, tzinfo=UTC)),
        ("today 06:00", datetime(2026, 6, 12, 6, tzinfo=UTC)),
        ("Yesterday 06:00", datetime(2026, 6, 11, 6, tzinfo=UTC)),
        ("sat 05:30", datetime(2026, 6, 6, 5, 30, tzinfo=UTC)),
        ("fri 06:00", datetime(2026, 6, 12, 6, tzinfo=UTC)),
        ("2026-06-01 07:00", datetime(2026, 6, 1, 7, tzinfo=UTC)),
        ("now", FRIDAY_EVENING),
    ],
)
def test_a_trip_began_at_the_last_such_time(text: str, expected: datetime) -> None:
    assert parse_past_time(text, "UTC", FRIDAY_EVENING, "--began") == expected


@pytest.mark.parametrize("text", ["tomorrow 06:00", "2026-06-13 06:00", "today 23:00"])
def test_a_trip_that_is_still_to_come_is_not_logged(text: str) -> None:
    with pytest.raises(PlanError, match="in the future"):
        parse_past_time(text, "UTC", FRIDAY_EVENING, "--began")


# -- the log -----------------------------------------------------------------------------------


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    folders = Folders(tmp_path, tmp_path / "data", tmp_path / "cache")
    files.save(scenes.WATER, folders.waters)
    return Settings(folders, UserSettings(default_craft=CRAFT))


def checked(store: Store, start: datetime) -> int:
    briefing = scenes.Briefing(at=scenes.NOW, forecasts=(scenes.forecast(),))
    verdict = scenes.verdict(trip=scenes.plan(start=start))
    return store.save_check(StoredCheck(verdict, briefing, scenes.settings().user), "0.1.0")


def test_a_trip_takes_what_is_not_given_from_the_check_that_it_followed(own: Settings) -> None:
    with Store.open(own.folders.data) as store:
        number = checked(store, scenes.START)
        checked(store, AFTER + timedelta(days=1))
        told = TripReport(wind="whitecaps", waves="flat", gust="20 mph", comfort="uneasy")
        logged = log_trip(told, store, own, AFTER)
        # As text, since what is not known is NaN, which differs from itself.
        assert repr(store.trips()) == repr((logged,))
    assert (logged.water, logged.launch, logged.craft) == ("Invented Lake", "ramp", CRAFT)
    assert (logged.start, logged.check) == (scenes.START, number)
    assert (logged.beaufort, logged.comfort, logged.wave_height) == (4, 2, 0.0)
    assert logged.wind_speed_of_gust == pytest.approx(8.9408)  # exact factor of units.py


def test_a_trip_finds_its_own_check_by_the_time_that_it_began(own: Settings) -> None:
    with Store.open(own.folders.data) as store:
        first = checked(store, scenes.START - timedelta(days=1))
        checked(store, scenes.START)
        began = f"{scenes.START - timedelta(days=1, hours=1):%Y-%m-%dT%H:%M}Z"
        assert log_trip(TripReport(began=began), store, own, AFTER).check == first
        elsewhen = TripReport(water="invented lake", began="2026-05-01 06:00")
        unchecked = log_trip(elsewhen, store, own, AFTER)
    assert (unchecked.check, unchecked.water) == (None, "Invented Lake")


@pytest.mark.parametrize(
    ("told", "part"),
    [
        (TripReport(), "which trip"),
        (TripReport(water="Invented Lake"), "which trip"),
        (TripReport(water="Nowhere", began="06:00"), "not known"),
        (TripReport(water="Invented Lake", began="06:00", wind="12"), "no unit"),
        (
            TripReport(water="Invented Lake", began="06:00", waves="12 mph"),
            "not a known unit of length",
        ),
        (TripReport(water="Invented Lake", began="06:00", check=9), "no such check"),
    ],
)
def test_what_can_not_be_logged_is_an_error_and_nothing_is_stored(
    own: Settings, told: TripReport, part: str
) -> None:
    with Store.open(own.folders.data) as store:
        with pytest.raises(PlanError, match=part):
            log_trip(told, store, own, AFTER)
        assert store.trips() == ()


# -- limits that learn -------------------------------------------------------------------------

CALM = [trip(2.0, 5)] * 3


def found(*trips: Trip) -> list[tuple[str, float, bool]]:
    return [
        (suggestion.level, suggestion.bound, suggestion.tighter)
        for suggestion in suggest(trips, LIMITS, RULE)
    ]


def test_two_uneasy_trips_below_the_caution_speak_for_a_tighter_one() -> None:
    assert found(*CALM, trip(4.0, 2), trip(4.5, 2), trip(9.0, 2)) == [("marginal", 4.5, True)]
    (only,) = suggest([*CALM, trip(4.0, 2), trip(4.5, 2)], LIMITS, RULE)
    assert [value_met(one_trip, "wind_speed") for one_trip in only.trips] == [4.0, 4.5]
    assert only.now == WIND.marginal


def test_two_trips_in_fear_speak_for_a_tighter_no_go_too() -> None:
    afraid = [trip(6.0, 1), trip(7.0, 1)]
    assert found(*CALM, *afraid) == [("no_go", 7.0, True)]
    assert found(*CALM, trip(4.0, 1), trip(5.0, 1)) == [
        ("marginal", 5.0, True),
        ("no_go", 5.0, True),
    ]


def test_one_uneasy_trip_or_too_few_trips_speak_for_nothing() -> None:
    assert found(*CALM, trip(3.0, 3), trip(4.0, 2)) == []
    assert found(trip(4.0, 2), trip(4.5, 2), trip(4.5, 2), trip(4.0, 1)) == []


def test_trips_that_did_not_go_or_do_not_tell_speak_for_nothing() -> None:
    silent = [trip(4.0, 2, went=False), trip(4.0, None), trip(math.nan, 2)] * 4
    assert found(*CALM, *silent) == []


def test_five_trips_at_ease_speak_for_a_looser_caution_below_the_no_go() -> None:
    easy = [trip(speed, 5) for speed in (6.0, 6.5, 7.0, 7.2, 7.4, 7.6)]
    assert found(*easy) == [("marginal", 6.5, False)]
    comfortable = [trip(speed, RULE.at_ease_from) for speed in (6.0, 6.5, 7.0, 7.2, 7.4, 7.6)]
    assert found(*comfortable) == found(*easy)
    assert found(*[replace(one, comfort=RULE.at_ease_from - 1) for one in comfortable]) == []
    assert found(*easy[:4]) == []
    assert found(*[trip(9.0, 5)] * 9) == []
    assert found(*easy, trip(6.2, 2)) == []


@given(
    st.lists(
        st.builds(
            trip,
            st.floats(0, 15),
            st.integers(1, 5),
            wave_height=st.floats(0, 1),
            beaufort=st.one_of(st.none(), st.integers(0, 7)),
        ),
        max_size=20,
    )
)
def test_a_suggestion_is_tighter_or_says_that_it_is_not(trips: list[Trip]) -> None:
    for suggestion in suggest(trips, LIMITS, RULE):
        assert suggestion.trips
        if suggestion.tighter:
            assert suggestion.now is None or suggestion.bound < suggestion.now
        else:
            assert suggestion.level == "marginal"
            assert suggestion.now is not None
            no_go = LIMITS[suggestion.quantity].no_go
            assert suggestion.now < suggestion.bound < (math.inf if no_go is None else no_go)


# -- the command that sets it ------------------------------------------------------------------


def learnt(own: Settings, *trips: Trip) -> SuggestedLimits:
    with Store.open(own.folders.data) as store:
        for one_trip in trips:
            store.save_trip(one_trip)
        return suggest_limits(store, own, None)


def with_limit(own: Settings, **bounds: object) -> Settings:
    table = LimitTable(craft=CRAFT, quantity="wind_speed", **bounds)  # type: ignore[arg-type]
    return replace(own, user=own.user.model_copy(update={"limit": [table]}))


def test_a_command_rounds_down_and_keeps_the_bound_that_it_does_not_change(own: Settings) -> None:
    uneasy = [*CALM, trip(4.0, 2), trip(4.5, 2)]  # 4.5 m/s are 10.07 mph
    said = report.command("wind_speed", learnt(own, *uneasy), own.preferences)
    assert said == f"safety-check limits set wind --craft {CRAFT} --marginal '10 mph'"
    tight = with_limit(own, no_go="14 mph")
    said = report.command("wind_speed", learnt(tight), own.preferences)
    assert said.endswith("--marginal '10 mph' --no-go '14 mph'")


def test_only_a_command_that_loosens_a_default_says_loosen(own: Settings) -> None:
    easy = [trip(speed, 5) for speed in (4.0, 4.2, 4.4, 4.6, 4.8)]
    tight = with_limit(own, marginal="3 m/s")
    below = report.command("wind_speed", learnt(tight, *easy), own.preferences)
    assert "--loosen" not in below
    more = [trip(speed, 5) for speed in (5.9, 6.2, 6.4, 6.6, 6.8)]
    above = report.command("wind_speed", learnt(own, *more), own.preferences)
    assert above.endswith("--marginal '13 mph' --loosen")


def test_the_end_of_a_trip_is_stored_and_comes_after_its_start(own: Settings) -> None:
    told = TripReport(water="Invented Lake", began="2026-05-01 06:00", ended="2026-05-01 09:30")
    with Store.open(own.folders.data) as store:
        trip = log_trip(told, store, own, AFTER)
        assert trip.ended is not None
        assert (trip.ended - trip.start).total_seconds() == 3.5 * 3600
        assert repr(store.trips()) == repr((trip,))
        for ended in ("2026-05-01 06:00", "2026-05-01 05:00", "2026-05-03 06:01"):
            with pytest.raises(PlanError, match="after the start") as found:
                log_trip(replace(told, ended=ended), store, own, AFTER)
            assert found.value.field == "--ended"
        assert log_trip(replace(told, went=False), store, own, AFTER).ended is None
