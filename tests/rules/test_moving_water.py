"""Tide, current, river and dam in the verdict, on three invented afloat."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import pytest

from safety_check.model.moving_water import FloodCategory, MovingWater, RiverStages
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.rules.hazards_moving import OF_MOVING_WATER
from safety_check.settings.user_file import LimitTable
from tests import afloat, scenes
from tests.afloat import BAY_ARM, ESTUARY, TAILWATER, finding, severity_of, verdict

GO, MARGINAL, UNKNOWN, NO_GO = (
    Severity.GO,
    Severity.MARGINAL,
    Severity.UNKNOWN,
    Severity.NO_GO,
)
SW_12 = {"wind_speed": 5.3, "wind_speed_of_gust": 6.0, "wind_from_direction": 225.0}
OWN_GAUGE = LimitTable(quantity="river_gauge_height", water=TAILWATER.name, no_go="1 m")


def weighed(found: Verdict) -> set[str]:
    return {one.hazard for one in found.findings} & OF_MOVING_WATER


@pytest.mark.thorough
def test_still_water_weighs_nothing_of_this_and_imports_nothing_for_it() -> None:
    assert weighed(scenes.verdict()) == set()
    code = (
        "import sys; from tests import scenes; scenes.verdict();"
        "print([name for name in sys.modules if name.endswith(('conditions.moving_water',"
        " 'conditions.river', 'conditions.tide_hours', 'assess.moving_water', 'own_water'))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_tidal_water_without_tide_and_current_is_unknown_and_says_what_to_enter() -> None:
    found = verdict(afloat.plan(ESTUARY), None)
    assert found.severity == UNKNOWN
    assert '--current "1.5 kt from NE, slack 09:20"' in finding(found, "strong_current").reason
    assert '--high-water "08:10"' in finding(found, "tide_not_known").reason


def test_a_water_of_which_nobody_said_it_counts_as_tidal_by_the_sea_only() -> None:
    unsaid = replace(scenes.WATER, kind=None)
    assert severity_of(afloat.plan(unsaid), None) == GO
    found = verdict(afloat.plan(replace(unsaid, by_sea=True)), None)
    assert found.severity == UNKNOWN
    assert "--kind still" in finding(found, "tide_not_known").reason


def test_a_weak_current_with_a_known_tide_is_a_go() -> None:
    assert severity_of(afloat.plan(ESTUARY), afloat.tidal(0.3)) == GO


@pytest.mark.parametrize(
    ("craft", "knots", "severity"),
    [
        ("sit-on-top-kayak", 0.9, GO),
        ("sit-on-top-kayak", 1.1, MARGINAL),
        ("sit-on-top-kayak", 2.1, NO_GO),
        ("float-tube", 0.3, GO),
        ("float-tube", 0.6, MARGINAL),
        ("float-tube", 1.0, NO_GO),
        ("small-motor-skiff", 1.5, GO),
    ],
)
def test_the_levels_that_are_taught_decide_by_craft(
    craft: str, knots: float, severity: Severity
) -> None:
    found = verdict(afloat.plan(ESTUARY, craft=craft, hours=4), afloat.tidal(knots))
    assert finding(found, "strong_current").severity == severity


def test_a_current_as_fast_as_the_craft_is_no_way_back() -> None:
    found = verdict(afloat.plan(ESTUARY), afloat.tidal(2.5))  # cruise speed 1.25 m/s
    share = finding(found, "current_stops_craft")
    assert share.severity == NO_GO
    assert share.value == pytest.approx(2.5 * afloat.KNOT / 1.25, rel=0.03)  # 10 min samples


def test_wind_against_the_ebb_has_its_own_reason() -> None:
    moving = replace(afloat.tidal(), currents=(afloat.currents(1.5, flood_towards=45.0),))
    trip = afloat.plan(ESTUARY, craft="small-motor-skiff")
    found = verdict(trip, moving, SW_12, scenes.open_water(3000.0))
    still = verdict(trip, afloat.tidal(0.1), SW_12, scenes.open_water(3000.0))
    against = finding(found, "wind_against_current")
    assert against.severity > finding(still, "wind_against_current").severity
    assert "Ebb of 1.5 kt against SW 12 mph, waves" in against.reason
    assert "as steep" in against.reason
    assert finding(found, "capsize_by_waves").severity < against.severity


def test_waves_that_a_current_stops_are_no_go_where_they_are_high_enough() -> None:
    moving = replace(afloat.tidal(), currents=(afloat.currents(1.9, flood_towards=45.0),))
    trip = afloat.plan(ESTUARY, craft="small-motor-skiff")
    windy = {**SW_12, "wind_speed": 8.0, "wind_speed_of_gust": 9.0}
    found = verdict(trip, moving, windy, scenes.open_water(3000.0))
    assert finding(found, "waves_break_on_current").severity == NO_GO
    calm = verdict(trip, moving, {"wind_from_direction": 225.0})
    assert finding(calm, "waves_break_on_current").severity == GO


def test_the_ebb_at_a_bar_is_no_go_and_the_flood_is_not() -> None:
    assert finding(verdict(afloat.plan(BAY_ARM), afloat.tidal()), "ebb_at_bar").severity == NO_GO
    flood = afloat.plan(BAY_ARM, hours=1.0)
    assert finding(verdict(flood, afloat.tidal()), "ebb_at_bar").severity == GO
    nameless = afloat.entered(flood, current="1 kt from NE, slack 17:00")
    assert finding(verdict(flood, nameless), "ebb_at_bar").severity == UNKNOWN
    only_tide = MovingWater(tides=(afloat.tides(),))
    assert finding(verdict(flood, only_tide), "ebb_at_bar").severity == UNKNOWN
    later = afloat.plan(BAY_ARM, start=afloat.SLACK + timedelta(minutes=30), hours=2)
    assert finding(verdict(later, only_tide), "ebb_at_bar").severity == NO_GO


def test_a_launch_needs_water_at_the_start_and_the_end() -> None:
    def level(start: float, hours: float, dries: float) -> Severity:
        begins = afloat.SLACK + timedelta(hours=start)
        trip = afloat.plan(ESTUARY, dries, start=begins, hours=hours)
        return finding(verdict(trip, afloat.tidal()), "launch_dries").severity

    assert level(-1, 2, 0.5) == GO  # around high water
    assert level(-1, 7, 0.5) == NO_GO  # home at low water
    assert level(-1, 12.4, 0.5) == MARGINAL  # dry only in between
    assert level(-1, 2, 3.0) == NO_GO  # above every tide
    unknown = afloat.plan(ESTUARY, 0.5)
    without = MovingWater(currents=(afloat.currents(0.3),))
    assert finding(verdict(unknown, without), "launch_dries").severity == UNKNOWN


@pytest.mark.one_in(2)
@pytest.mark.parametrize(
    ("reading", "severity"),
    [
        (afloat.river(), GO),
        (afloat.river(FloodCategory.ACTION), MARGINAL),
        (replace(afloat.river(), percentile=(0.5, 0.75)), GO),
        (replace(afloat.river(), percentile=(0.75, 0.9)), GO),  # the 90th is not reached
        (replace(afloat.river(), percentile=(0.75, 0.95)), MARGINAL),  # the 90th is not known
        (replace(afloat.river(rise=1e-5), percentile=(0.9, 0.95)), MARGINAL),
        (replace(afloat.river(rise=1e-5), percentile=(0.9, 1.0)), NO_GO),
        (replace(afloat.river(rise=1e-5), percentile=(0.95, 1.0)), NO_GO),
        (afloat.river(percentile=0.92), MARGINAL),
        (afloat.river(percentile=0.96), MARGINAL),
        (afloat.river(percentile=0.96, rise=1e-5), NO_GO),
        (afloat.river(percentile=0.96, rise=math.nan), NO_GO),
        (afloat.river(FloodCategory.MINOR), NO_GO),
        (afloat.river(FloodCategory.MAJOR), NO_GO),
        (afloat.river(FloodCategory.UNKNOWN, rise=1e-5), UNKNOWN),
        (afloat.river(FloodCategory.UNKNOWN), UNKNOWN),
        (afloat.river(percentile=None), MARGINAL),
        (afloat.river(percentile=None, rise=1e-5), UNKNOWN),
        (replace(afloat.river(), time=scenes.NOW - timedelta(hours=9)), UNKNOWN),
        (replace(afloat.river(), forecast_category=FloodCategory.MINOR), NO_GO),
        (replace(afloat.river(), time=None), UNKNOWN),
    ],
)
def test_a_river_by_category_percentile_and_rise(reading: object, severity: Severity) -> None:
    moving = afloat.flowing(reading)  # type: ignore[arg-type]
    assert severity_of(afloat.plan(TAILWATER), moving) == severity


def test_what_the_user_reads_is_ranked_by_the_bounds_of_the_service() -> None:
    trip = afloat.plan(TAILWATER)
    bounds = RiverStages(action=1.0, minor=2.0)
    served = replace(afloat.river(), stages=bounds)
    levels = []
    for said in ("0.6 m steady", "1.2 m steady", "2.5 m steady"):
        own = afloat.entered(trip, gauge=said)
        assert own is not None
        moving = afloat.flowing(served, rivers=(*own.rivers, served))
        levels.append(severity_of(trip, moving))
    assert levels == [GO, MARGINAL, NO_GO]
    ranks = []
    for said in ("10 m3/s steady", "50 m3/s steady", "50 m3/s rising"):  # the service has 12
        own = afloat.entered(trip, gauge=said)
        assert own is not None
        moving = afloat.flowing(served, rivers=(*own.rivers, served))
        ranks.append(severity_of(trip, moving))
    assert ranks == [GO, MARGINAL, NO_GO]


def test_a_gauge_without_a_category_needs_a_limit_of_the_user() -> None:
    trip = afloat.plan(TAILWATER)
    own = scenes.settings(OWN_GAUGE)
    for said, without, with_limit in (
        ("0.6 m steady", UNKNOWN, GO),
        ("0.6 m rising", UNKNOWN, UNKNOWN),
        ("1.2 m falling", UNKNOWN, NO_GO),
    ):
        moving = afloat.entered(trip, gauge=said, release="none")
        assert severity_of(trip, moving) == without
        assert severity_of(trip, moving, own=own) == with_limit


def test_below_a_dam_a_release_is_asked_for_and_then_counts() -> None:
    trip = afloat.plan(TAILWATER)
    not_asked = verdict(trip, replace(afloat.flowing(), releases=None))
    assert not_asked.severity == MARGINAL
    assert "--release none" in finding(not_asked, "dam_release").reason
    assert severity_of(trip, afloat.flowing()) == GO
    during = replace(afloat.flowing(), releases=(trip.start + timedelta(hours=3),))
    assert severity_of(trip, during) == NO_GO
    after = replace(afloat.flowing(), releases=(trip.end + timedelta(hours=2),))
    assert severity_of(trip, after) == GO


def never_better_without(trip: Plan, moving: MovingWater, *lost: MovingWater) -> None:
    whole = severity_of(trip, moving)
    bare = [replace(moving, tides=()), replace(moving, currents=()), replace(moving, rivers=())]
    for less in (*bare, *lost):
        assert severity_of(trip, less) >= min(whole, UNKNOWN)


@pytest.mark.parametrize("knots", [0.3, 1.2, 2.2])
def test_no_tide_or_current_that_is_lost_ever_improves_a_verdict(knots: float) -> None:
    never_better_without(afloat.plan(BAY_ARM, 0.5), afloat.tidal(knots))


@pytest.mark.one_in(3)
@pytest.mark.parametrize(("rank", "rise"), [(0.5, 1e-5), (0.92, 0.0), (0.97, 1e-5)])
@pytest.mark.parametrize("category", FloodCategory)
def test_nothing_lost_of_a_river_ever_improves_a_verdict(
    category: FloodCategory, rank: float, rise: float
) -> None:
    reading, unknown = afloat.river(category, rank, rise), FloodCategory.UNKNOWN
    parts = [
        replace(reading, percentile=None),
        replace(reading, category=unknown, forecast_category=unknown),
        replace(reading, rise=math.nan),
    ]
    moving = afloat.flowing(reading)
    lost = [replace(moving, rivers=(part,)) for part in parts]
    never_better_without(afloat.plan(TAILWATER), moving, *lost)


def test_more_current_or_an_earlier_turn_is_never_better() -> None:
    trip = afloat.plan(ESTUARY, start=afloat.SLACK, hours=2)
    wide = scenes.open_water(3000.0)
    for towards in (45.0, 225.0):
        levels = []
        for knots in (0.1, 0.6, 1.1, 1.6, 2.1, 3.0):
            moving = replace(afloat.tidal(), currents=(afloat.currents(knots, towards),))
            levels.append(severity_of(trip, moving, SW_12, wide))
        assert levels == sorted(levels)
        turns = []
        for earlier in (0, 20, 40, 60):
            moved = afloat.currents(2.2, towards, timedelta(minutes=-earlier))
            moving = replace(afloat.tidal(), currents=(moved,))
            turns.append(severity_of(trip, moving, SW_12, wide))
        assert turns == sorted(turns)


def test_windows_keep_to_the_flood_where_a_bar_is_marked() -> None:
    found = verdict(afloat.plan(BAY_ARM), afloat.tidal())
    assert found.severity == NO_GO
    best = found.windows[0]
    assert best.severity == GO
    bar = finding(verdict(afloat.plan(BAY_ARM), afloat.tidal()), "ebb_at_bar")
    ebb = {hour.astype("datetime64[h]").item().hour for hour in bar.hours}
    assert best.start.hour not in ebb
    assert best.end <= afloat.SLACK or best.start >= afloat.SLACK + 2 * afloat.QUARTER - afloat.HOUR


def test_more_stage_is_never_better() -> None:
    trip, own = afloat.plan(TAILWATER), scenes.settings(OWN_GAUGE)
    levels = [
        severity_of(trip, afloat.flowing(afloat.river(stage=stage)), own=own)
        for stage in (0.2, 0.8, 1.0, 2.0)
    ]
    assert levels == [GO, GO, NO_GO, NO_GO]
