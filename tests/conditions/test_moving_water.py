"""Moving water: the current by hour, what it does on the way home and to waves, and still water."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.arrays import FloatArray, hour_axis, to_datetime64
from safety_check.assess.weighing import weigh_hours
from safety_check.conditions import moving_water
from safety_check.conditions.adrift import LONGEST, DriftStart, find_drifts
from safety_check.conditions.case import Case
from safety_check.conditions.conditions import Conditions
from safety_check.conditions.drift import SWIMMER, load_leeways
from safety_check.conditions.hour_parts import HourParts
from safety_check.conditions.moving_water import (
    choose_flow,
    current_at,
    ferry_angles,
    first_against,
    predicted_series,
    through_parts,
    tide_at,
)
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentHint,
    CurrentKind,
    CurrentPrediction,
    CurrentSeries,
    MovingWater,
    PredictionStation,
    TideEvent,
    TidePrediction,
)
from safety_check.model.place import Water, WaterKind
from safety_check.physics.decay import old_sea_period
from safety_check.physics.waves_on_current import waves_on_current
from safety_check.settings.moving_water import load_moving_water
from safety_check.store.serialize import deserialize, serialize
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import invented_lake as lake
from tests import scenes
from tests.properties import cases, note, takes

START = scenes.START
HOURS = hour_axis(START, START + timedelta(hours=5))
STATION = PredictionStation("inv0101", "Invented Narrows", 900.0)
KNOT = 1852 / 3600


def steady(speed: float, towards: float) -> CurrentSeries:
    """A current that never changes, from two days before the trip to two days after."""
    time = np.array([to_datetime64(START + timedelta(days=days)) for days in (-2, 2)])
    turn = np.radians(towards)
    return CurrentSeries(time, np.full(2, speed * np.sin(turn)), np.full(2, speed * np.cos(turn)))


def predicted(*events: tuple[float, str, float]) -> CurrentPrediction:
    """A current by hours after the start, kind and speed; flood to 30°, ebb to 200°."""
    return CurrentPrediction(
        tuple(
            CurrentEvent(START + timedelta(hours=hour), CurrentKind(kind), float(speed))
            for hour, kind, speed in events
        ),
        flood_towards=30.0,
        ebb_towards=200.0,
        depth=2.0,
        station=STATION,
        provenance=scenes.FROM_A_FILE,
    )


TURNING = predicted(
    (-30, "flood", 1.0), (-27, "slack", 0), (-24, "ebb", 1.0), (-21, "slack", 0),
    (-18, "flood", 1.0), (-15, "slack", 0), (-12, "ebb", 1.0), (-9, "slack", 0),
    (-6, "flood", 1.0), (-3, "slack", 0), (0, "ebb", 1.2), (3, "slack", 0), (6, "flood", 0.8),
    (9, "slack", 0), (12, "ebb", 1.0),
)  # fmt: skip


TIDAL = replace(lake.WATER, kind=WaterKind.TIDAL)
STILL = replace(lake.WATER, kind=WaterKind.STILL)


def conditions(
    moving: MovingWater | None, *, water: Water | None = None, **said: float
) -> Conditions:
    """The conditions of a trip on the invented lake, whose launch is on the west shore."""
    told = replace(scenes.briefing(scenes.forecast(said)), moving=moving)
    trip = replace(scenes.plan(), water=water or (TIDAL if moving else STILL))
    case = Case(trip, told, lake.open_water(), scenes.settings(), load_trust())
    return weigh_hours(case, HOURS, load_rulebook()).conditions


def entered(speed: float, towards: float) -> MovingWater:
    return MovingWater(entered=steady(speed, towards), tidal=True)


# -- still water -----------------------------------------------------------------------------


def test_still_water_is_untouched_byte_for_byte():
    still, told = conditions(None), MovingWater(entered=steady(0.5, 90.0), tidal=True)
    silent = conditions(told, water=STILL)

    assert serialize(still.way) == serialize(silent.way)
    assert still.quantities.keys() == silent.quantities.keys()
    for name, values in still.quantities.items():
        assert values.tobytes() == silent.quantities[name].tobytes(), name
    assert not any(name in still.quantities for name in (moving_water.SPEED, moving_water.WAVES))


@pytest.mark.thorough
def test_a_verdict_on_still_water_imports_nothing_of_moving_water():
    code = (
        "import sys\n"
        "from tests import scenes\n"
        "print(scenes.severity_of().name)\n"
        "names = ('conditions.moving_water', 'physics.tide', 'physics.waves_on_current')\n"
        "print([name for name in names if 'safety_check.' + name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.split() == ["GO", "[]"]


# -- the current through time ------------------------------------------------------------------


def test_flood_and_ebb_flow_their_own_ways():
    series = predicted_series(TURNING)
    hours = np.array([0, 3, 6]) * np.timedelta64(3600, "s")

    ebb, slack, flood = current_at(series, to_datetime64(START) + hours)

    assert ebb == pytest.approx(1.2 * np.array([np.sin(np.radians(200)), np.cos(np.radians(200))]))
    assert slack == pytest.approx([0, 0], abs=1e-12)
    assert flood == pytest.approx([0.8 * np.sin(np.radians(30)), 0.8 * np.cos(np.radians(30))])


def test_no_current_is_known_outside_the_prediction_or_without_one():
    late = np.array([to_datetime64(START + timedelta(days=3))])

    assert np.isnan(current_at(predicted_series(TURNING), late)).all()
    assert np.isnan(current_at(predicted_series(predicted((0, "ebb", 1.0))), HOURS)).all()
    flow = choose_flow(MovingWater(tidal=True))
    assert flow is not None
    assert np.isnan(current_at(flow.current, HOURS)).all()
    assert choose_flow(MovingWater()) is None


def test_what_the_user_entered_comes_before_a_prediction():
    flow = choose_flow(MovingWater(currents=(TURNING,), entered=steady(0.5, 90.0)))

    assert flow is not None
    assert current_at(flow.current, HOURS)[0] == pytest.approx([0.5, 0.0], abs=1e-9)


def test_the_strongest_moment_of_an_hour_counts():
    # greatest ebb 30 minutes into the hour: neither end of the hour reaches it
    middle = predicted((-2.5, "slack", 0), (0.5, "ebb", 2.0), (3.5, "slack", 0), (6, "flood", 1))
    speed = conditions(MovingWater(currents=(middle,))).quantities[moving_water.SPEED]

    assert speed[0, 0] == pytest.approx(2.0, rel=1e-3)
    assert np.isnan(speed[0, -1]) or speed.shape == (1, len(HOURS))


@pytest.mark.promise("moving water must be known")
def test_an_unknown_current_makes_the_way_home_and_the_waves_unknown():
    found = conditions(MovingWater(tidal=True)).quantities

    for name in ("time_home", moving_water.SPEED, moving_water.SHARE_OF_CRUISE, moving_water.WAVES):
        assert np.isnan(found[name]).all(), name


def test_an_entered_current_keeps_the_hint_and_the_tide_beside_it():
    hint = CurrentHint(steady(0.3, 10.0), (44.9, -99.6), scenes.FROM_A_FILE)
    high = tide((0, 2.0, True), (6, 0.0, False))
    own = steady(0.5, 90.0)

    flow = choose_flow(MovingWater(tides=(high,), hints=(hint,), entered=own))

    assert flow is not None
    assert (flow.current, flow.hint, flow.tide) == (own, hint.series, high)


def test_a_prediction_makes_the_sea_models_hint_needless():
    hint = CurrentHint(steady(0.3, 10.0), (44.9, -99.6), scenes.FROM_A_FILE)

    predicted_too = choose_flow(MovingWater(currents=(TURNING,), hints=(hint,)))
    alone = choose_flow(MovingWater(hints=(hint,)))

    assert predicted_too is not None
    assert alone is not None
    assert predicted_too.hint is None
    assert np.isfinite(current_at(predicted_too.current, HOURS)).all()
    assert alone.hint is hint.series
    assert np.isnan(current_at(alone.current, HOURS)).all()


def test_a_prediction_is_known_every_five_minutes_and_at_each_of_its_events():
    series = predicted_series(predicted((0, "slack", 0), (1.01, "flood", 2.0), (2, "slack", 0)))

    minutes = (series.time - to_datetime64(START)) / np.timedelta64(60, "s")
    assert minutes.tolist() == sorted({*range(0, 121, 5), 60.6})
    assert np.hypot(series.east, series.north).max() == pytest.approx(2.0)


def test_two_events_are_a_prediction_and_one_is_none():
    assert len(predicted_series(predicted((0, "slack", 0), (1, "flood", 2.0))).time) == 13
    assert not len(predicted_series(predicted((0, "slack", 0))).time)


def test_between_two_instants_a_current_changes_evenly():
    time = to_datetime64(START) + np.array([0, 3600]) * np.timedelta64(1, "s")
    series = CurrentSeries(time, np.array([0.0, 1.0]), np.array([2.0, 0.0]))

    assert current_at(series, time[:1] + np.timedelta64(900, "s")).tolist() == [[0.25, 1.5]]
    assert np.isnan(current_at(series, time - np.timedelta64(1, "s"))[0]).all()
    assert np.isnan(current_at(series, time + np.timedelta64(1, "s"))[1]).all()


def test_a_current_first_against_a_course_is_told_to_five_minutes():
    # From 1 to the east to 1 to the west in two hours: it turns after one.
    time = to_datetime64(START) + np.array([0, 7200]) * np.timedelta64(1, "s")
    series = CurrentSeries(time, np.array([1.0, -1.0]), np.zeros(2))

    turn = first_against(series, 90.0, time[0], time[1])

    assert turn - time[0] == np.timedelta64(3900, "s")  # at 3600 s it stands still
    assert first_against(series, 90.0, time[0], turn) == turn
    assert first_against(series, 270.0, time[0], time[1]) == time[0]
    assert np.isnat(first_against(series, 90.0, time[0], time[0] + np.timedelta64(3300, "s")))
    assert np.isnat(first_against(series, 90.0, time[0] - np.timedelta64(300, "s"), time[1]))


def test_the_tide_between_two_events_follows_a_cosine_and_is_unknown_outside_them():
    found = tide_at(tide((0, 3.0, True), (6, 1.0, False)), HOURS)

    expected = 2.0 + np.cos(np.pi * np.arange(6) / 6)
    assert found == pytest.approx(expected)
    late = np.array([to_datetime64(START + timedelta(hours=6, seconds=1))])
    assert np.isnan(tide_at(tide((0, 3.0, True), (6, 1.0, False)), late)).all()


def test_only_the_pair_of_events_that_misses_one_is_unknown():
    found = tide_at(tide((-6, 1.0, False), (0, 3.0, True), (3, 2.0, True), (9, 0.0, False)), HOURS)

    assert np.isnan(found[:3]).all()
    assert found[3] == 2.0
    assert np.isfinite(found[4:]).all()


def test_the_first_pair_of_events_may_be_the_one_that_misses_one():
    found = tide_at(tide((0, 3.0, True), (3, 2.0, True), (9, 0.0, False)), HOURS)

    assert np.isnan(found[:3]).all()
    assert np.isfinite(found[3:]).all()


def test_a_part_of_an_hour_has_its_own_instants():
    time = to_datetime64(START) + np.array([0, 3600]) * np.timedelta64(1, "s")
    rising = CurrentSeries(time, np.array([0.0, 1.0]), np.zeros(2))
    part = HourParts(np.array([0.25]), np.array([0.75]))

    found = through_parts(rising, HOURS[:1], part)

    assert found[0, :, 0] == pytest.approx(np.linspace(0.25, 0.75, 7), abs=1e-3)  # whole seconds


def test_the_hint_of_a_sea_model_says_nothing_outside_its_time():
    hour = np.timedelta64(3600, "s")
    short = CurrentSeries(HOURS[:2], np.array([0.3, 0.3]), np.array([0.4, 0.4]))
    hint = CurrentHint(short, (44.9, -99.6), scenes.FROM_A_FILE)

    found = conditions(MovingWater(hints=(hint,), tidal=True)).quantities

    assert found[moving_water.SPEED_OF_HINT][0].tolist() == pytest.approx([0.5, 0, 0, 0, 0, 0])
    assert short.time[-1] - short.time[0] == hour


def test_the_lowest_tide_of_an_hour_counts():
    falling = tide((0, 3.0, True), (6, 1.0, False))

    found = conditions(MovingWater(tides=(falling,), tidal=True)).quantities[moving_water.TIDE]

    ends = 2.0 + np.cos(np.pi * np.arange(1, 7) / 6)
    assert found[0] == pytest.approx(ends, abs=1e-9)
    assert np.isnan(conditions(MovingWater(tidal=True)).quantities[moving_water.TIDE]).all()


def test_the_wind_over_the_water_adds_a_current_straight_against_it():
    against = conditions(entered(0.5, 270.0), wind_speed=4.0, wind_speed_of_gust=5.0)
    along = conditions(entered(0.5, 90.0), wind_speed=4.0, wind_speed_of_gust=5.0)
    unknown = conditions(
        entered(0.5, 90.0), wind_speed=4.0, wind_speed_of_gust=5.0, wind_from_direction=np.nan
    )

    for found, expected in ((against, 4.5), (along, 4.0), (unknown, 4.5)):
        assert found.quantities[moving_water.OVER_WATER] == pytest.approx(expected, rel=1e-9)


# -- the way home ------------------------------------------------------------------------------


def test_a_current_against_the_way_home_makes_it_longer_and_one_with_it_gives_no_credit():
    still = conditions(None).quantities["time_home"]
    against = conditions(entered(0.6, 90.0)).quantities["time_home"]  # away from the west shore

    assert np.all(against > still)
    assert np.all(conditions(entered(0.0, 0.0)).quantities["time_home"] == still)


def test_a_current_as_fast_as_the_craft_leaves_no_way_home():
    speed = scenes.settings().craft("sit-on-top-kayak").cruise_speed

    assert np.isinf(conditions(entered(speed * 1.05, 90.0)).quantities["time_home"]).all()
    share = conditions(entered(speed / 2, 90.0)).quantities[moving_water.SHARE_OF_CRUISE]
    assert share == pytest.approx(0.5, rel=1e-9)


@takes(worse=0.5)
@cases(10, fewest=5)
@given(
    speed=st.floats(0, 1.5), more=st.floats(0, 1), towards=st.floats(0, 360), wind=st.floats(0, 9)
)
def test_more_current_is_never_better(speed, more, towards, wind):
    weak, strong = (
        conditions(entered(value, towards), wind_speed=wind, wind_speed_of_gust=wind * 1.3)
        for value in (speed, speed + more)
    )

    for name in ("time_home", moving_water.SPEED, moving_water.SHARE_OF_CRUISE, moving_water.WAVES):
        less, greater = weak.quantities[name], strong.quantities[name]
        lower = greater < less * (1 - 2e-3)  # waves that broke: in steps of 0.025 U / c0
        proved = np.isfinite(greater) & ~np.isfinite(less)
        assert not np.any(lower | proved), name
        note("worse", np.any(greater > less))


def test_the_bow_angle_and_the_turn_of_the_current_are_told():
    found = conditions(entered(0.5, 0.0))  # across a way home to the west
    course = float(found.way.longest.courses[0])
    across = abs(np.sin(np.radians(0.0 - course))) * 0.5

    angle = ferry_angles(found.way, 1.0)[0, 0]
    turn = first_against(
        predicted_series(TURNING), 200.0, HOURS[0], HOURS[0] + np.timedelta64(8, "h")
    )

    assert angle == pytest.approx(np.degrees(np.arcsin(across)), abs=0.01)
    assert turn - to_datetime64(START) <= np.timedelta64(3 * 3600 + 300, "s")
    assert turn - to_datetime64(START) >= np.timedelta64(3 * 3600, "s")
    assert np.isnat(first_against(steady(1, 0), 0.0, HOURS[0], HOURS[-1]))


# -- waves -------------------------------------------------------------------------------------


def waves(current: float, towards: float, wind: float = 6.0) -> FloatArray:
    found = conditions(entered(current, towards), wind_speed=wind, wind_speed_of_gust=wind)
    return found.quantities[moving_water.WAVES]


def test_wind_against_current_raises_the_waves_and_wind_with_it_does_not_lower_them():
    still = conditions(None, wind_speed=6.0, wind_speed_of_gust=6.0).quantities[
        "sea_surface_wave_significant_height"
    ]

    assert waves(0.0, 0.0) == pytest.approx(still, rel=1e-9)
    assert np.all(waves(KNOT, 270.0) > 1.2 * still)  # the wind blows from 270
    assert np.all(waves(KNOT, 90.0) >= still)


def test_an_unknown_wind_direction_counts_as_straight_against_the_current():
    head = waves(0.5, 270.0)
    found = conditions(
        entered(0.5, 90.0), wind_speed=6.0, wind_speed_of_gust=6.0, wind_from_direction=np.nan
    )

    there = found.quantities[moving_water.WAVES]
    assert np.all(np.isnan(there) | (there >= head * 0.99))


@pytest.mark.parametrize("towards", [0.0, 180.0])
def test_waves_do_not_run_into_a_current_that_sets_straight_across_them(towards):
    found = conditions(entered(0.5, towards), wind_speed=6.0, wind_speed_of_gust=6.0)

    assert found.quantities[moving_water.AGAINST] == pytest.approx(0.0, abs=1e-9)
    slanting = conditions(entered(0.5, 260.0), wind_speed=6.0, wind_speed_of_gust=6.0)
    assert np.all(slanting.quantities[moving_water.AGAINST] > 0.01)


def test_waves_that_a_current_steepens_enough_count_in_full_as_against_it():
    found = conditions(entered(0.6, 270.0), wind_speed=6.0, wind_speed_of_gust=6.0).quantities
    full = load_moving_water().current.counts_as_against

    assert found[moving_water.STEEPNESS].min() > full
    assert found[moving_water.AGAINST] == pytest.approx(found[moving_water.WAVES])


def test_waves_run_with_the_wind_of_their_hour():
    turning = scenes.forecast({"wind_speed": 6.0, "wind_speed_of_gust": 6.0})
    turning.quantities["wind_from_direction"][:, turning.time >= HOURS[3]] = 90.0
    told = replace(scenes.briefing(turning), moving=entered(0.5, 270.0))
    case = Case(replace(scenes.plan(), water=TIDAL), told, lake.open_water(), scenes.settings(),
                load_trust())  # fmt: skip
    against = weigh_hours(case, HOURS, load_rulebook()).conditions.quantities[moving_water.AGAINST]

    # West wind against the current until 18:00, the last end of the third hour; then with it.
    assert (against[0, :3] > 0.01).all()
    assert against[0, 3:] == pytest.approx(0.0, abs=1e-9)


def test_the_moment_of_an_hour_in_which_the_current_is_most_against_the_waves_counts():
    half = np.timedelta64(1800, "s")
    peak = CurrentSeries(
        HOURS[0] + half * np.arange(13), np.array([0.0, -0.6] * 6 + [0.0]), np.zeros(13)
    )
    found = conditions(
        MovingWater(entered=peak, tidal=True), wind_speed=6.0, wind_speed_of_gust=6.0
    )

    assert found.quantities[moving_water.WAVES][0, 0] > 1.3 * waves(0.0, 0.0)[0, 0]


def waves_seen(
    seen: float, speed: float, wind: float, name: str = moving_water.WAVES
) -> FloatArray:
    """Waves on a current against a west wind, of which somebody saw the height."""
    observation = scenes.observation("sea_surface_wave_significant_height", seen, at=START)
    said = scenes.forecast({"wind_speed": wind, "wind_speed_of_gust": wind})
    told = replace(
        scenes.briefing(said, at=START),
        moving=entered(speed, 270.0),
        observations=(observation,),
    )
    trip = replace(scenes.plan(), water=TIDAL)
    case = Case(trip, told, lake.open_water(), scenes.settings(), load_trust())
    found = weigh_hours(case, HOURS, load_rulebook()).conditions
    return found.quantities[name]


def test_waves_seen_a_little_higher_than_the_wind_raises_are_not_lower_on_the_current():
    # the wind raises 0.16 m here; a sea of 0.18 m alone would be longer, and steepen less
    assert np.all(waves_seen(0.18, 0.45, 6.0) >= waves_seen(0.0, 0.45, 6.0))


def test_a_sea_that_the_wind_does_not_explain_has_the_period_of_an_old_sea_of_its_height():
    found = waves_seen(0.8, 0.5, 2.0)[0, 0]
    period = old_sea_period(np.array(0.8**2))

    expected = waves_on_current(np.array(0.8), period, np.array(-0.5), 10.0).height
    assert found == pytest.approx(float(expected), rel=1e-6)
    assert found > 0.8


@takes(higher=0.3)
@cases(8, fewest=4)
@given(
    seen=st.floats(0.0, 1.5), more=st.floats(0, 0.8), speed=st.floats(0, 1.5), wind=st.floats(0, 9)
)
def test_higher_observed_waves_are_never_lower_on_the_current(seen, more, speed, wind):
    for name in (moving_water.WAVES, moving_water.AGAINST):
        higher, lower = (waves_seen(height, speed, wind, name) for height in (seen + more, seen))

        assert np.all(higher >= lower * (1 - 1e-6)), name
        note("higher", np.any(higher > lower))


def test_a_sea_that_grows_is_not_forgotten_when_the_current_steepens_it_less():
    """By a weak current: 4 % steeper at 1.2 m, 6 % at 0.5 m."""
    heights = np.arange(0.1, 2.0, 0.1)
    counted = [waves_seen(height, 0.08, 2.0, moving_water.AGAINST).max() for height in heights]

    assert np.all(np.diff(counted) > 0)
    still = waves_seen(0.5, 0.0, 2.0, moving_water.AGAINST)
    assert np.all(still == 0)  # without a current no wave runs into one


@takes(higher=0.3)
@cases(8, fewest=4)
@given(
    wind=st.floats(0.0, 12.0),
    more=st.floats(0, 5),
    speed=st.floats(0, 0.6),
)
def test_more_wind_never_lowers_the_waves_that_run_into_the_current(wind, more, speed):
    less, greater = (
        conditions(entered(speed, 270.0), wind_speed=blows, wind_speed_of_gust=blows * 1.2)
        for blows in (wind, wind + more)
    )

    lower, higher = (found.quantities[moving_water.AGAINST] for found in (less, greater))
    assert np.all(higher >= lower * (1 - 1e-6))
    note("higher", np.any(higher > lower))


# -- drift -------------------------------------------------------------------------------------


def test_a_craft_and_a_swimmer_drift_with_the_current():
    found = conditions(entered(KNOT, 0.0), wind_speed=0.0, wind_speed_of_gust=0.0)
    leeways = load_leeways()
    craft = leeways[scenes.settings().craft("sit-on-top-kayak").leeway]
    start = DriftStart(np.array([2000.0, -1900.0]), 0, found.way.winds.current)
    drifts = find_drifts(
        {"craft": craft, "swimmer": leeways[SWIMMER]}, start, found.water,
        found.way.winds.speed, found.way.winds.direction, found.weights,
    )  # fmt: skip

    for drift in drifts:
        # one knot is half a metre a second; the published leeway has an offset of 0.1 m/s
        assert drift.speed == pytest.approx(KNOT, abs=0.15)
        assert np.all(drift.time < LONGEST * 3600)


# -- the tide ------------------------------------------------------------------------------------


def tide(*events: tuple[float, float, bool]) -> TidePrediction:
    return TidePrediction(
        tuple(TideEvent(START + timedelta(hours=hour), height, high)
              for hour, height, high in events),
        "MLLW", STATION, scenes.FROM_A_FILE,
    )  # fmt: skip


def test_two_high_waters_in_a_row_miss_a_low_one():
    assert np.isnan(tide_at(tide((0, 2.0, True), (6, 1.9, True)), HOURS)).all()
    assert np.isnan(tide_at(tide((0, 2.0, True)), HOURS)).all()


# -- stored --------------------------------------------------------------------------------------


def test_a_briefing_of_moving_water_is_stored_exactly():
    hint = CurrentHint(steady(0.3, 10.0), (44.9, -99.6), scenes.FROM_A_FILE)
    moving = MovingWater((tide((0, 1.0, True)),), (TURNING,), (hint,), (), steady(1, 2), True)

    again = deserialize(MovingWater, serialize(moving))

    assert serialize(again) == serialize(moving)
    assert again.currents == moving.currents
