"""Reasons in whole sentences, each number worked out by hand."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from safety_check.model.local_clock import LocalClock
from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.verdict import Limit, Severity
from safety_check.rules.endless import describe_endless
from safety_check.rules.limits import Limits
from safety_check.rules.reasons import (
    ReasonContext,
    WorstHour,
    by_user,
    chain_of_limits,
    write_brief,
    write_reason,
)
from safety_check.units import Preferences
from tests import scenes
from tests.rules.weighed_by_hand import hazard

GO, MARGINAL, UNKNOWN, NO_GO = Severity
MPH = 0.44704  # m/s, exact: the international mile in an hour
MILE = 1609.344  # m
KNOT = 1852 / 3600
TIME = np.datetime64("2026-06-13T15:00:00")  # 10:00 at the water
HOUR = "between 10:00 and 11:00"
METRIC = Preferences("km/h", "m", "km", "C")


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8 + 273.15


def limit(quantity: str, marginal: float | None, no_go: float | None, **changed: Any) -> Limit:
    day = date(2026, 6, 1)
    made = Limit(quantity, "any", "1", "higher", marginal, no_go, "judgement", "here", day, day)
    return replace(made, **changed)


WIND = limit("wind_speed", 12 * MPH, 20 * MPH)
OWN = replace(WIND, basis="personal")
LOWER: dict[str, Any] = {"worse": "lower"}
BARE: dict[str, Any] = {**LOWER, "applies_to": "wearing none"}
WATER = limit("water_temperature", celsius(70), celsius(60), **BARE)
LIMITS = (
    WIND,
    WATER,
    limit("sum_of_air_and_water_temperature", None, 50.0, **BARE),
    limit("swim_to_shore_share", 1.0, 2.0, applies_to="wearing wetsuit"),
    limit("visibility_in_air", 2 * MILE, MILE, **LOWER),
    limit("heat_index", celsius(90), celsius(104)),
    limit("way_home_share_of_trip", 0.5, 1.0),
    limit("time_to_dusk_once_home", 0.0, None, **LOWER),
    limit("share_of_hold_station_wind", 0.8, 1.0),
)


def told(
    *own: Limit,
    defaults: Iterable[Limit] = LIMITS,
    undeclared: Iterable[str] = (),
    **changed: Any,
) -> ReasonContext:
    """Return who reads, by the limits above and some of their own."""
    usual = {one.quantity: one for one in defaults}
    limits = Limits(usual | {one.quantity: one for one in own}, usual, frozenset(undeclared))
    trip = scenes.plan()
    return ReasonContext(Preferences(), LocalClock.of(trip), trip.craft, limits, **changed)


def worst(severity: Severity, value: float, bound: float, odds: float = 1.0) -> WorstHour:
    return WorstHour(severity, value, bound, TIME, odds, "")


def reason(name: str, hour: WorstHour, context: ReasonContext | None = None) -> str:
    return write_reason(hazard(name), context or told(), hour)


def brief(name: str, hour: WorstHour, context: ReasonContext | None = None) -> str:
    return write_brief(hazard(name), context or told(), hour)


TOO_WINDY = worst(NO_GO, 21 * MPH, 20 * MPH)
WINDY = worst(MARGINAL, 15 * MPH, 12 * MPH)
WIND_IS = f"Wind reaches 21 mph {HOUR};"


# -- values --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "shown_as", "words"),
    [
        (10 * MPH, "wind", "10 mph"),
        (3 * MPH, "wind_change", "3 mph"),
        (0.6096, "wave", "2.0 ft"),
        (MILE, "distance", "1.0 mi"),
        (288.15, "temperature", "59 °F"),
        (20.0, "temperature_sum", "100 °F"),  # 10 + 10 °C are 50 + 50 °F
        (600.0, "minutes", "10 min"),
        (-6.2, "angle", "the sun stands 6° below the horizon"),
        (-0.4, "angle", "the sun stands 0° below the horizon"),
        (0.0, "angle", "the sun stands 0° above the horizon"),
        (0.6, "angle", "the sun stands 1° above the horizon"),
        (1200.4, "energy", "1200 J/kg"),
        (2.6, "rain", "3 mm"),
        (0.25, "share", "25 %"),
        (0.4, "part", "40 %"),
        (1.3, "times", "1.3 ×"),
        (89.6, "turn", "90°"),
        (340.0, "pressure", "3.4 hPa"),
        (1500.0, "spare", "25 min before"),
        (-1500.0, "spare", "25 min after"),
        (5940.0, "spare", "99 min before"),
        (6000.0, "spare", "2 h before"),
        (-9000.0, "spare", "2 h after"),
        (1500.0, "before_sunset", "25 min before sunset"),
        (0.0, "before_sunset", "0 min before sunset"),
        (-60.0, "before_dusk", "1 min after dusk"),
        (-7200.0, "before_dusk", "2 h after dusk"),
        (-7201.0, "before_dusk", "in the dark"),
        *((1.0, "flag", "yes"), (0.0, "flag", "no")),
        *((1.0, "declared", "declared"), (0.0, "declared", "not declared")),
        *((0.0, "warning", "none"), (1.0, "warning", "caution"), (3.0, "warning", "no-go")),
        (2 * KNOT, "current", "2.0 kt"),
        (28.316846592, "flow", "1,000 cfs"),  # a cubic foot is 0.028316846592 m³, exactly
        (0.92, "percentile", "at or above 92 %"),
        *((0.0, "flood", "below action stage"), (1.0, "flood", "at action stage")),
        *((2.0, "flood", "in minor flood"), (3.0, "flood", "in moderate flood")),
        (4.0, "flood", "in major flood"),
        *(
            (0.0, "release", "none"),
            (1.0, "release", "nobody asked"),
            (3.0, "release", "announced"),
        ),
        (math.nan, "wind", "unknown"),
    ],
)
def test_a_value_reads_as_worked_out_by_hand(value: float, shown_as: str, words: str) -> None:
    assert told().value(value, shown_as) == words


def test_a_reader_of_metric_units_has_them_everywhere() -> None:
    context = replace(told(), preferences=METRIC)
    assert context.value(12.34, "flow") == "12.3 m³/s"
    assert context.value(20.0, "temperature_sum") == "20 °C"
    assert context.value(10.0, "wind") == "36 km/h"


def test_a_value_without_an_end_is_in_words() -> None:
    assert told().value(math.inf, "wind") == describe_endless(math.inf, "wind")


@pytest.mark.parametrize(
    ("value", "shown_as", "words"),
    [(12.34 * MPH, "wind", "12.3 mph"), (0.2999, "share", "29.9 %"), (1.0, "flag", "yes")],
)
def test_a_bound_has_a_unit_or_words(value: float, shown_as: str, words: str) -> None:
    assert told().bound(value, shown_as, "higher") == words


# A value is rounded to whole mph and °F; where that would contradict the bound beside it, it gets
# the digits that show on which side of the bound it is.
@pytest.mark.parametrize(
    ("name", "bound", "value", "reached", "words"),
    [
        ("wind_too_strong", 20 * MPH, 21.2 * MPH, True, "21 mph"),
        ("wind_too_strong", 20 * MPH, 20.2 * MPH, True, "20 mph"),
        ("wind_too_strong", 20 * MPH, 19.8 * MPH, False, "19.8 mph"),
        ("wind_too_strong", 12.3 * MPH, 12.4 * MPH, True, "12.4 mph"),
        ("wind_too_strong", 12.3 * MPH, 12.2 * MPH, False, "12 mph"),
        ("cold_water", celsius(50), celsius(44.3), True, "44 °F"),
        ("cold_water", celsius(50), celsius(49.7), True, "50 °F"),
        ("cold_water", celsius(50), celsius(50.4), False, "50.5 °F"),
        ("cold_water", celsius(50), celsius(55.4), False, "55 °F"),
        ("held_in_place", 1.0, 0.999, False, "100 %"),  # a share has no unit of the user's
        ("wind_too_strong", math.inf, 19.8 * MPH, False, "20 mph"),
        ("gusts_too_strong", 20 * MPH, 19.8 * MPH, False, "20 mph"),  # no limit is chosen
    ],
)
def test_a_value_has_the_digits_that_show_whether_it_reaches_its_bound(
    name: str, bound: float, value: float, reached: bool, words: str
) -> None:
    assert told().value_beside(bound, value, hazard(name), reached) == words


# -- place and time ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (None, ""),
        ((0.0, 99.0), ""),
        ((0.0, 100.0), ", 0.06 mi N of the launch"),
        ((MILE, 0.0), ", 1.0 mi E of the launch"),
        ((-3000.0, -4000.0), ", 3.1 mi SW of the launch"),  # 5 km are 3.107 miles
    ],
)
def test_a_place_is_said_by_distance_and_direction_unless_it_is_the_launch(
    place: tuple[float, float] | None, words: str
) -> None:
    assert told().place(hazard("capsize_by_waves"), place) == words


def test_a_warning_has_its_headlines_and_a_miss_its_sentence_in_place_of_a_place() -> None:
    seen = scenes.observation("wind_speed", 20 * MPH)
    context = told(
        warnings=("Gale Warning", "Small Craft Advisory"),
        missed=(MissedForecast(seen, 9 * MPH, 13 * MPH),),
    )
    far = (5000.0, 0.0)
    assert context.place(hazard("official_warning"), far) == "Gale Warning; Small Craft Advisory"
    said = context.place(hazard("forecast_missed"), far)
    assert said.startswith("On Fri 17:00 station own eyes reported wind of 20 mph, but")
    assert context.place(hazard("capsize_by_waves"), None) == ""


def test_an_hour_is_named_by_the_part_of_it_that_is_judged() -> None:
    def part(start: int, end: int) -> ReasonContext:
        first, last = (scenes.START + timedelta(minutes=after) for after in (start, end))
        return told(judged=(first, last))

    assert told().hour(TIME) == HOUR
    assert part(0, 60).hour(TIME) == HOUR
    assert part(-90, 300).hour(TIME) == HOUR
    assert part(20, 300).hour(TIME) == "between 10:20 and 11:00"
    assert part(-90, 50).hour(TIME) == "between 10:00 and 10:50"
    assert told().start(TIME) == "at 10:00"
    assert part(20, 300).start(TIME) == "at 10:20"


def test_an_hour_ends_on_the_hour_or_with_the_plan() -> None:
    assert told().end(TIME) == "11:00"
    assert told(plan_end=scenes.START + timedelta(minutes=30)).end(TIME) == "10:30"
    assert told(plan_end=scenes.START + timedelta(minutes=90)).end(TIME) == "11:00"


# -- limits --------------------------------------------------------------------------------------


def test_a_no_go_has_a_limit_and_a_caution_has_a_start() -> None:
    assert reason("wind_too_strong", TOO_WINDY) == (
        f"{WIND_IS} the limit for this sit-on-top kayak is 20 mph."
    )
    caution = "caution starts at 12 mph."
    assert reason("wind_too_strong", WINDY) == f"Wind reaches 15 mph {HOUR}; {caution}"
    calm = worst(GO, 5 * MPH, 12 * MPH)
    assert reason("wind_too_strong", calm) == f"Wind reaches 5 mph {HOUR}; {caution}"
    near = worst(GO, 11.9 * MPH, 12 * MPH)  # never said to be at the caution
    assert brief("wind_too_strong", near) == f"Wind reaches 11.9 mph {HOUR}; {caution}"


def test_a_bound_that_does_not_exist_is_no_limit() -> None:
    endless = worst(NO_GO, 21 * MPH, math.inf)
    assert reason("wind_too_strong", endless) == f"{WIND_IS} no limit is set."
    assert brief("wind_too_strong", endless) == f"{WIND_IS} no limit is set."


def test_a_limit_on_clothing_names_it_and_one_for_all_names_nobody() -> None:
    cold = worst(NO_GO, celsius(50), celsius(60))
    words = "The water is at 50 °F; the limit"
    assert brief("cold_water", cold) == f"{words} without immersion clothing is 60 °F or less."
    dry = replace(WATER, applies_to="wearing drysuit")
    assert brief("cold_water", cold, told(dry)) == f"{words} in a drysuit is 60 °F or less."
    fog = worst(NO_GO, 0.5 * MILE, MILE)
    assert brief("fog", fog) == f"Visibility falls to 0.5 mi {HOUR}; the limit is 1 mi or less."
    cool = worst(NO_GO, 20.0, 50.0)  # 20 °C are 100 °F as a sum of two, 50 °C are 154 °F
    assert brief("cold_air_over_cold_water", cool).endswith(
        "up to 100 °F between 10:00 and 11:00; the limit without immersion clothing is 154 °F or"
        " less."
    )
    hot = worst(NO_GO, celsius(110), celsius(104))
    assert brief("heat", hot) == f"The heat index reaches 110 °F {HOUR}; the limit is 104 °F."


def test_the_limit_on_the_swim_is_a_distance_and_far_out_the_advice_is_to_stay_close() -> None:
    # Two miles are four times as far as one can swim: half a mile. The limit is twice that.
    away = "The shore is up to 2.0 mi away, and in this water you could swim"
    far = worst(NO_GO, 4.0, 2.0)
    context = told(from_shore=2 * MILE)
    assert brief("too_far_to_swim", far, context).startswith(
        f"{away} 0.5 mi {HOUR}; the limit in a wetsuit is 1 mi. Stay closer to the shore."
    )
    near = worst(GO, 0.5, 1.0)
    assert brief("too_far_to_swim", near, context) == (
        f"{away} 4.0 mi {HOUR}; caution starts at 4 mi."
    )
    never = worst(NO_GO, math.inf, 2.0)
    assert brief("too_far_to_swim", never, context).startswith(f"{away} hardly any distance")


@pytest.mark.parametrize(
    ("own", "hour", "words"),
    [
        (replace(OWN, no_go=15 * MPH), worst(NO_GO, 21 * MPH, 15 * MPH),
         "your limit for this craft is 15 mph (yours, default 20 mph)."),
        (replace(OWN, no_go=15 * MPH, set_at=("", "Orvel Lake")), worst(NO_GO, 21 * MPH, 15 * MPH),
         "your limit for this craft is 15 mph (yours for Orvel Lake, default 20 mph)."),
        (replace(OWN, marginal=10 * MPH, set_at=("Orvel Lake", "")),
         worst(MARGINAL, 21 * MPH, 10 * MPH),
         "your caution starts at 10 mph (yours for Orvel Lake, default 12 mph)."),
        (OWN, worst(NO_GO, 21 * MPH, 20 * MPH),
         "your limit for this craft is 20 mph (yours)."),
        (replace(OWN, no_go=20.9 * MPH, loosened=WIND), worst(NO_GO, 21 * MPH, 20.9 * MPH),
         "your limit for this craft is 20.9 mph (yours, default 20 mph, looser than the default,"
         " as you chose)."),
        (WIND, worst(NO_GO, 21 * MPH, 16 * MPH),
         "the limit for this sit-on-top kayak is 16 mph (default 20 mph)."),
    ],
)  # fmt: skip
def test_who_set_a_limit_is_said_in_brackets(own: Limit, hour: WorstHour, words: str) -> None:
    assert reason("wind_too_strong", hour, told(own)) == f"{WIND_IS} {words}"


def test_a_limit_without_a_default_has_none_to_name() -> None:
    none = replace(WIND, no_go=None)
    own = replace(OWN, no_go=15 * MPH)
    hour = worst(NO_GO, 21 * MPH, 15 * MPH)
    assert reason("wind_too_strong", hour, told(own, defaults=[none])).endswith("15 mph (yours).")


def test_what_lowers_a_default_is_said_as_a_chain_but_not_of_the_users_own() -> None:
    lowered = replace(worst(NO_GO, 21 * MPH, 15 * MPH), causes=("alone", "cold water"))
    chain = "(20 mph for this craft → alone → cold water → 15 mph; you can change: company)."
    assert reason("wind_too_strong", lowered).endswith(
        f"the limit for this sit-on-top kayak is 15 mph {chain}"
    )
    above = replace(OWN, no_go=18 * MPH)  # the default was lowered below the user's own
    assert reason("wind_too_strong", lowered, told(above)).endswith(
        f"the limit for this craft is 15 mph {chain}"
    )
    own = replace(OWN, no_go=15 * MPH)
    assert reason("wind_too_strong", lowered, told(own)).endswith(
        "your limit for this craft is 15 mph (yours, default 20 mph)."
    )


def test_only_what_the_user_can_change_is_offered() -> None:
    assert chain_of_limits("18 mph", ["cold water"], "15 mph") == (
        "18 mph for this craft → cold water → 15 mph"
    )


@pytest.mark.parametrize(
    ("basis", "bounds", "severity", "bound", "own"),
    [
        ("personal", (5.0, 8.0), NO_GO, 8.0, True),
        ("personal", (5.0, 8.0), NO_GO, 7.0, False),
        ("personal", (5.0, 8.0), NO_GO, 5.0, False),
        ("personal", (5.0, 8.0), MARGINAL, 5.0, True),
        ("personal", (5.0, 8.0), MARGINAL, 8.0, False),
        ("personal", (None, 8.0), MARGINAL, 8.0, True),
        ("personal", (5.0, None), NO_GO, 5.0, False),
        ("personal", (None, None), MARGINAL, 5.0, False),
        ("judgement", (5.0, 8.0), NO_GO, 8.0, False),
    ],
)
def test_a_bound_is_the_users_own_where_their_limit_sets_it(
    basis: str,
    bounds: tuple[float | None, float | None],
    severity: Severity,
    bound: float,
    own: bool,
) -> None:
    made = limit("wind_speed", *bounds, basis=basis)
    assert by_user(made, worst(severity, 9.0, bound)) is own


# -- what else a reason says -----------------------------------------------------------------------


def test_the_share_of_the_forecasts_is_said_where_it_is_not_all_of_them() -> None:
    said = "(in 40 % of the forecasts)."
    assert reason("wind_too_strong", replace(TOO_WINDY, odds=0.4)).endswith(f"20 mph {said}")
    assert reason("wind_too_strong", replace(WINDY, odds=0.4)).endswith(f"12 mph {said}")
    assert "in 99 %" in reason("wind_too_strong", replace(WINDY, odds=0.99))
    for whole in (
        replace(TOO_WINDY, odds=0.995),
        worst(GO, 5 * MPH, 12 * MPH, odds=0.4),
        worst(UNKNOWN, math.nan, 12 * MPH, odds=0.4),
    ):
        assert "of the forecasts" not in reason("wind_too_strong", whole)
    assert "of the forecasts" not in brief("wind_too_strong", replace(TOO_WINDY, odds=0.4))


def test_what_is_not_known_says_what_to_do_instead_of_a_limit() -> None:
    words = f"The wind speed is not known {HOUR}. {hazard('wind_too_strong').remedy}"
    assert reason("wind_too_strong", worst(UNKNOWN, math.nan, 12 * MPH)) == words
    assert reason("wind_too_strong", worst(UNKNOWN, 5.0, 12 * MPH)) == words
    assert reason("wind_too_strong", worst(MARGINAL, math.nan, 12 * MPH)) == words


def test_a_limit_that_waits_for_a_declaration_asks_for_it() -> None:
    context = told(undeclared=["water_temperature"])
    cold = worst(UNKNOWN, celsius(50), math.nan)
    assert reason("cold_water", cold, context) == hazard("cold_water").says_undeclared


def test_a_way_home_without_an_end_is_no_headway() -> None:
    slow = brief("slow_way_home", worst(NO_GO, 1.2, 1.0))
    assert slow == (
        f"The way home from the farthest point takes 120 % of the trip time {HOUR}; the limit is"
        " 100 %."
    )
    never = brief("slow_way_home", worst(NO_GO, math.inf, 1.0))
    assert never == (
        f"From the farthest point you make no headway towards the launch {HOUR}, so the way home"
        " never ends; the limit is 100 % of the trip time."
    )


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (-1200.0, "at 11:00, you are home 20 min after dusk"),
        (-7200.0, "at 11:00, you are home 2 h after dusk"),
        (-7201.0, "at 10:00, you are home in the dark"),  # at night every hour's start counts
    ],
)
def test_dusk_is_counted_from_the_end_of_an_hour_and_night_from_its_start(
    seconds: float, words: str
) -> None:
    late = brief("dusk_before_home", worst(MARGINAL, seconds, 0.0))
    assert late == f"If you turn back {words}; caution starts at dusk."


def test_the_users_rules_for_a_place_are_named_with_what_they_add() -> None:
    local = (("funnels", 3 * MPH), ("gap", 2 * MPH))
    added = ' The wind includes up to 3 mph by your rule "funnels" and 2 mph by your rule "gap".'
    for write in (reason, brief):
        assert write("wind_too_strong", replace(WINDY, local=local)) == (
            f"Wind reaches 15 mph {HOUR}; caution starts at 12 mph.{added}"
        )
        lost = replace(worst(UNKNOWN, math.nan, 12 * MPH), local=local)
        assert "your rule" not in write("wind_too_strong", lost)


# -- an estimated water temperature ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("severity", "bound", "words"),
    [
        (GO, 70.0, "even at the cold end caution starts at 70 °F or less."),
        (MARGINAL, 70.0, "caution starts at 70 °F or less. Measure it."),
        (NO_GO, 60.0,
         "even at the warm end the limit without immersion clothing is 60 °F or less."),
    ],
)  # fmt: skip
def test_an_estimate_says_its_range_and_which_end_decides(
    severity: Severity, bound: float, words: str
) -> None:
    hour = worst(severity, celsius(50), celsius(bound))
    estimated = replace(hour, warmest_water=celsius(59))
    assert reason("cold_water", estimated) == (
        f"The water is estimated at 50 °F to 59 °F from air temperature, not measured; {words}"
    )
    assert brief("cold_water", estimated).startswith("Water estimated, 50 °F to 59 °F; ")
    assert brief("cold_water", hour).startswith("The water is at 50 °F; ")


@pytest.mark.parametrize(
    ("name", "value", "bound"),
    [("cold_air_over_cold_water", 20.0, 50.0), ("too_far_to_swim", 4.0, 2.0)],
)
def test_what_follows_from_an_estimate_says_at_which_end(
    name: str, value: float, bound: float
) -> None:
    note = "(at the cold end of the estimated water temperature)"
    hour = worst(NO_GO, value, bound)
    estimated = replace(hour, warmest_water=celsius(59))
    context = told(from_shore=2 * MILE)
    assert reason(name, estimated, context).endswith(f"{note}.")
    assert reason(name, replace(estimated, odds=0.4), context).endswith(
        f"{note} (in 40 % of the forecasts)."
    )
    assert note not in reason(name, hour, context)
    assert note not in reason(name, replace(estimated, value=math.nan), context)
    assert note not in reason("wind_too_strong", replace(TOO_WINDY, warmest_water=celsius(59)))
