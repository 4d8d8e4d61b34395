"""A reported trip: the check it followed, when it ended, and what was met."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from safety_check.conditions.case import Case
from safety_check.errors import PlanError
from safety_check.model.place import FetchTable
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import OddsTable, UserSettings
from safety_check.store.store import Store
from safety_check.use_cases.launch_observation import WATER
from safety_check.use_cases.record import judge_and_store
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trip_log import TripReport, log_trip
from safety_check.use_cases.trust import load_trust
from safety_check.waters import files
from tests import scenes

ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
PLAN = replace(scenes.plan(hours=2), water=ROUND)
CLOCK = PLAN.end + timedelta(hours=6)
ZONE = ZoneInfo(ROUND.time_zone)


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    found = Settings(
        Folders(tmp_path, tmp_path / "data", tmp_path / "cache"),
        UserSettings(odds=OddsTable(dressing=False)),
    )
    files.save(ROUND, found.folders.waters)
    return found


@pytest.fixture
def store(own: Settings) -> Iterator[Store]:
    """Return a history with a check of the plan."""
    case = Case(PLAN, scenes.briefing(), scenes.POND, own, load_trust())
    judge_and_store(case, load_rulebook())
    with Store.open(own.folders.data) as found:
        yield found


def local(moment: datetime) -> str:
    return f"{moment.astimezone(ZONE):%Y-%m-%d %H:%M}"


def logged(store: Store, own: Settings, clock: datetime = CLOCK, **told: Any) -> Any:
    return log_trip(TripReport(**told), store, own, clock)


# -- which trip ----------------------------------------------------------------------------------


def test_a_trip_takes_what_was_not_said_from_the_check_it_followed(
    store: Store, own: Settings
) -> None:
    trip = logged(store, own)
    (check,) = store.checks(1)
    assert (trip.water, trip.launch, trip.craft) == ("Invented Lake", "ramp", "sit-on-top-kayak")
    assert (trip.start, trip.check, trip.time_zone) == (PLAN.start, check.id, ROUND.time_zone)
    assert [one.id for one in store.trips()] == [trip.id]


@pytest.mark.parametrize(
    ("minutes", "follows"), [(-181, False), (-180, True), (0, True), (180, True), (181, False)]
)
def test_a_trip_that_began_within_three_hours_of_a_plan_followed_its_check(
    store: Store, own: Settings, minutes: int, follows: bool
) -> None:
    began = PLAN.start + timedelta(minutes=minutes)
    trip = logged(store, own, water="invented lake", began=local(began), craft="canoe")
    assert trip.start == began
    assert (trip.check is not None) is follows
    assert trip.water == "Invented Lake"


def test_a_check_of_a_trip_that_has_not_begun_is_not_the_one_that_was_followed(
    store: Store, own: Settings
) -> None:
    assert logged(store, own, clock=PLAN.start).check is not None
    early = PLAN.start - timedelta(seconds=1)
    with pytest.raises(PlanError, match="No check of a trip that has begun was found"):
        logged(store, own, clock=early)


def test_a_check_can_be_named_and_another_number_is_refused(store: Store, own: Settings) -> None:
    (check,) = store.checks(1)
    assert logged(store, own, check=check.id).check == check.id
    with pytest.raises(PlanError, match="7: no such check among the last 50"):
        logged(store, own, check=7)


@pytest.mark.parametrize("told", [{"water": "Invented Lake"}, {"began": "2026-06-01 10:00"}])
def test_without_a_check_both_water_and_time_are_needed(own: Settings, told: Any) -> None:
    with Store.open(own.folders.data) as empty:
        with pytest.raises(PlanError, match="so give the water and the"):
            logged(empty, own, **told)
        trip = logged(empty, own, water="Invented Lake", began=local(PLAN.start), craft="canoe")
    assert (trip.check, trip.start, trip.craft) == (None, PLAN.start, "canoe")


# -- when it ended -------------------------------------------------------------------------------


@pytest.mark.parametrize(("minutes", "fine"), [(0, False), (1, True), (-1, False)])
def test_a_trip_ends_after_it_began(store: Store, own: Settings, minutes: int, fine: bool) -> None:
    ended = PLAN.start + timedelta(minutes=minutes)
    if fine:
        assert logged(store, own, ended=local(ended)).ended == ended
    else:
        with pytest.raises(PlanError, match="hours after the start") as told:
            logged(store, own, ended=local(ended))
        assert told.value.field == "--ended"


def test_a_trip_that_was_called_off_did_not_end(store: Store, own: Settings) -> None:
    trip = logged(store, own, went=False, ended=local(PLAN.end))
    assert (trip.went, trip.ended) == (False, None)


# -- what was met --------------------------------------------------------------------------------


def test_of_a_range_the_upper_end_counts_and_the_lower_is_kept(store: Store, own: Settings) -> None:
    trip = logged(
        store, own, wind="3 to 5 m/s", gust="6-8 m/s", waves="0.2 to 0.4 m", wind_from="NW"
    )
    assert (trip.wind_speed, trip.wind_speed_least) == (5.0, 3.0)
    assert (trip.wind_speed_of_gust, trip.wind_speed_of_gust_least) == (8.0, 6.0)
    assert (trip.wave_height, trip.wave_height_least) == (0.4, 0.2)
    assert trip.wind_from_direction == 315.0


def test_one_value_has_no_lower_end_and_what_was_not_said_is_unknown(
    store: Store, own: Settings
) -> None:
    trip = logged(store, own, wind="5 m/s", gust="8 m/s")
    assert (trip.wind_speed, trip.wind_speed_of_gust) == (5.0, 8.0)
    unknown = (
        trip.wind_speed_least,
        trip.wind_speed_of_gust_least,
        trip.wave_height,
        trip.water_temperature,
        trip.wind_from_direction,
    )
    assert all(math.isnan(value) for value in unknown)
    assert store.observations("Invented Lake", None, WATER, PLAN.start) == ()


def test_a_measured_temperature_of_the_water_is_remembered(store: Store, own: Settings) -> None:
    trip = logged(store, own, water_temperature="50 F", comfort="4")
    assert trip.water_temperature == pytest.approx(283.15)
    assert trip.comfort == 4
    (kept,) = store.observations("Invented Lake", "ramp", WATER, PLAN.start)
    assert (kept.value, kept.time) == (trip.water_temperature, trip.start)
