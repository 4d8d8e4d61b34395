"""The outlook finds what checks of every start and length would find, by weighing once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import to_datetime64
from safety_check.assess import outlook
from safety_check.assess.outlook import best_first, build_outlook, local_days, trips_in_daylight
from safety_check.conditions.case import Case
from safety_check.model.outlook import Day, Outlook
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Unknown, Window
from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.rules.trips import LONGEST, TripTable, worst_by_length
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.assess import by_hand
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
    return scenes.severity_of(given, trip, at=NOW)


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
@pytest.mark.parametrize(("count", "past"), [(1, 0), (10, 0), (10, 3), (60, 3)])
def test_trips_are_in_the_daylight_of_one_day_and_not_in_the_past(
    latitude: float, longitude: float, zone: str, light: range, count: int, past: int
) -> None:
    first = datetime(2026, 6, 12, 22, tzinfo=UTC)
    start = first + timedelta(hours=past)
    hours = [first + timedelta(hours=number) for number in range(count)]
    time = np.array([to_datetime64(hour) for hour in hours])
    place = replace(scenes.LAUNCH, latitude=latitude, longitude=longitude)
    water = replace(scenes.WATER, time_zone=zone)
    plan = replace(scenes.plan(), water=water, launch=place, start=start)
    found = trips_in_daylight(plan, time, local_days(plan, time))
    assert found.tolist() == daylight_by_a_loop(hours, ZoneInfo(zone), light, start)


# -- the search, in trips written by hand ----------------------------------------------------------

GO, MARGINAL, UNKNOWN, NO_GO = Severity
DAY_LENGTH = 24
Cells = dict[tuple[int, int], float]  # length and hour of the start -> a value


@dataclass
class Written:
    """A day of hours 0 to 23 of 13 June, of which trips from 6 to 20 are in daylight.

    Parameters
    ----------
    verdicts
        Of trips; the others are NO-GO.
    odds
        That trips stay GO; the others have none.
    under_way, back
        Hazard -> its severity in each hour under way, and on return in each hour; GO elsewhere.
    together
        The severity of several hazards together over any hours.
    until
        How far official warnings are known.
    undeclared
        Quantities whose limit cannot be chosen.
    """

    verdicts: Mapping[tuple[int, int], Severity] = field(default_factory=dict)
    odds: Cells = field(default_factory=dict)
    under_way: Mapping[str, Mapping[int, Severity]] = field(default_factory=dict)
    back: Mapping[str, Mapping[int, Severity]] = field(default_factory=dict)
    together: Severity | None = None
    until: datetime | None = None
    undeclared: frozenset[str] = frozenset()

    def outlook(self, patch: pytest.MonkeyPatch, hours: int = 3) -> Outlook:
        plan = replace(scenes.plan(), start=at(13, 0), end=at(13, 23))
        case = Case(plan, scenes.briefing(), scenes.POND, scenes.settings(), load_trust())
        for name in ("weigh_hours", "weigh_returns", "judge_trips", "build_finding",
                     "hazard_over_trip", "can_reach", "several_together"):  # fmt: skip
            patch.setattr(outlook, name, getattr(self, name))
        patch.setattr(outlook, "trips_in_daylight", lambda *_: self.table(True, False))
        patch.setattr(outlook, "warnings_until", lambda *_: self.until)
        for name in ("describe_calibration_used", "describe_loosened"):
            patch.setattr(outlook, name, lambda *_: ())
        return build_outlook(case, hours, load_rulebook())

    def best(self, patch: pytest.MonkeyPatch, hours: int = 3) -> Day:
        [found] = self.outlook(patch, hours).days
        return found

    def table(self, inside: object, outside: object) -> np.ndarray:
        """Return every trip by length and start, with what those in daylight have."""
        return np.array(
            [
                [inside if 6 <= hour <= 20 - length else outside for hour in range(DAY_LENGTH)]
                for length in range(1, LONGEST + 1)
            ]
        )

    def weighing(self, named: Mapping[str, Mapping[int, Severity]]) -> Any:
        time = np.array([to_datetime64(at(13, hour)) for hour in range(DAY_LENGTH)])
        names = [*self.under_way, *(name for name in self.back if name not in self.under_way)]
        hazards = [
            SimpleNamespace(
                name=name,
                hours=np.array([named.get(name, {}).get(hour, GO) for hour in range(DAY_LENGTH)]),
                hazard=SimpleNamespace(
                    weighs=name, quantity_label=name, remedy="measure", says_undeclared="declare"
                ),
            )
            for name in names
        ]
        return SimpleNamespace(time=time, hazards=hazards, weights=None)

    def weigh_hours(self, *_: object) -> object:
        limits = SimpleNamespace(undeclared=self.undeclared)
        return SimpleNamespace(
            weighing=self.weighing(self.under_way),
            tolerance=SimpleNamespace(share=0.1),
            context=SimpleNamespace(limits=limits),
            conditions=None,
        )

    def weigh_returns(self, *_: object) -> object:
        return self.weighing(self.back)

    def judge_trips(self, *_: object) -> TripTable:
        severity, go = np.full((LONGEST, DAY_LENGTH), NO_GO), np.zeros((LONGEST, DAY_LENGTH))
        for (length, hour), verdict in self.verdicts.items():
            severity[length - 1, hour] = verdict
        for (length, hour), odds in self.odds.items():
            go[length - 1, hour] = odds
        return TripTable(severity, go)

    def hazard_over_trip(self, hazard: Any, weights: object, hours: np.ndarray, *_: object) -> Any:
        return hazard.hours[hours].max()

    def can_reach(self, hazard: Any, hours: np.ndarray, severity: Severity) -> bool:
        return bool((hazard.hours[hours] >= severity).any())

    def build_finding(self, hazard: Any, weighing: object, hours: np.ndarray, *_: object) -> object:
        found = by_hand.finding(hazard.name, Severity(int(hazard.hours[hours].max())))
        why = f"in {hours.tolist()}"
        return replace(found, reason=why)

    def several_together(self, *_: object) -> list[object]:
        return [] if self.together is None else [by_hand.finding("several", self.together)]


def window_of(first: int, last: int, severity: Severity = GO) -> dict[tuple[int, int], Severity]:
    """Return every trip from an hour on that is back by another, with one verdict."""
    return {
        (length, hour): severity
        for hour in range(first, last)
        for length in range(1, last - hour + 1)
    }


def test_the_best_trip_has_the_best_odds_of_those_in_the_longest_window(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    decoys = {(length, 9): 1.0 for length in range(1, LONGEST + 1) if length != 3}
    written = Written(
        {**window_of(8, 14), **window_of(16, 20), (3, 12): GO},
        # Trips at 12 and 16 would be better, but lie outside the longest window, 8 to 14.
        {**decoys, (3, 8): 0.7, (3, 9): 0.5, (3, 10): 0.6, (3, 11): 0.8, (3, 12): 1, (3, 16): 1},
    )
    found = written.best(monkeypatch)
    assert (found.severity, found.odds) == (GO, 0.8)
    assert (found.plan.start, found.plan.end) == (at(13, 11), at(13, 14))
    assert found.window == Window(at(13, 8), at(13, 14), GO)
    assert found.shorter is None
    assert found.why is None


def test_of_windows_of_one_length_that_with_the_best_odds_is_taken(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    decoys = {(length, 7): 1.0 for length in range(1, LONGEST + 1) if length != 4}
    written = Written(
        {**window_of(7, 11), **window_of(14, 18)}, {**decoys, (4, 7): 0.6, (4, 14): 0.8}
    )
    assert written.best(monkeypatch).window == Window(at(13, 14), at(13, 18), GO)


def test_a_better_trip_that_is_too_short_is_told_where_it_would_permit_a_launch(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    long, short = window_of(7, 12, MARGINAL), window_of(15, 17)
    assert Written({**long, **short}).best(monkeypatch).shorter == Window(
        at(13, 15), at(13, 17), GO
    )
    unknown = window_of(15, 17, UNKNOWN)
    found = Written(unknown).best(monkeypatch)
    assert (found.severity, found.shorter, found.window) == (NO_GO, None, None)
    proved_by_nothing = Written(window_of(8, 14, UNKNOWN)).best(monkeypatch)
    assert (proved_by_nothing.severity, proved_by_nothing.window) == (UNKNOWN, None)


def test_what_decides_a_trip_is_sought_under_way_and_then_on_its_return(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    trips = window_of(8, 11, MARGINAL)  # three hours, back at 11
    wind, dusk = {"wind": {9: MARGINAL}}, {"dusk": {11: MARGINAL}}

    def why(**told: Any) -> tuple[str, str] | None:
        found = Written(trips, **told).best(monkeypatch).why
        return None if found is None else (found.hazard, found.reason)

    assert why(under_way=wind, back=dusk) == ("wind", "in [8, 9, 10]")
    assert why(back=dusk) == ("dusk", "in [11]")
    assert why(under_way={"fog": {11: NO_GO}}, back={"dusk": {10: NO_GO, 12: NO_GO}}) is None


def test_what_ends_a_window_is_sought_in_the_next_hour_and_on_a_return_after_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    trips = window_of(8, 14)

    def ends(**told: Any) -> tuple[str, str] | None:
        found = Written(trips, **told).best(monkeypatch).ends
        return None if found is None else (found.hazard, found.reason)

    wind, dusk = {"wind": {14: MARGINAL}}, {"dusk": {15: NO_GO}}
    assert ends(under_way=wind, back=dusk) == ("wind", "in [14]")
    assert ends(back=dusk) == ("dusk", "in [15]")
    assert ends(under_way={"fog": {13: NO_GO, 15: NO_GO}}, back={"dusk": {14: NO_GO}}) is None
    late = Written(window_of(8, 20), under_way={"wind": {20: NO_GO}}).best(monkeypatch)
    assert late.ends is None  # the daylight ends it


def test_several_hazards_together_decide_a_trip_where_none_alone_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for together, decides in ((GO, None), (MARGINAL, "several"), (NO_GO, "several")):
        written = Written(window_of(8, 14, MARGINAL), together=together)
        found = written.best(monkeypatch).why
        assert (found and found.hazard) == decides


def test_a_trip_that_ends_after_the_warnings_are_known_is_marked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    trips = window_of(8, 11)  # ends at 11
    for until, beyond in ((None, False), (at(13, 12), False), (at(13, 11), False)):
        assert Written(trips, until=until).best(monkeypatch).beyond_warnings == beyond
    assert Written(trips, until=at(13, 10)).best(monkeypatch).beyond_warnings


def test_only_a_day_with_a_trip_has_a_temperature_of_the_water(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    water = Written().best(monkeypatch).water
    assert water is not None
    assert water.value == scenes.plan().water_temperature
    too_long = Written().best(monkeypatch, hours=20)
    assert (too_long.severity, too_long.water) == (None, None)


def test_only_what_is_unknown_in_every_hour_is_told_with_what_to_do(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    always = dict.fromkeys(range(DAY_LENGTH), UNKNOWN)
    written = Written(
        window_of(8, 11),
        under_way={"current": always, "jacket": always, "wind": {9: UNKNOWN}},
        undeclared=frozenset({"jacket", "wind"}),
    )
    assert written.outlook(monkeypatch).unknown == (
        Unknown("current", "not known", "measure", UNKNOWN),
        Unknown("jacket", "your limit cannot be chosen", "declare", UNKNOWN),
    )
