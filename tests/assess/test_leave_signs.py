"""The signs to leave the water by are the verdict's own numbers, in every form of the report."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from safety_check.assess.leave_signs import find_leave_signs
from safety_check.conditions.coefficients import Coefficients
from safety_check.model.advice import Advice
from safety_check.model.leave_signs import LeaveSigns
from safety_check.model.place import OpenWater
from safety_check.model.verdict import HourVerdict, Severity, Verdict
from safety_check.report import json as json_report
from safety_check.report.leave_signs import LEAVE_TITLE, leave_lines
from safety_check.report.page import page
from safety_check.settings.limits import load_grades, load_swim
from safety_check.units import Preferences
from tests import scenes
from tests.assess import by_hand
from tests.report.reading import Reader

BREEZE = {"wind_speed": 5.8, "wind_speed_of_gust": 8.0}


def shore_in_the_north() -> OpenWater:
    """Return a launch with a shore 50 m north of it, and 10 km of open water to the south."""
    bearings = np.arange(0.0, 360.0, 5.0)
    north = np.cos(np.radians(bearings)) > 0.3
    fetch = np.where(north, 50.0, 10_000.0)[:, None]
    whole = scenes.open_water(10_000.0, from_shore=400.0)
    return replace(whole, fetch=fetch)


def test_the_wind_to_leave_in_is_the_caution_that_the_forecast_stays_below() -> None:
    signs = scenes.verdict().leave_signs
    assert signs is not None
    bounds = [hour.bounds["wind_speed"] for hour in scenes.verdict().hours]
    assert signs.wind == pytest.approx(min(caution for caution, _ in bounds))
    assert signs.whitecaps == (signs.wind <= 5.5)


def test_where_the_caution_is_reached_the_no_go_is_the_sign() -> None:
    verdict = scenes.verdict(scenes.forecast(BREEZE))
    assert verdict.leave_signs is not None
    caution, no_go = verdict.hours[0].bounds["wind_speed"]
    assert caution < verdict.leave_signs.wind <= no_go


def test_a_wind_that_would_blow_off_the_shore_is_named_by_its_points() -> None:
    onshore = scenes.forecast({"wind_from_direction": 180.0})
    verdict = scenes.verdict(onshore, water=shore_in_the_north())
    assert verdict.leave_signs is not None
    assert verdict.leave_signs.offshore == (0.0, 45.0, 315.0)
    said = " ".join(leave_lines(verdict, Preferences()))
    assert "A wind from N, NE or NW: here it blows off the shore." in said
    already = scenes.verdict(
        scenes.forecast({"wind_from_direction": 0.0}), water=shore_in_the_north()
    )
    assert already.leave_signs is not None
    assert already.leave_signs.offshore == ()


def test_text_page_and_json_carry_the_signs_of_a_go_and_none_of_a_no_go() -> None:
    verdict = scenes.verdict()
    lines = leave_lines(verdict, Preferences())
    assert any(line.startswith("Wind of") for line in lines)
    assert any("Thunder" in line for line in lines)
    assert any("turned back by" in line for line in lines)
    read = Reader(page.render_page(verdict, scenes.settings()))
    assert LEAVE_TITLE in read.text
    assert all(line in read.text for line in lines)
    part = json.loads(json_report.text(verdict, "0", 0))["leave_signs"]
    assert datetime.fromisoformat(part["by"]).tzinfo == UTC or part["by"].endswith("Z")
    refused = scenes.verdict(scenes.forecast({"wind_speed": 15.0, "wind_speed_of_gust": 20.0}))
    assert leave_lines(refused, Preferences()) == []
    assert json.loads(json_report.text(refused, "0", 0))["leave_signs"] is None


# -- of verdicts written by hand -------------------------------------------------------------------

Bounds = tuple[float, float]
WIND, GUST = "wind_speed", "wind_speed_of_gust"
WAVE, FROM = "sea_surface_wave_significant_height", "wind_from_direction"
LAKE = scenes.open_water(0.0)
# A wind that has 1 km of open water downwind is a full offshore wind, half a kilometre a half one.
BY_OPEN_WATER = ("offshore_wind_speed", "open_water_downwind")
GRADE = load_grades()[BY_OPEN_WATER].model_copy(update={"none": 0.0, "full": 1000.0, "least": 0.0})
PLAIN = Coefficients({BY_OPEN_WATER: GRADE}, load_swim())


def hour(
    highest: Mapping[str, float], bounds: Mapping[str, Bounds], direction: float
) -> HourVerdict:
    shown = {f"{name}_high": highest.get(name, 0.0) for name in (WIND, GUST, WAVE)}
    shown[FROM] = direction
    return HourVerdict(scenes.START, Severity.GO, {}, (), shown, bounds)


def written(hours: Sequence[HourVerdict], advice: Advice | None = None) -> Verdict:
    return replace(by_hand.verdict(hours), advice=advice)


def wind_sign(*hours: tuple[float, Bounds], quantity: str = WIND) -> float:
    """Return the sign of hours with the highest of the forecasts and the bounds of each."""
    made = [hour({quantity: high}, {quantity: bounds}, 0.0) for high, bounds in hours]
    signs = find_leave_signs(written(made), LAKE, PLAIN)
    return {WIND: signs.wind, GUST: signs.gust, WAVE: signs.wave}[quantity]


@pytest.mark.parametrize("quantity", [WIND, GUST, WAVE])
def test_the_sign_is_the_lowest_caution_or_no_go_of_the_hours(quantity: str) -> None:
    inf, nan = math.inf, math.nan
    assert wind_sign((4.0, (5.0, 8.0)), (4.5, (4.8, 9.0)), quantity=quantity) == 4.8
    assert wind_sign((4.0, (5.0, 8.0)), (4.9, (4.8, 9.0)), quantity=quantity) == 8.0
    assert wind_sign((4.8, (4.8, 9.0)), quantity=quantity) == 9.0  # the caution itself is reached
    assert wind_sign((nan, (4.8, 9.0)), quantity=quantity) == 9.0  # it may be reached
    assert math.isnan(wind_sign((5.0, (4.8, inf)), quantity=quantity))


def test_without_bounds_there_is_no_sign() -> None:
    bounded, free = hour({}, {WIND: (5.0, 8.0)}, 0.0), hour({}, {}, 0.0)
    signs = find_leave_signs(written([free, bounded]), LAKE, PLAIN)
    assert signs.wind == 5.0
    assert math.isnan(signs.gust)
    assert math.isnan(signs.wave)


def test_a_craft_that_stops_early_must_leave_in_four_fifths_of_that_wind() -> None:
    def wind(stands_still: float, *bounds: Bounds) -> float:
        advice = by_hand.advice(stands_still)
        made = [hour({}, {WIND: pair}, 0.0) for pair in bounds] or [hour({}, {}, 0.0)]
        return find_leave_signs(written(made, advice), LAKE, PLAIN).wind

    assert wind(5.0, (4.8, 9.0)) == pytest.approx(4.0)  # 0.8 of 5
    assert wind(7.0, (4.8, 9.0)) == 4.8  # 0.8 of 7 is more than the caution
    assert math.isnan(wind(5.0))


# Beaufort 4, "moderate", begins at 5.5 m/s (WMO-No. 306, code table 1100).
def test_whitecaps_show_a_wind_of_5_5_metres_a_second() -> None:
    def whitecaps(caution: float) -> bool:
        made = [hour({}, {WIND: (caution, 9.0)}, 0.0)]
        return find_leave_signs(written(made), LAKE, PLAIN).whitecaps

    assert whitecaps(5.5)
    assert not whitecaps(5.6)


def test_one_leaves_by_the_time_to_turn_back_else_by_worse_weather_else_by_the_end() -> None:
    early, late = scenes.START + timedelta(hours=1), scenes.START + timedelta(hours=2)

    def when(advice: Advice | None) -> tuple[datetime, bool]:
        signs = find_leave_signs(written([hour({}, {}, 0.0)], advice), LAKE, PLAIN)
        return signs.by, signs.turn_back

    assert when(by_hand.advice(9.0, late, early)) == (late, True)
    assert when(by_hand.advice(9.0, None, early)) == (early, False)
    assert when(by_hand.advice(9.0)) == (scenes.plan().end, False)
    assert when(None) == (scenes.plan().end, False)


def offshore(downwind: Mapping[float, float], *forecast: float) -> tuple[float, ...]:
    """Return the points named where some winds have open water downwind of the launch. [m]."""
    fetch = LAKE.fetch.copy()
    for point, metres in downwind.items():
        fetch[LAKE.bearings == (point + 180) % 360] = metres
    made: LeaveSigns = find_leave_signs(
        written([hour({}, {}, direction) for direction in forecast]),
        replace(LAKE, fetch=fetch),
        PLAIN,
    )
    return made.offshore


def test_a_point_is_named_from_half_of_an_offshore_wind_on() -> None:
    assert offshore({45.0: 500.0, 90.0: 499.0, 315.0: 2000.0}, 180.0) == (45.0, 315.0)
    assert offshore({}, 180.0) == ()
    everywhere = {45.0 * point: 1000.0 for point in range(8)}
    assert offshore(everywhere, math.nan) == ()  # no wind could blow on to the shore


@pytest.mark.parametrize(
    ("direction", "expected"), [(22.4, False), (22.6, True), (67.4, True), (67.6, False)]
)
def test_no_point_is_named_where_a_wind_nearest_to_one_is_forecast(
    direction: float, expected: bool
) -> None:
    named = (45.0,)
    assert offshore({45.0: 1000.0}, direction) == (() if expected else named)
    assert offshore({45.0: 1000.0}, 180.0, direction) == (() if expected else named)
    assert offshore({45.0: 1000.0}, math.nan, direction) == (() if expected else named)


def test_the_point_nearest_to_350_degrees_is_north() -> None:
    assert offshore({0.0: 1000.0}, 350.0) == ()
    assert offshore({0.0: 1000.0}, 335.0) == (0.0,)  # nearest to 315
