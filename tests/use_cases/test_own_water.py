"""What the user says of moving water becomes data that counts before what the services say."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest

from safety_check.arrays import to_datetime64
from safety_check.errors import PlanError
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentKind,
    CurrentPrediction,
    MovingWater,
    RiverReading,
    TidePrediction,
)
from safety_check.model.plan import Plan
from safety_check.model.weather import OWN_EYES, Briefing, Provenance, SourceFailure
from safety_check.use_cases.own_water import OWN, add_own_water, keep_own_water
from safety_check.use_cases.plan_request import PlanRequest
from tests import afloat, scenes

TRIP = afloat.plan(afloat.ESTUARY)
RIVER = afloat.plan(afloat.TAILWATER)
KNOT = 1852 / 3600
QUARTER = timedelta(hours=12.42) / 4  # of the principal lunar period: from slack to full speed
FULL: Any = pytest.approx(2 * KNOT)
SPEED, HEIGHT = "sea_water_speed", "water_surface_height_above_reference_datum"
SLACK, EBB, FLOOD = CurrentKind.SLACK, CurrentKind.EBB, CurrentKind.FLOOD


def at(hour: int, minute: int = 0) -> datetime:
    """Return a time on the day of the trip, said in Chicago."""
    return datetime(2026, 6, 13, hour, minute, tzinfo=UTC) + timedelta(hours=5)


def added(
    told: MovingWater | None = None, trip: Plan = TRIP, failure: SourceFailure | None = None,
    **said: Any,
) -> Briefing:  # fmt: skip
    silences = () if failure is None else (failure,)
    briefing = replace(scenes.briefing(), moving=told, silences=silences)
    return add_own_water(briefing, PlanRequest(**said), trip)


def moving(told: MovingWater | None = None, trip: Plan = TRIP, **said: Any) -> MovingWater:
    found = added(told, trip, **said).moving
    assert found is not None
    return found


def of_the_user(prediction: CurrentPrediction | TidePrediction | RiverReading) -> bool:
    seen = Provenance(OWN_EYES, "", "", scenes.NOW, scenes.NOW, recorded=False)
    return (prediction.station, prediction.provenance) == (OWN, seen)


def test_a_briefing_stays_as_it_is_where_nothing_is_said() -> None:
    told = afloat.tidal()
    assert moving(told) is told


@pytest.mark.parametrize("said", ["current", "high_water", "gauge", "release"])
def test_on_still_water_the_entry_is_refused_and_named(said: str) -> None:
    with pytest.raises(PlanError, match="Invented Lake is not said to") as told:
        added(None, scenes.plan(), None, **{said: "none"})
    assert told.value.field == said
    assert 'water set "Invented Lake" --kind tidal' in told.value.remedy


def test_a_current_that_does_not_turn_runs_from_two_days_before_to_two_days_after() -> None:
    entered = moving(trip=RIVER, current="2 kt to E").entered
    assert entered is not None
    first, last = RIVER.start - timedelta(days=2), RIVER.end + timedelta(days=2)
    assert entered.time.tolist() == [to_datetime64(one).item() for one in (first, last)]
    assert entered.east == pytest.approx(np.full(2, 2 * KNOT))
    assert entered.north == pytest.approx(np.zeros(2), abs=1e-12)


def test_a_weak_current_from_the_south_east_flows_north_west() -> None:
    entered = moving(trip=RIVER, current="0.5 m/s from SE").entered
    assert entered is not None
    part = np.full(2, 0.5 / 2**0.5)
    assert entered.east == pytest.approx(-part)
    assert entered.north == pytest.approx(part)


@pytest.mark.parametrize("said", ["none", "0 kt from N, slack 09:20", "0.5 kt from N"])
def test_only_no_current_is_still(said: str) -> None:
    entered = moving(trip=RIVER, current=said).entered
    assert entered is not None
    speed = np.hypot(entered.east, entered.north)
    assert speed == pytest.approx(np.full(2, 0.5 * KNOT if "0.5" in said else 0.0))


def test_a_current_turns_at_each_slack_and_is_strongest_half_way_between_them() -> None:
    current = moving(current="ebb 2 kt to SW, slack 06:00, slack 13:00").currents[0]
    assert current.events == (
        CurrentEvent(at(6) - 2 * QUARTER, EBB, FULL),
        CurrentEvent(at(6) - QUARTER, EBB, FULL),
        CurrentEvent(at(6), SLACK, 0.0),
        CurrentEvent(at(9, 30), FLOOD, FULL),
        CurrentEvent(at(13), SLACK, 0.0),
        CurrentEvent(at(13) + QUARTER, EBB, FULL),
        CurrentEvent(at(13) + 2 * QUARTER, EBB, FULL),
    )
    assert of_the_user(current)


@pytest.mark.parametrize(
    ("said", "flood", "ebb"),
    [("ebb 2 kt to SW", 45.0, 225.0), ("flood 2 kt to NE", 45.0, 225.0),
     ("flood 2 kt to SW", 225.0, 45.0)],
)  # fmt: skip
def test_flood_and_ebb_flow_opposite_ways(said: str, flood: float, ebb: float) -> None:
    current = moving(current=f"{said}, slack 09:20").currents[0]
    assert (current.flood_towards, current.ebb_towards) == (flood, ebb)
    assert not current.station.official


def test_a_named_current_counts_before_the_services_and_replaces_an_unnamed_one() -> None:
    service = afloat.tidal(0.5)
    unnamed = moving(service, current="1 kt to N, slack 12:00")
    assert unnamed.entered is not None
    assert unnamed.currents == service.currents
    named = moving(unnamed, current="ebb 1 kt to N, slack 12:00")
    assert named.entered is None
    assert of_the_user(named.currents[0])
    assert named.currents[1:] == service.currents
    again = moving(named, current="flood 1 kt to N, slack 12:00")
    assert again.currents[1:] == service.currents
    for other in ("none", "1 kt to N, slack 12:00"):
        assert moving(named, current=other).currents == service.currents


def test_an_unnamed_current_flows_as_said_until_its_slack_and_back_after_it() -> None:
    entered = moving(current="1 kt to N, slack 12:00").entered
    assert entered is not None
    assert entered.time[[0, -1]].tolist() == [
        to_datetime64(at(12) + side * 2 * QUARTER).item() for side in (-1, 1)
    ]
    assert entered.north[[0, -1]] == pytest.approx([KNOT, -KNOT])


def test_high_and_low_water_of_the_user_come_first_and_replace_earlier_ones() -> None:
    service = afloat.tidal()
    once = moving(service, high_water="08:10 2 m")
    both = moving(once, high_water="08:10 2 m, low 14:20 0.4 m")
    assert both.tides[1:] == service.tides
    own = both.tides[0]
    assert of_the_user(own)
    assert own.datum == "your tide table"
    found = [(one.time, one.height, one.high) for one in own.events]
    assert found == [(at(8, 10), 2.0, True), (at(14, 20), 0.4, False)]


def test_a_gauge_is_read_at_the_time_of_the_check_and_comes_first() -> None:
    service = afloat.flowing()
    once = moving(service, RIVER, gauge="1.2 m, 30 m3/s, rising")
    assert once.rivers[1:] == service.rivers
    own = once.rivers[0]
    assert of_the_user(own)
    assert (own.time, own.stage, own.discharge) == (scenes.NOW, 1.2, 30.0)
    assert own.rise > 0
    assert moving(once, RIVER, gauge="1.3 m").rivers[1:] == service.rivers


def test_releases_are_what_the_user_said_last() -> None:
    once = moving(None, RIVER, release="16:00, 10:00")
    assert once.releases == (at(10), at(16))
    assert moving(once, RIVER, release="none").releases == ()
    assert moving(once, RIVER, gauge="1.2 m").releases == once.releases


@pytest.mark.parametrize(
    ("said", "wanted", "counts"),
    [
        ({"current": "none"}, (SPEED,), False),
        ({"high_water": "08:10"}, (HEIGHT,), False),
        ({"high_water": "08:10"}, (SPEED,), True),
        ({"current": "none"}, (SPEED, HEIGHT), True),
        ({"current": "none", "high_water": "08:10"}, (SPEED, HEIGHT), False),
        ({"current": "none", "high_water": "08:10"}, (SPEED, "alerts"), True),
        ({"current": "none"}, (), True),
        ({"gauge": "1.2 m"}, (SPEED,), True),
    ],
)
def test_a_silent_service_costs_nothing_where_the_user_says_all_that_it_left_unknown(
    said: dict[str, Any], wanted: tuple[str, ...], counts: bool
) -> None:
    failure = SourceFailure("a service", "It did not answer.", wanted)
    assert added(None, TRIP, failure, **said).silences == (replace(failure, applies=counts),)


# -- in a check again ----------------------------------------------------------------------------


def test_of_two_briefings_the_one_that_says_anything_counts() -> None:
    said = afloat.tidal()
    assert keep_own_water(None, said) is said
    assert keep_own_water(said, None) is said
    assert keep_own_water(None, None) is None


def test_what_services_say_now_replaces_what_they_said_before() -> None:
    before, now = (
        MovingWater(
            (afloat.tides(high),), (afloat.currents(high),), (afloat.hint(high),),
            (afloat.river(stage=high),), releases=(at(10),),
        )
        for high in (1.0, 2.0)
    )  # fmt: skip
    assert keep_own_water(now, before) is not before
    assert keep_own_water(now, before) == now
    assert keep_own_water(MovingWater(), before) == before
    nothing_released = replace(now, releases=())
    assert keep_own_water(nothing_released, before) == nothing_released


def test_what_the_user_entered_before_comes_before_what_services_say_now() -> None:
    before = moving(None, TRIP, current="ebb 1 kt to N, slack 12:00", high_water="08:10 2 m")
    now = afloat.tidal()
    kept = keep_own_water(now, before)
    assert kept is not None
    assert kept.currents == before.currents + now.currents
    assert kept.tides == before.tides + now.tides


def test_a_current_that_the_user_says_now_replaces_the_earlier_one_of_either_form() -> None:
    named = moving(current="ebb 1 kt to N, slack 12:00")
    steady = moving(current="1 kt to N, slack 12:00")
    assert keep_own_water(named, steady) == named
    assert keep_own_water(steady, named) == steady


def test_a_tide_that_the_user_says_now_replaces_the_earlier_one() -> None:
    before, now = (moving(high_water=said) for said in ("08:10 2 m", "09:10 2 m"))
    kept = keep_own_water(now, before)
    assert kept is not None
    assert kept.tides == now.tides
