"""A request becomes the plan that was meant, or is refused with the part that was wrong."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
import pytest

from safety_check.errors import PlanError
from safety_check.model.craft import Paddler
from safety_check.model.place import FetchTable
from safety_check.model.plan import Plan
from safety_check.settings.user_file import PaddlerTable
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan_on, require_sound_plan, water_temperature
from tests import scenes

NOW = datetime(2026, 6, 12, 22, tzinfo=UTC)  # Friday, five in the afternoon at the water
POND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
ASKED = PlanRequest(craft="canoe", start="2026-06-13 10:00", hours="4")
MILE = 1609.344  # m


def planned(**said: Any) -> Plan:
    return make_plan_on(POND, replace(ASKED, **said), scenes.settings(), NOW)[0]


def refused(**said: Any) -> PlanError:
    with pytest.raises(PlanError) as told:
        planned(**said)
    return told.value


def test_a_plan_is_what_was_asked_for() -> None:
    plan = planned()
    assert (plan.start, plan.end) == (
        datetime(2026, 6, 13, 15, tzinfo=UTC), datetime(2026, 6, 13, 19, tzinfo=UTC),
    )  # fmt: skip
    assert (plan.launch.name, plan.craft.name, plan.night) == ("ramp", "canoe", False)
    assert (plan.water_temperature, plan.from_shore) == (None, math.inf)


def test_a_reach_that_was_not_said_is_a_mile_and_says_so() -> None:
    assert (planned().reach, planned().reach_assumed) == (MILE, True)
    assert (planned(reach="2 km").reach, planned(reach="2 km").reach_assumed) == (2000.0, False)


@pytest.mark.parametrize(("reach", "sound"), [("0 m", False), ("1 m", True), ("50 km", True),
                                              ("50.1 km", False)])  # fmt: skip
def test_a_reach_is_more_than_nothing_and_at_most_fifty_kilometres(reach: str, sound: bool) -> None:
    if sound:
        assert planned(reach=reach).reach > 0
    else:
        assert "reach" in str(refused(reach=reach)).casefold()


def test_the_time_of_the_check_may_be_another() -> None:
    asked = replace(ASKED, as_of="2026-06-12 20:30")
    assert make_plan_on(POND, asked, scenes.settings(), NOW)[1] == NOW + timedelta(hours=3.5)
    assert make_plan_on(POND, ASKED, scenes.settings(), NOW)[1] == NOW


def test_a_start_is_needed() -> None:
    assert refused(start=None).field == "--start"


@pytest.mark.parametrize(
    ("said", "hours"),
    [
        ({"hours": None, "end": "14:00"}, 4.0),
        ({"hours": "4", "end": "14:00"}, 4.0),  # both say the same
        ({"hours": None, "end": "2026-06-13 14:30"}, 4.5),
        ({"hours": None, "end": "09:00"}, 23.0),  # the next morning
    ],
)
def test_an_end_is_a_time_after_the_start(said: dict[str, Any], hours: float) -> None:
    assert planned(**said).end - planned().start == timedelta(hours=hours)


@pytest.mark.parametrize(("end", "agrees"), [("13:59", False), ("14:00", True), ("14:01", False)])
def test_an_end_and_a_length_that_differ_by_a_minute_are_refused(end: str, agrees: bool) -> None:
    if agrees:
        assert planned(end=end).end == planned().end
    else:
        refused(end=end)


@pytest.mark.parametrize(
    ("text", "kelvin"), [(None, None), ("-2 C", 271.15), ("40 C", 313.15), ("50 F", 283.15)]
)
def test_a_temperature_that_open_water_can_have_is_read(
    text: str | None, kelvin: float | None
) -> None:
    assert water_temperature(text) == (None if kelvin is None else pytest.approx(kelvin))


@pytest.mark.parametrize("text", ["-2.1 C", "40.1 C", "58 C", "20 F", "nan C"])
def test_a_temperature_that_no_open_water_has_is_refused(text: str) -> None:
    with pytest.raises(PlanError):
        water_temperature(text)


def test_what_the_paddler_says_for_this_trip_counts_before_what_is_declared() -> None:
    made = scenes.settings()
    table = PaddlerTable(life_jacket="worn", wearing="none", company="group", light=True)
    mine = replace(made, user=made.user.model_copy(update={"paddler": table}))
    asked = replace(ASKED, wearing="wetsuit", light=False)
    paddler = make_plan_on(POND, asked, mine, NOW)[0].paddler
    assert paddler == Paddler("worn", "wetsuit", "group", light=False)


# -- a plan that can be checked ------------------------------------------------------------------

TRIP = scenes.plan()
SECOND = timedelta(seconds=1)


@pytest.mark.parametrize(
    ("hours", "sound"),
    [(timedelta(), False), (SECOND, True), (timedelta(hours=48), True),
     (timedelta(hours=48) + SECOND, False), (-SECOND, False)],
)  # fmt: skip
def test_a_trip_lasts_more_than_nothing_and_at_most_two_days(hours: timedelta, sound: bool) -> None:
    plan = replace(TRIP, end=TRIP.start + hours)
    if sound:
        require_sound_plan(plan, NOW)
        return
    with pytest.raises(PlanError) as told:
        require_sound_plan(plan, NOW)
    assert told.value.field == "--hours"


def test_a_trip_that_began_an_hour_ago_may_still_be_checked() -> None:
    late = TRIP.start + timedelta(hours=1)
    require_sound_plan(TRIP, late)
    with pytest.raises(PlanError, match="is in the past") as told:
        require_sound_plan(TRIP, late + SECOND)
    assert told.value.field == "--start"


# -- a route, and what is missing or unknown -----------------------------------------------------


def test_of_a_route_the_farthest_point_is_the_reach() -> None:
    shore = np.array([[-99.7, 44.8], [-99.5, 44.8], [-99.5, 45.0], [-99.7, 45.0], [-99.7, 44.8]])
    lake = replace(POND, fetch_table=None, shoreline=(shore,))
    asked = replace(ASKED, route="44.91,-99.6; 44.905,-99.6")
    plan = make_plan_on(lake, asked, scenes.settings(), NOW)[0]
    assert plan.route is not None
    assert plan.route.tolist() == [[-99.6, 44.91], [-99.6, 44.905]]
    assert plan.reach == pytest.approx(0.01 * 111_132, rel=1e-3)  # m in a degree at 45°
    assert not plan.reach_assumed
    for also in ({"reach": "1 mi"}, {"from_shore": "100 m"}):
        words: dict[str, Any] = {"route": asked.route, **also}
        with pytest.raises(PlanError, match="already says where the trip goes") as told:
            make_plan_on(lake, replace(ASKED, **words), scenes.settings(), NOW)
        assert told.value.field == "--route"


def test_a_distance_from_the_shore_is_kept() -> None:
    assert planned(from_shore="100 m").from_shore == 100.0


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"hours": None}, "--hours"),
        ({"hours": "4", "end": "20:00"}, "--hours"),
        ({"reach": "51 km"}, "--reach"),
        ({"water_temperature": "58 C"}, "--water-temp"),
        ({"launch": "pier"}, None),
        ({"wearing": "shorts"}, None),
    ],
)
def test_what_is_missing_or_wrong_is_named(said: dict[str, Any], field: str | None) -> None:
    told = refused(**said)
    assert field is None or told.field == field
