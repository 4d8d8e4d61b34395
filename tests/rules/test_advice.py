"""What stands beside a verdict: when to leave, when to be home, trolling, drifting, a swim."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from functools import cache
from typing import Any

import numpy as np
import pytest

from safety_check.conditions.case import Case
from safety_check.model.advice import Advice, Fishing, GettingHome
from safety_check.model.craft import Paddler
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.weather import Forecast
from safety_check.physics.trolling import effort_to_hold
from safety_check.rules.advice import build_advice, in_the_water, wear_for
from safety_check.rules.limits import choose_limits
from safety_check.rules.weighed_hours import WeighedHours
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.limits import load_default_limits
from safety_check.settings.propulsion import derive_drive
from safety_check.use_cases.rulebook import load_rulebook
from tests import scenes
from tests.rules import weighed_by_hand as by_hand
from tests.rules.weighed_by_hand import start_of

RULES = load_rulebook()
GO, MARGINAL, UNKNOWN, NO_GO = Severity
HOUR = timedelta(hours=1)
CRUISE = 1.25  # m/s, of the sit-on-top kayak
REACH = 1609.344  # m
WIND, THUNDER = "wind_too_strong", "thunderstorm"


def case(given: Forecast | None = None, trip: Plan | None = None) -> Case:
    told = scenes.briefing(given)
    water, trust = scenes.LARGE_LAKE, scenes.load_trust()
    return Case(trip or scenes.plan(), told, water, scenes.settings(), trust)


@cache
def calm() -> tuple[Case, WeighedHours]:
    """Return five hours from 10:00 at the water and the half hour after them, without wind."""
    made = case(scenes.forecast({"wind_speed": 0.0}))
    return made, scenes.weighed(made)


def advised(made: Case, hours: WeighedHours, **asked: Any) -> Advice:
    """Return the advice, for the trip that was weighed if no other is asked for."""
    trip, best = asked.get("trip", hours.trip), asked.get("best", GO)
    return build_advice(made, hours, trip, best, RULES)


def of_hours(*hazards: tuple[str, str], **asked: Any) -> Advice:
    """Return the advice in calm hours that hazards make worse, as "GGMGNG"."""
    made, hours = calm()
    found = [by_hand.weighed(name, levels) for name, levels in hazards]
    weighing = by_hand.weighing(hours.conditions.time, np.ones(1), *found)
    return advised(made, replace(hours, weighing=weighing), **asked)


# -- off the water by ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wind", "thunder", "first", "worse", "because"),
    [
        ("GGMGNG", "GGGGGG", 2, "MARGINAL", (WIND,)),
        ("GNGGGG", "GGGGGG", 1, "NO-GO", (WIND,)),
        ("GUGGGG", "GMGGGG", 1, "UNKNOWN", (WIND,)),
        ("GMGGGG", "GMGGGG", 1, "MARGINAL", (WIND, THUNDER)),
        ("GMGGGG", "GNGGGG", 1, "NO-GO", (THUNDER,)),
        ("MGMNGG", "GGGGGG", 3, "NO-GO", (WIND,)),
        ("GGGGGN", "GGGGGG", 5, "NO-GO", (WIND,)),
    ],
)
def test_one_is_off_the_water_by_the_first_hour_that_is_worse_than_the_launch(
    wind: str, thunder: str, first: int, worse: str, because: tuple[str, ...]
) -> None:
    found = of_hours((WIND, wind), (THUNDER, thunder))
    assert found.off_the_water_by == start_of(first)
    assert (found.worse, found.because) == (worse, because)


def test_where_no_hour_is_worse_than_the_launch_there_is_none_to_be_off_by() -> None:
    found = of_hours((WIND, "NMGUNN"))
    assert (found.off_the_water_by, found.worse, found.because) == (None, "", ())


def test_hours_before_the_launch_do_not_count() -> None:
    found = of_hours((WIND, "NNGGMG"), trip=np.array([2, 3]))
    assert (found.off_the_water_by, found.worse) == (start_of(4), "MARGINAL")


def test_an_hour_no_worse_than_a_missing_source_makes_them_all_is_no_reason() -> None:
    found = of_hours((WIND, "GMGNGG"), best=MARGINAL)
    assert (found.off_the_water_by, found.worse) == (start_of(3), "NO-GO")


def test_a_way_home_into_worse_hours_does_not_make_an_hour_worse_by_itself() -> None:
    found = of_hours((WIND, "GGGNGG"), ("worse_before_home", "GMGGGG"))
    assert found.off_the_water_by == start_of(3)


# -- home by ---------------------------------------------------------------------------------------


def home_by(
    left: list[float], paddler: Paddler, night: bool = False, end: float = 5.0, wind: str = "GGGGGG"
) -> tuple[str, str]:
    """Return when to be home, in UTC, and for what, by the light left at the end of each hour."""
    made, hours = calm()
    plan = replace(made.plan, paddler=paddler, night=night, end=start_of(0) + end * HOUR)
    limits = choose_limits(plan.craft, paddler, load_default_limits(), (), night)
    light = np.array([[*left, *[np.nan] * (6 - len(left))]])
    quantities = {
        **hours.conditions.quantities,
        "time_to_dark": light,
        "time_to_dusk": light + 1800.0,  # twilight of half an hour
    }
    conditions = replace(hours.conditions, quantities=quantities)
    weighing = by_hand.weighing(conditions.time, np.ones(1), by_hand.weighed(WIND, wind))
    context = replace(hours.context, limits=limits)
    changed = replace(hours, conditions=conditions, weighing=weighing, context=context)
    home = advised(replace(made, plan=plan), changed).getting_home
    return f"{home.home_by:%H:%M}", home.home_by_for


NO_LIGHT, LIGHT = replace(scenes.READY, light=False), scenes.READY
UNDECLARED = replace(scenes.READY, light=None)


# The trip is 15:00 to 20:00 UTC. Without a light one is home half an hour before sunset, with one
# by the end of civil twilight (limits.toml).
@pytest.mark.parametrize(
    ("left", "paddler", "home"),
    [
        ([4800.0, 1200.0], NO_LIGHT, ("16:50", "dark")),  # sunset 17:20
        ([np.nan, 1200.0], NO_LIGHT, ("16:50", "dark")),
        ([np.inf, 4800.0], NO_LIGHT, ("17:50", "dark")),
        ([1200.0], NO_LIGHT, ("15:50", "dark")),
        ([1200.0], LIGHT, ("16:50", "dark")),
        ([1200.0], UNDECLARED, ("16:20", "dark")),  # no margin is known
        ([-1200.0, -4800.0], NO_LIGHT, ("15:10", "dark")),  # sunset 15:40, within the first hour
        ([-3600.0, -7200.0], NO_LIGHT, ("20:00", "end")),  # it is dark at the launch
        ([-30_000.0, 1200.0], NO_LIGHT, ("16:50", "dark")),  # a launch before dawn
        ([18_000.0], NO_LIGHT, ("20:00", "end")),
        ([15_600.0], NO_LIGHT, ("19:50", "dark")),  # sunset 20:20
        ([np.inf] * 6, NO_LIGHT, ("20:00", "end")),
        ([np.nan] * 6, NO_LIGHT, ("20:00", "end")),
    ],
)
def test_one_is_home_before_the_dark_or_by_the_end_of_the_plan(
    left: list[float], paddler: Paddler, home: tuple[str, str]
) -> None:
    assert home_by(left, paddler) == home


def test_light_is_counted_from_the_end_of_a_plan_that_ends_within_the_hour() -> None:
    # Home at 15:30; the sun sets 25 minutes later.
    assert home_by([1500.0], NO_LIGHT, end=0.5) == ("15:25", "dark")


def test_a_trip_planned_for_the_dark_with_a_light_has_no_dusk_to_be_home_by() -> None:
    assert home_by([1200.0], LIGHT, night=True) == ("20:00", "end")


def test_worse_weather_counts_where_it_comes_first() -> None:
    assert home_by([1200.0], NO_LIGHT, wind="GGGNGG") == ("15:50", "dark")
    assert home_by([18_000.0], NO_LIGHT, wind="GGGNGG") == ("18:00", "worse")
    assert home_by([18_000.0], NO_LIGHT, wind="GGGGGN") == ("20:00", "end")


# -- the way home ----------------------------------------------------------------------------------


def test_without_wind_home_is_as_far_as_the_reach_at_the_cruise_speed() -> None:
    home = advised(*calm()).getting_home
    assert home.calm == pytest.approx(REACH / CRUISE, rel=1e-5)  # speeds to a millionth of a m/s
    assert home.time == pytest.approx(home.calm, rel=1e-5)
    # Without wind power grows with the cube of the speed, and a hard hour has 2.5 times a cruise's.
    assert home.hard == pytest.approx(home.calm / 2.5 ** (1 / 3), rel=1e-5)
    assert np.hypot(*home.place) == pytest.approx(REACH)
    (leg,) = home.legs
    assert leg.length == pytest.approx(REACH)
    assert leg.speed == pytest.approx(CRUISE, abs=1e-5)
    assert not home.route
    assert home.turn_back is not None
    turned = (start_of(5) - home.turn_back).total_seconds()
    assert turned == pytest.approx(home.time, rel=1e-5)


def with_pace(seconds: float, lasts: float, stuck: int | None = None) -> GettingHome:
    """Return the way home where it takes some seconds from every hour, on a trip that lasts.

    In the stuck hour there is no headway.
    """
    made, hours = calm()
    conditions = hours.conditions
    pace = np.full((1, len(conditions.time) + 1, 1), 1 / seconds)
    if stuck is not None:
        pace[0, stuck] = 0.0
    way = replace(
        conditions.way, paces=(pace,), times=(np.full((1, len(conditions.time)), seconds),)
    )
    plan = replace(made.plan, end=made.plan.start + timedelta(seconds=lasts))
    changed = replace(hours, conditions=replace(conditions, way=way))
    return advised(replace(made, plan=plan), changed).getting_home


def test_one_can_turn_back_at_the_launch_but_not_before_it() -> None:
    assert with_pace(4096.0, 4096.0).turn_back == scenes.START
    assert with_pace(4096.0, 4095.0).turn_back is None
    assert with_pace(4096.0, 5000.0).turn_back == scenes.START + timedelta(seconds=904)


def test_without_headway_in_the_first_hour_there_is_no_time_to_turn_back() -> None:
    assert with_pace(4096.0, 9000.0, stuck=0).turn_back is None
    late = with_pace(4096.0, 18_000.0, stuck=4).turn_back
    assert late is not None
    assert late <= start_of(4) - timedelta(seconds=4096)  # home before the hour without headway


def blown(*winds: float) -> tuple[Case, WeighedHours]:
    """Return hours whose wind [m/s] changes; after the last one named it is calm."""
    made = scenes.forecast({"wind_speed": 0.0, "wind_from_direction": 0.0})
    start = int(np.flatnonzero(made.time == np.datetime64("2026-06-13T15"))[0])
    made.quantities["wind_speed"][0, start : start + len(winds)] = winds
    windy = case(made)
    return windy, scenes.weighed(windy)


def test_a_leg_has_the_speed_of_its_slowest_hour_on_the_trip() -> None:
    made, hours = blown(0.0, 0.0, 6.0, 0.0, 0.0, 0.0, 12.0)
    with_wind, before_it = (
        advised(made, hours, trip=np.array(trip)).getting_home.legs[0].speed
        for trip in ([0, 1, 2, 3, 4], [3, 4])
    )
    assert before_it == pytest.approx(CRUISE, abs=1e-5)  # the wind of no other hour counts
    assert with_wind < 0.9 * CRUISE


def test_the_longest_way_home_is_told_from_the_hour_in_which_it_takes_longest() -> None:
    home = advised(*blown(0.0, 0.0, 0.0, 6.0, 0.0, 0.0)).getting_home
    assert home.hour in (start_of(2), start_of(3))  # those that the wind at 13:00 belongs to
    assert home.time > home.calm


# -- trolling --------------------------------------------------------------------------------------


def fishing(wind: float, slow: float, fast: float, kind: str = "sit-on-top-kayak") -> Fishing:
    made, hours = calm()
    conditions = hours.conditions
    quantities = {**conditions.quantities, "wind_speed": np.full((1, 6), wind)}
    craft = replace(scenes.settings().craft(kind), troll=(slow, fast))
    way = replace(conditions.way, drive=derive_drive(craft))
    changed = replace(hours, conditions=replace(conditions, quantities=quantities, way=way))
    return advised(replace(made, plan=replace(made.plan, craft=craft)), changed).fishing


# Without wind the effort is the cube of the speed over the cruise speed; a hard hour has 2.5 times
# the power of a cruise, so up to 1.36 times its speed.
@pytest.mark.parametrize(
    ("fast", "works"),
    [
        (0.99 * CRUISE, "easy"),
        (1.01 * CRUISE, "hard"),
        (1.25 * CRUISE, "hard"),
        (1.35 * CRUISE, "hard"),
        (1.37 * CRUISE, "no"),
    ],
)
def test_without_wind_trolling_is_as_hard_on_every_heading(fast: float, works: str) -> None:
    found = fishing(0.0, 0.5 * CRUISE, fast)
    assert [one.heading for one in found.passes] == ["up", "across", "down"]
    for one in found.passes:
        assert one.works == (works,) * 6
        assert one.effort == pytest.approx((fast / CRUISE) ** 3)
    assert (found.slow, found.fast) == (0.5 * CRUISE, fast)
    assert found.time.tolist() == calm()[1].conditions.time.tolist()


@pytest.mark.parametrize("kind", sorted(load_craft_classes()))
def test_trolling_at_the_cruise_speed_is_easy_without_wind(kind: str) -> None:
    speed = scenes.settings().craft(kind).cruise_speed
    for one in fishing(0.0, 0.5 * speed, speed, kind).passes:
        assert set(one.works) == {"easy"}


def test_the_headings_of_trolling_are_into_the_wind_across_it_and_before_it() -> None:
    found, drive = fishing(5.0, 0.4, 0.8), calm()[1].conditions.way.drive
    for one, course in zip(found.passes, (0.0, 90.0, 180.0), strict=True):
        wind = (np.array(5.0), np.array(0.0), np.array(course))
        effort = effort_to_hold(0.8, *wind, drive)
        assert one.effort == pytest.approx(np.full(6, float(effort)))


def test_a_wind_that_drives_the_craft_faster_than_the_slow_speed_is_too_much() -> None:
    works = {one.heading: one.works[0] for one in fishing(11.0, 0.1, 0.8).passes}
    assert works["down"] == "too fast"
    assert works["up"] == "no"
    assert {one.works[0] for one in fishing(np.nan, 0.1, 0.8).passes} == {"unknown"}


def test_trolling_is_judged_in_the_windiest_of_the_forecasts_that_count() -> None:
    made, _ = calm()
    three = case(scenes.forecast(*[{"wind_speed": wind} for wind in (1.0, 6.0, 3.0)]))
    hours = scenes.weighed(three)
    found = advised(three, hours).fishing.passes[0].effort
    drive = hours.conditions.way.drive
    fast = made.plan.craft.troll[1]
    windiest = effort_to_hold(fast, np.array(6.0), np.array(0.0), np.array(0.0), drive)
    assert found == pytest.approx(np.full(6, float(windiest)))


# -- adrift, and in the water ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("winds", "begins"),
    [
        ((1.0, 2.0, 5.0, 3.0, 1.0, 1.0), 1),  # the wind at 12:00 belongs to the hour before it too
        ((5.0, 2.0, 1.0, 3.0, 1.0, 1.0), 0),
        ((5.0, 2.0, np.nan, 3.0, 1.0, 1.0), 1),  # what is not known may be the windiest
    ],
)
def test_the_drift_begins_in_the_windiest_hour_of_the_trip(
    winds: tuple[float, ...], begins: int
) -> None:
    for drift in advised(*blown(*winds)).drifts:
        assert drift.begins == start_of(begins)


def test_the_drift_of_an_hour_beside_the_trip_is_not_told() -> None:
    made, hours = blown(9.0, 0.0, 0.0, 2.0, 1.0, 0.0)
    assert {one.begins for one in advised(made, hours, trip=np.array([2, 3, 4])).drifts} == {
        start_of(2)
    }


def test_the_drift_starts_where_the_way_home_is_longest_and_keeps_its_forecasts() -> None:
    made, hours = calm()
    found = advised(made, hours)
    assert found.adrift is not None
    assert found.adrift.place == found.getting_home.place
    assert [one.what for one in found.drifts] == ["craft", "swimmer"]


# By hand: 22 minutes of swimming at 10 °C and 60 at 15.6 °C (physics/swim.py), 0.3 m/s
# (limits.toml), and never more than half of what was measured; the search and rescue table gives
# one to two hours at 50 to 60 °F and half an hour to one hour at 40 to 50 °F.
@pytest.mark.parametrize(
    ("celsius", "swim", "shock", "least", "most"),
    [
        (9.9, None, 1.0, 1800.0, 3600.0),
        (10.0, 22 * 60 * 0.3, 1.0, None, None),
        (15.0, 400.0, 1.0, 3600.0, 7200.0),
        (20.0, 400.0, 0.5, 7200.0, 25_200.0),
        (5.0, 10 * 60 * 0.3, 1.0, 1800.0, 3600.0),
    ],
)
def test_what_water_does_to_a_swimmer(
    celsius: float, swim: float | None, shock: float, least: float | None, most: float | None
) -> None:
    found = in_the_water(celsius + 273.15, calm()[1].conditions, RULES)
    assert found.temperature == celsius + 273.15
    assert found.shock == pytest.approx(shock)
    for value, expected in ((found.swim, swim), (found.least, least), (found.most, most)):
        assert expected is None or value == pytest.approx(expected)


def test_the_shore_is_as_far_as_from_the_place_farthest_from_it() -> None:
    conditions = calm()[1].conditions
    shores = np.array([100.0, 700.0, 300.0])
    water = replace(conditions.water, distance_from_shore=shores, points=np.zeros((3, 2)))
    assert in_the_water(290.0, replace(conditions, water=water), RULES).from_shore == 700.0


BOUNDS: Mapping[str, float | None] = {"none": 294.0, "wetsuit": 286.0, "drysuit": 278.0}


@pytest.mark.parametrize(
    ("kelvin", "bounds", "wear"),
    [
        (294.1, BOUNDS, "none"),
        (294.0, BOUNDS, "wetsuit"),  # at its bound caution has begun
        (286.1, BOUNDS, "wetsuit"),
        (286.0, BOUNDS, "drysuit"),
        (278.1, BOUNDS, "drysuit"),
        (278.0, BOUNDS, "more"),
        (290.0, {**BOUNDS, "wetsuit": None}, "drysuit"),
        (np.nan, BOUNDS, "unknown"),
    ],
)
def test_the_least_clothing_is_the_first_within_its_limit(
    kelvin: float, bounds: Mapping[str, float | None], wear: str
) -> None:
    usual = load_default_limits()["water_temperature", "wearing none"]
    limits = {
        ("water_temperature", f"wearing {worn}"): replace(usual, marginal=bound)
        for worn, bound in bounds.items()
    }
    assert wear_for(kelvin, limits) == wear
