"""The outlook finds what checks of every start and length would find, by weighing once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import to_datetime64
from safety_check.assess.outlook import best_first, build_outlook, local_days, trips_in_daylight
from safety_check.conditions.case import Case
from safety_check.model.outlook import Day, Outlook
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Window
from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.rules.trips import LONGEST, worst_by_length
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.properties import cases

LIGHT = replace(scenes.READY, light=False)
LOCAL = ZoneInfo(scenes.WATER.time_zone)
NOW = datetime(2026, 6, 12, 22, 30, tzinfo=UTC)


def at(day: int, hour: int) -> datetime:
    """Return an hour of June 2026 on the water's own clock, in UTC."""
    return datetime(2026, 6, day, hour, tzinfo=LOCAL).astimezone(UTC)


def hourly(*winds: list[float], models: list[str] | None = None) -> Forecast:
    """Return a forecast with another wind every hour from 2026-06-12T00 on, gusts 1.4 of it."""
    given = scenes.forecast(*({} for _ in winds), models=models)
    wind = given.quantities["wind_speed"]
    for member, speeds in enumerate(winds):
        wind[member, : len(speeds)] = speeds[: wind.shape[1]]
    given.quantities["wind_speed_of_gust"][:] = 1.4 * wind
    return given


def coming(
    given: Forecast,
    hours: int = 4,
    days: int = 1,
    silences: tuple[SourceFailure, ...] = (),
    start: datetime = NOW,
) -> Outlook:
    """Return the outlook from an evening on, over the days after it."""
    evening = datetime(2026, 6, 12, tzinfo=LOCAL) + timedelta(days=days + 1)
    trip = replace(
        scenes.plan(paddler=LIGHT), start=start, end=evening.astimezone(UTC) - timedelta(hours=1)
    )
    briefing = scenes.with_warnings_read(Briefing(start, (given,), silences=silences))
    return outlook_of(trip, hours, briefing)


def outlook_of(trip: Plan, hours: int, briefing: Briefing) -> Outlook:
    case = Case(trip, briefing, scenes.POND, scenes.settings(), load_trust())
    return build_outlook(case, hours, load_rulebook())


def windy_at(*hours: int, day: int = 13, speed: float = 9.0) -> Forecast:
    """Return a calm forecast with a wind past every limit in some local hours."""
    given = scenes.forecast()
    for hour in hours:
        moment = np.datetime64(at(day, hour).replace(tzinfo=None), "s")
        for name in ("wind_speed", "wind_speed_of_gust"):
            given.quantities[name][:, given.time == moment] = speed
    return given


def checked(given: Forecast, start: datetime, hours: int) -> Severity:
    trip = scenes.plan(paddler=LIGHT, hours=hours, start=start)
    return scenes.verdict(given, trip, at=NOW).severity


speeds = st.sampled_from([1.0, 2.0, 6.0, 9.0, float("nan")])


@pytest.mark.thorough
@cases(10)
@given(st.lists(speeds, min_size=72, max_size=72), st.integers(1, 6))
def test_the_best_trip_of_a_day_is_the_best_of_all_checks_of_that_length(
    winds: list[float], hours: int
) -> None:
    given = hourly(winds)
    tomorrow = coming(given, hours).days[-1]
    assert tomorrow.date == date(2026, 6, 13)
    assert checked(given, tomorrow.plan.start, hours) == tomorrow.severity
    in_light = range(6, 21 - hours)  # sunrise 05:47, sunset 21:24 at the invented water
    assert tomorrow.severity <= min(checked(given, at(13, value), hours) for value in in_light)


@cases(10)
@given(st.lists(st.sampled_from([1.0, 2.0, 6.0, 9.0]), min_size=72, max_size=72))
def test_a_window_holds_its_verdict_to_the_hour_of_return_and_can_be_no_longer(
    winds: list[float],
) -> None:
    given = hourly(winds)
    window = coming(given, 2).days[-1].window
    if window is None:
        return
    length = round((window.end - window.start) / timedelta(hours=1))
    assert checked(given, window.start, length) == window.severity
    if coming(given, 2).days[-1].ends is not None:
        assert checked(given, window.start, length + 1) > window.severity


def test_of_two_windows_the_longer_is_taken() -> None:
    tomorrow = coming(windy_at(12)).days[-1]
    assert tomorrow.window is not None
    # The wind of 12:00 holds from 11:00 on, since the worse end of an hour counts.
    assert (tomorrow.window.start, tomorrow.window.end) == (at(13, 13), at(13, 20))


def test_wind_in_the_hour_of_return_ends_a_window_before_it() -> None:
    tomorrow = coming(windy_at(*range(12, 22))).days[-1]
    assert tomorrow.window is not None
    assert tomorrow.ends is not None
    assert (tomorrow.window.start, tomorrow.window.end) == (at(13, 6), at(13, 10))
    assert tomorrow.ends.quantity == "wind_rise"
    assert "11:00" in tomorrow.ends.reason


def test_a_window_lies_within_daylight_and_ends_in_time_before_dark() -> None:
    tomorrow = coming(scenes.forecast()).days[-1]
    assert tomorrow.severity == Severity.GO
    assert tomorrow.window is not None
    assert (tomorrow.window.start, tomorrow.window.end) == (at(13, 6), at(13, 20))
    assert tomorrow.ends is not None
    assert tomorrow.ends.quantity == "time_to_dark_once_home"


def test_the_odds_are_those_of_the_whole_trip_not_of_its_best_hour() -> None:
    calm, morning, noon = [1.0] * 72, [1.0] * 72, [1.0] * 72
    morning[38], noon[41] = 9.0, 9.0  # 09:00 and 12:00 on the 13th at the water
    given = hourly(*[calm] * 38, morning, noon)
    whole_day = coming(given, 14).days[-1]
    assert whole_day.severity == Severity.GO
    assert whole_day.odds == pytest.approx(0.95)
    afternoon = coming(given, 4).days[-1]
    assert afternoon.odds == pytest.approx(1.0)
    assert afternoon.plan.start == at(13, 13)
    assert afternoon.window is not None
    assert afternoon.window.start == at(13, 6)


def test_a_better_but_shorter_window_is_told_beside_the_one_that_was_asked_for() -> None:
    breezy = windy_at(*range(9, 22), speed=6.0)
    tomorrow = coming(breezy, 4).days[-1]
    assert tomorrow.severity == Severity.MARGINAL
    assert tomorrow.why is not None
    assert tomorrow.why.quantity == "wind_speed"
    assert tomorrow.shorter is not None
    # The wind of 09:00 grows from 08:00 on, and a return at 08:00 is judged until 08:30.
    assert (tomorrow.shorter.start, tomorrow.shorter.end) == (at(13, 6), at(13, 8))


def test_a_day_without_a_window_says_what_forbids_it() -> None:
    tomorrow = coming(scenes.forecast({"wind_speed": 12.0, "wind_speed_of_gust": 15.0})).days[-1]
    assert tomorrow.severity == Severity.NO_GO
    assert tomorrow.window is None
    assert tomorrow.why is not None
    assert tomorrow.odds == 0.0


def test_days_beyond_the_forecast_are_unknown() -> None:
    days = coming(scenes.forecast(), days=5).days  # the invented forecast ends on the 14th
    assert [day.severity for day in days[-3:]] == [Severity.UNKNOWN] * 3
    assert all(day.window is None for day in days[-3:])


def test_hours_that_have_passed_and_days_without_light_enough_are_not_offered() -> None:
    today = coming(scenes.forecast(), 2).days[0]
    assert today.date == date(2026, 6, 12)
    assert today.plan.start == at(12, 18)  # it is 17:30
    assert coming(scenes.forecast(), 4).days[0].severity is None


def test_a_silent_service_holds_every_day_at_marginal_and_is_told() -> None:
    silent = SourceFailure("official warnings", "no answer within 10 s", ("alerts",))
    found = coming(scenes.forecast(), silences=(silent,))
    assert found.days[-1].severity == Severity.MARGINAL
    assert [unknown_item.what for unknown_item in found.unknown] == ["official warnings"]


def test_what_is_not_declared_is_told_with_the_command_that_declares_it() -> None:
    trip = replace(
        scenes.plan(paddler=replace(LIGHT, life_jacket=None)), start=NOW, end=NOW + timedelta(1)
    )
    briefing = scenes.with_warnings_read(Briefing(NOW, (scenes.forecast(),)))
    found = outlook_of(trip, 4, briefing)
    assert found.days[-1].severity == Severity.UNKNOWN
    assert any("--life-jacket" in unknown_item.remedy for unknown_item in found.unknown)


def test_where_the_sun_stays_up_a_window_still_lies_within_one_day() -> None:
    north = replace(scenes.LAUNCH, latitude=70.0, longitude=25.0)
    water = replace(scenes.WATER, time_zone="Europe/Oslo")
    trip = replace(
        scenes.plan(paddler=LIGHT),
        water=water,
        launch=north,
        start=NOW,
        end=NOW + timedelta(hours=40),
    )
    briefing = scenes.with_warnings_read(Briefing(NOW, (scenes.forecast(),)))
    found = outlook_of(trip, 4, briefing)
    saturday = next(day for day in found.days if day.date == date(2026, 6, 13))
    assert saturday.window is not None
    zone = ZoneInfo("Europe/Oslo")
    assert saturday.window.start.astimezone(zone) == datetime(2026, 6, 13, 1, tzinfo=zone)
    assert saturday.window.end.astimezone(zone) == datetime(2026, 6, 13, 23, tzinfo=zone)


def test_several_waters_are_ranked_by_verdict_then_odds_then_length() -> None:
    good, short, bad = (
        coming(given)
        for given in (
            scenes.forecast(),
            windy_at(*range(12, 22)),
            scenes.forecast({"wind_speed": 12.0, "wind_speed_of_gust": 15.0}),
        )
    )
    ranked = best_first([bad, short, good])
    assert ranked == [good.days[-1], short.days[-1], bad.days[-1]]


@pytest.mark.promise("the worst counts")
@given(st.lists(st.integers(0, 3), min_size=2, max_size=30))
def test_every_trip_is_as_bad_as_its_worst_hour_and_its_return(hours: list[int]) -> None:
    under_way = np.array(hours)
    back = under_way[::-1]
    lengths = range(1, min(24, len(hours) - 1) + 1)
    for length, found in zip(lengths, worst_by_length(under_way, back), strict=True):
        assert len(found) == len(hours) - length
        for start in range(len(hours) - length):
            worst = max(*hours[start : start + length], int(back[start + length]))
            assert found[start] == worst


# -- by hand ---------------------------------------------------------------------------------------


def day(
    severity: Severity | None, odds: float = 0.5, length: int | None = None, start: int = 8
) -> Day:
    plan = replace(scenes.plan(), start=at(13, start), end=at(13, start + 2))
    window = None
    if length is not None and severity is not None:
        window = Window(at(13, 8), at(13, 8 + length), severity)
    return Day(date(2026, 6, 13), plan, severity, odds, window)


def ranked(*days: Day) -> list[Day]:
    """Return the days of two outlooks in order."""
    usual = coming(scenes.forecast())
    return best_first([replace(usual, days=days[:1]), replace(usual, days=days[1:])])


def test_days_are_ranked_by_verdict_odds_to_a_hundredth_length_and_time() -> None:
    go, marginal, no_go = Severity.GO, Severity.MARGINAL, Severity.NO_GO
    in_order = [
        day(go, 0.9, 3),
        day(go, 0.824, 5, start=12),  # 0.82
        day(go, 0.821, 5, start=13),  # 0.82 as well, as long, and later
        day(go, 0.822, 4),  # 0.82 as well, and shorter
        day(go, 0.822, None),
        day(go, 0.7, 9),
        day(marginal, 0.9, 9),
        day(no_go, 0.0),
    ]
    assert ranked(*reversed(in_order)) == in_order
    assert ranked(day(None), *in_order) == in_order  # a day without a trip has no rank


def daylight_by_a_loop(
    hours: list[datetime], zone: ZoneInfo, light: range, start: datetime
) -> list[list[bool]]:
    """Return which trips are in the light of one day, from their start to their return."""
    local = [hour.astimezone(zone) for hour in hours]
    table = [[False] * len(hours) for _ in range(LONGEST)]
    for first, begins in enumerate(hours):
        for length in range(1, LONGEST + 1):
            trip = local[first : first + length + 1]
            whole = len(trip) == length + 1 and begins >= start
            table[length - 1][first] = whole and all(
                one.date() == local[first].date() and one.hour in light for one in trip
            )
    return table


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone", "light"),
    [
        (44.9, -99.6, "America/Chicago", range(6, 22)),  # sunrise 05:47, sunset 21:25
        (70.0, 25.0, "Europe/Oslo", range(24)),  # the sun does not set
    ],
)
@pytest.mark.parametrize("count", [1, 10, 60])
def test_trips_are_in_the_daylight_of_one_day_and_not_in_the_past(
    latitude: float, longitude: float, zone: str, light: range, count: int
) -> None:
    first, start = datetime(2026, 6, 12, 22, tzinfo=UTC), datetime(2026, 6, 13, 1, tzinfo=UTC)
    hours = [first + timedelta(hours=number) for number in range(count)]
    time = np.array([to_datetime64(hour) for hour in hours])
    place = replace(scenes.LAUNCH, latitude=latitude, longitude=longitude)
    water = replace(scenes.WATER, time_zone=zone)
    plan = replace(scenes.plan(), water=water, launch=place, start=start)
    found = trips_in_daylight(plan, time, local_days(plan, time))
    assert found.tolist() == daylight_by_a_loop(hours, ZoneInfo(zone), light, start)
