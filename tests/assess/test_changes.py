"""What changed since the last check: hours, hazards, forecasts, warnings, and who was silent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from safety_check.assess.changes import find_changes
from safety_check.model.changes import Changes, SeverityChange
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Alert, Briefing, Forecast, SourceFailure
from safety_check.report.changes import as_json, describe_changes, headline
from safety_check.units import Preferences
from safety_check.use_cases.launch_observation import LaunchObservation
from safety_check.use_cases.observed import add_observation
from tests import scenes

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
