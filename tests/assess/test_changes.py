"""What changed since the last check: hours, hazards, forecasts, warnings, and who was silent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from safety_check.assess.changes import find_changes
from safety_check.model.changes import Changes, ForecastChange, SeverityChange
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Finding, HourVerdict, Severity, Verdict
from safety_check.model.weather import OWN_EYES, Alert, Briefing, Forecast, SourceFailure
from safety_check.report.changes import as_json, describe_changes, headline
from safety_check.units import Preferences
from safety_check.use_cases.launch_observation import LaunchObservation
from safety_check.use_cases.observed import add_observation
from tests import scenes
from tests.assess import by_hand

NOW = datetime(2026, 6, 13, 11, tzinfo=UTC)  # 06:00 at the invented water
ZONE = ZoneInfo(scenes.WATER.time_zone)
CLOCK = LocalClock(ZONE, date(2026, 6, 13))
LATER = NOW + timedelta(hours=2)
TRIP = scenes.plan(start=LATER + timedelta(minutes=5), hours=4)
STORM = Alert(
    *("Gale Warning", "Severe", "Expected", "Likely", "Gale until midnight", "", ""),
    onset=NOW,
    ends=NOW + timedelta(days=1),
    area="",
    provenance=replace(scenes.FROM_A_FILE, source="National Weather Service, alerts"),
)


def briefing(given: Forecast, alerts: Sequence[Alert] = (), silent: Sequence[str] = ()) -> Briefing:
    silences = tuple(SourceFailure(applies, "no answer", ("alerts",)) for applies in silent)
    return scenes.with_warnings_read(
        Briefing(LATER, (given,), alerts=tuple(alerts), silences=silences)
    )


def verdict_on(told: Briefing, trip: object = TRIP) -> Verdict:
    return scenes.judge(trip, told, scenes.POND, scenes.settings())  # type: ignore[arg-type]


def between(then: Briefing, now: Briefing, seen: LaunchObservation | None = None) -> Changes:
    then = scenes.with_warnings_read(replace(then, at=NOW))
    before = verdict_on(then)
    alone = verdict_on(now)
    plan, told = add_observation(TRIP, now, seen or LaunchObservation())
    return find_changes(before, verdict_on(told, plan), alone, then, told)


def windy_from(hour: int, speed: float = 9.0) -> Forecast:
    """Return a calm forecast with strong wind from an hour of the trip on."""
    given = scenes.forecast()
    late = given.time >= np.datetime64((TRIP.start + timedelta(hours=hour)).replace(tzinfo=None))
    for name in ("wind_speed", "wind_speed_of_gust"):
        given.quantities[name][:, late] = speed
    return given


def told(found: Changes) -> str:
    return "\n".join(describe_changes(found, Preferences(), CLOCK))


def test_nothing_changed_is_said_in_so_many_words() -> None:
    calm = briefing(scenes.forecast())
    found = between(calm, calm)
    assert (found.before, found.after, found.worse) == (Severity.GO, Severity.GO, False)
    assert (found.turns, found.hazards, found.moves, found.sights) == ((), (), (), ())
    assert told(found).startswith("None of the weighed conditions changed.")
    assert headline(found, LATER, ZONE) == (
        "GO, the same as at the last check (Sat 13 Jun 06:00, 2 h ago)"
    )


def test_the_hours_that_turned_are_told_in_runs_the_worst_first() -> None:
    found = between(briefing(scenes.forecast()), briefing(windy_from(2)))
    turned = TRIP.start.replace(minute=0) + timedelta(hours=2)
    assert found.turns == (
        SeverityChange(turned, turned + timedelta(hours=3), Severity.GO, Severity.NO_GO),
    )
    assert found.worse
    assert headline(found, LATER, ZONE).startswith("NO-GO, was GO at the last check")
    assert "10:00 to 13:00: GO became NO-GO." in told(found)


def test_the_largest_move_of_a_forecast_is_told_with_its_hour() -> None:
    found = between(briefing(scenes.forecast()), briefing(windy_from(2)))
    wind = next(move for move in found.moves if move.quantity == "wind_speed_high")
    assert (wind.before, wind.after) == pytest.approx((1.5, 9.0))
    assert "Forecast wind at 10:00: up to 20 mph now, up to 3 mph before." in told(found)


def test_a_forecast_that_improved_is_told_as_well() -> None:
    found = between(briefing(windy_from(2)), briefing(scenes.forecast()))
    assert not found.worse
    assert "NO-GO became GO" in told(found)
    assert "Wind too strong: NO-GO became GO." in told(found)


def test_what_is_seen_stands_first_with_what_it_does_to_the_verdict() -> None:
    calm = briefing(scenes.forecast())
    found = between(calm, calm, LaunchObservation(wind="22 mph", from_direction="S"))
    assert found.alone == Severity.GO
    assert found.after == Severity.NO_GO
    assert describe_changes(found, Preferences(), CLOCK)[0] == (
        "You see wind 22 mph (forecast: 3 mph), wind from S (forecast: W). Without that the verdict"
        " would be GO; with it, NO-GO."
    )


def test_what_is_seen_counts_as_news_only_in_its_own_check() -> None:
    calm = briefing(scenes.forecast())
    plan, earlier = add_observation(TRIP, replace(calm, at=NOW), LaunchObservation(wind="5 mph"))
    now = replace(calm, observations=earlier.observations)
    found = find_changes(verdict_on(earlier, plan), verdict_on(now), verdict_on(now), earlier, now)
    assert found.sights == ()


def test_colder_water_than_entered_is_told() -> None:
    calm = briefing(scenes.forecast())
    found = between(calm, calm, LaunchObservation(water_temperature="52 F"))
    assert "Water temperature: 52 °F now, 73 °F before; using the lower." in told(found)


def test_warnings_and_silences_that_came_or_went_are_named() -> None:
    quiet, loud = (
        briefing(scenes.forecast(), silent=["stations"]),
        briefing(scenes.forecast(), [STORM], silent=["buoys"]),
    )
    found = between(quiet, loud)
    assert (found.warned, found.silent, found.speaking) == (
        ("Gale until midnight",),
        ("buoys",),
        ("stations",),
    )
    assert between(loud, quiet).ended == ("Gale until midnight",)


def test_whether_the_forecast_is_a_newer_one_is_told_with_its_age() -> None:
    old = briefing(scenes.forecast())
    assert between(old, old).same_forecast is True
    issued = replace(scenes.FROM_A_FILE, issued=LATER)
    assert between(old, briefing(scenes.forecast(provenance=issued))).same_forecast is False
    none = between(old, Briefing(LATER))
    assert none.same_forecast is None
    assert none.after == Severity.UNKNOWN
    assert "There is no forecast." in told(none)


def test_the_json_holds_the_whole_report_and_what_changed() -> None:
    now = briefing(windy_from(2))
    found = between(briefing(scenes.forecast()), now)
    said = as_json(verdict_on(now), found, Preferences(), "0", 30)
    assert said["verdict"] == said["since"]["after"] == "NO-GO"
    assert said["since"]["before"] == "GO"
    assert said["since"]["hours"][0]["after"] == "NO-GO"
    assert said["since"]["told"] == describe_changes(found, Preferences(), CLOCK)


# -- of verdicts written by hand -------------------------------------------------------------------

GO, MARGINAL, UNKNOWN, NO_GO = Severity
HOUR = timedelta(hours=1)
FIRST = scenes.START


CALM = {
    **{"wind_speed_high": 1.0, "wind_speed_of_gust_high": 2.0},
    "sea_surface_wave_significant_height_high": 0.0,
}


def hours_of(*severities: Severity) -> tuple[HourVerdict, ...]:
    """Return hours of the same calm weather."""
    return by_hand.hours(severities, [CALM] * len(severities))


def written(
    hours: tuple[HourVerdict, ...] = (),
    findings: Sequence[Finding] = (),
    water: float | None = None,
) -> Verdict:
    return by_hand.verdict(hours, findings, scenes.plan(water_temperature=water))


def changes(
    before: Verdict | None = None,
    after: Verdict | None = None,
    stored: Briefing | None = None,
    told: Briefing | None = None,
) -> Changes:
    after, nothing = after or written(), Briefing(NOW)
    return find_changes(before or written(), after, after, stored or nothing, told or nothing)


def test_runs_of_hours_join_only_where_they_touch_and_changed_in_the_same_way() -> None:
    before = written(hours_of(GO, GO, NO_GO, GO, GO, GO, GO))
    after = written(hours_of(MARGINAL, MARGINAL, GO, GO, MARGINAL, NO_GO, MARGINAL))
    assert changes(before, after).turns == (  # the worst first, then the earliest
        SeverityChange(FIRST + 5 * HOUR, FIRST + 6 * HOUR, GO, NO_GO),
        SeverityChange(FIRST, FIRST + 2 * HOUR, GO, MARGINAL),
        SeverityChange(FIRST + 4 * HOUR, FIRST + 5 * HOUR, GO, MARGINAL),
        SeverityChange(FIRST + 6 * HOUR, FIRST + 7 * HOUR, GO, MARGINAL),
        SeverityChange(FIRST + 2 * HOUR, FIRST + 3 * HOUR, NO_GO, GO),
    )


def test_an_hour_that_the_older_check_did_not_weigh_did_not_turn() -> None:
    before = written(hours_of(GO))
    assert changes(before, written(hours_of(GO, NO_GO))).turns == ()


def test_the_hazard_that_got_worse_by_most_comes_first() -> None:
    before = [
        by_hand.finding("wind", UNKNOWN),
        by_hand.finding("fog", NO_GO),
        by_hand.finding("cold", MARGINAL),
    ]
    after = [
        *(
            by_hand.finding("wind", NO_GO),
            by_hand.finding("fog", GO),
            by_hand.finding("cold", MARGINAL),
        ),
        *(by_hand.finding("dark", UNKNOWN), by_hand.finding("thunder", GO)),
    ]
    turned = changes(written(findings=before), written(findings=after)).hazards
    # By two from nothing to UNKNOWN, by one from UNKNOWN to NO-GO, then the one that got better.
    assert [(turn.after.hazard, turn.before) for turn in turned] == [
        ("dark", None),
        ("wind", UNKNOWN),
        ("fog", NO_GO),
    ]


WIND, GUST = "wind_speed_high", "wind_speed_of_gust_high"
WAVES = "sea_surface_wave_significant_height_high"


@pytest.mark.parametrize(
    ("quantity", "then", "least"), [(WIND, 2.0, 1.0), (GUST, 2.0, 1.0), (WAVES, 0.0, 0.05)]
)
def test_a_forecast_that_changed_by_just_the_least_worth_saying_is_told(
    quantity: str, then: float, least: float
) -> None:
    def moved(now: float) -> tuple[ForecastChange, ...]:
        usual = {WIND: 3.0, GUST: 3.0, WAVES: 0.2}
        before, after = (
            written(by_hand.hours([GO], [{**usual, quantity: value}])) for value in (then, now)
        )
        return changes(before, after).moves

    assert moved(then + least) == (ForecastChange(quantity, FIRST, then, then + least),)
    assert moved(then + 0.9 * least) == ()
    assert moved(float("nan")) == ()


def test_of_each_forecast_the_largest_change_is_told_and_rises_come_first() -> None:
    def with_winds(winds: Sequence[float], gusts: Sequence[float]) -> Verdict:
        shown = [
            {WIND: wind, GUST: gust, WAVES: 0.0} for wind, gust in zip(winds, gusts, strict=True)
        ]
        return written(by_hand.hours([GO] * len(winds), shown))

    before, after = with_winds([9.0, 9.0, 4.0], [5, 5, 5]), with_winds([8.0, 6.5, 4.0], [5, 9, 8])
    assert changes(before, after).moves == (
        ForecastChange(GUST, FIRST + HOUR, 5, 9),
        ForecastChange(WIND, FIRST + HOUR, 9.0, 6.5),
    )


def test_only_what_is_seen_now_with_ones_own_eyes_is_a_sight() -> None:
    seen = replace(
        scenes.observation("wind_speed", 8.0, at=FIRST + HOUR / 2),
        station=OWN_EYES,
        provenance=replace(scenes.FROM_A_FILE, recorded=False),
    )
    others = (
        replace(seen, station="a buoy"),
        replace(seen, time=FIRST),
        replace(seen, provenance=scenes.FROM_A_FILE),
    )
    told = Briefing(FIRST + HOUR / 2, observations=(*others, replace(seen, value=9.0)))
    around = by_hand.hours([GO, GO], [{"wind_speed": 3.0}, {"wind_speed": 4.0}])
    [sight] = changes(after=replace(written(), around=around), told=told).sights
    assert (sight.quantity, sight.value, sight.forecast) == ("wind_speed", 9.0, 3.0)
    [sight] = changes(told=told).sights
    assert np.isnan(sight.forecast)


def test_the_age_is_that_of_the_oldest_forecast_and_counts_from_its_run() -> None:
    origin = scenes.FROM_A_FILE
    old = replace(origin, issued=NOW - 5 * HOUR, fetched=NOW)
    new = replace(origin, issued=None, fetched=NOW - 2 * HOUR)
    both = [scenes.forecast(provenance=one) for one in (new, old)]
    assert changes(told=Briefing(NOW, tuple(both))).forecast_age == 5 * HOUR
    assert changes(told=Briefing(NOW, (both[0],))).forecast_age == 2 * HOUR
    assert changes(told=Briefing(NOW)).forecast_age is None


def test_the_forecast_is_the_same_where_no_run_is_new() -> None:
    old, new = (
        scenes.forecast(provenance=replace(scenes.FROM_A_FILE, issued=NOW - hours * HOUR))
        for hours in (8, 2)
    )
    before, nothing = Briefing(NOW, (old, new)), Briefing(NOW)
    assert changes(stored=before, told=before).same_forecast is True
    assert changes(stored=before, told=Briefing(NOW, (old,))).same_forecast is True
    assert changes(stored=Briefing(NOW, (old,)), told=before).same_forecast is False
    assert changes(stored=before, told=nothing).same_forecast is None
    assert changes(stored=nothing, told=before).same_forecast is False


def test_a_warning_without_a_headline_is_named_by_its_event() -> None:
    nameless = replace(STORM, headline="")
    found = changes(stored=Briefing(NOW, alerts=(STORM,)), told=Briefing(NOW, alerts=(nameless,)))
    assert (found.warned, found.ended) == (("Gale Warning",), ("Gale until midnight",))


def test_the_water_is_told_only_where_two_temperatures_differ() -> None:
    def told_of(then: float | None, now: float | None) -> tuple[float, float] | None:
        return changes(written(water=then), written(water=now)).water_temperature

    assert told_of(290.0, 285.0) == (290.0, 285.0)
    assert told_of(290.0, 290.0) is None
    assert told_of(290.0, None) is None
    assert told_of(None, 285.0) is None
