"""The reason of every hazard, worse than GO, reads well and fits every width."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np
import pytest

from safety_check.conditions.forecast_trend import PastChecks
from safety_check.model.moving_water import FloodCategory, MovingWater, RiverReading
from safety_check.model.verdict import Finding, Severity, Verdict
from safety_check.model.weather import Alert, Briefing, Forecast
from safety_check.report.answer import add_answer
from safety_check.report.layout import Layout
from safety_check.report.reasons import weighty_reasons
from safety_check.report.terminal import add_verdict
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.user_file import LimitTable
from safety_check.units import Preferences
from tests import afloat, scenes

CAPE = "atmosphere_convective_available_potential_energy"
SEA = "sea_surface_wave_significant_height"
NOON = "2026-06-13T17"
LATE = datetime(2026, 6, 13, 23, 0, tzinfo=UTC)  # 18:00
NIGHT = datetime(2026, 6, 13, 7, 0, tzinfo=UTC)  # 02:00
COLD = scenes.plan(water_temperature=283.15)
OFFSHORE = replace(
    scenes.open_water(9000.0, from_shore=250.0),
    fetch=np.where((np.arange(0, 360, 5) > 180), 30.0, 9000.0)[:, None],
)
LIVE = replace(scenes.FROM_A_FILE, recorded=False)
WARNING = Alert(
    *("Gale Warning", "Severe", "", "", "Gale Warning for Invented Lake", "", ""),
    *(None, None, "", scenes.FROM_THE_ALERT_SERVICE),
)


def of(**quantities: float) -> Verdict:
    return scenes.verdict(scenes.forecast(quantities))


def from_noon(**quantities: float) -> Forecast:
    made = scenes.forecast()
    for name, value in quantities.items():
        made.quantities[name][:, made.time >= np.datetime64(NOON)] = value
    return made


def by(trip: datetime = scenes.START, hours: float = 5, **declared: object) -> Verdict:
    paddler = replace(scenes.READY, **declared)  # type: ignore[arg-type]
    night = trip != scenes.START
    return scenes.verdict(trip=scenes.plan(paddler=paddler, start=trip, hours=hours, night=night))


def falling_pressure() -> Verdict:
    made = scenes.forecast()
    made.quantities["air_pressure_at_mean_sea_level"] -= 150.0 * np.arange(len(made.time))
    return scenes.verdict(made)


def with_gaps(name: str, models: list[str]) -> Verdict:
    made = scenes.forecast({SEA: 0.1}, {SEA: 0.1}, models=models)
    made.quantities[name][0, made.time >= np.datetime64(NOON)] = np.nan
    return scenes.verdict(made, own=scenes.settings(dressing=True))


def home_too_late() -> Verdict:
    """Return a trip whose way home, of hours, reaches into a blow after the plan's end."""
    made = scenes.forecast()
    blow = made.time >= np.datetime64("2026-06-13T19")
    made.quantities["wind_speed"][:, blow] = 9.0
    made.quantities["wind_speed_of_gust"][:, blow] = 12.0
    far = replace(scenes.plan(hours=2), reach=9000.0)
    return scenes.verdict(made, far, scenes.open_water(9000.0))


def grown() -> Verdict:
    def told(wind: float, hours_ago: float) -> Briefing:
        said = {"wind_speed": wind, "wind_speed_of_gust": wind}
        made = scenes.forecast(said, provenance=LIVE)
        return scenes.briefing(made, scenes.NOW - timedelta(hours=hours_ago))

    earlier = scenes.assess(scenes.plan(), told(1.4, 12)).forecast
    past = PastChecks((earlier,))
    return scenes.judge(scenes.plan(), told(8.0, 0), scenes.POND, scenes.settings(), past)


def too_old() -> Verdict:
    old = replace(scenes.FROM_A_FILE, issued=scenes.NOW - timedelta(hours=60))
    return scenes.verdict(scenes.forecast(provenance=old))


def moving(known: MovingWater | None) -> Verdict:
    return afloat.verdict(afloat.plan(), known)


def below_dam(
    reading: RiverReading, quantity: str = "", bound: str = "", **changed: object
) -> Verdict:
    limits = [LimitTable(quantity=quantity, water=afloat.TAILWATER.name, no_go=bound)]
    own = scenes.settings(*(limits if quantity else []))
    known = afloat.flowing(reading, **changed)
    return afloat.verdict(afloat.plan(afloat.TAILWATER), known, own=own)


SCENES: dict[str, Callable[[], Verdict]] = {
    "forecast_too_old": too_old,
    "forecast_with_gaps": lambda: with_gaps("wind_speed", models=["an ensemble"] * 2),
    "sea_forecast_with_gaps": lambda: with_gaps(SEA, models=["one", "other"]),
    "forecast_growing": grown,
    "forecast_missed": lambda: scenes.verdict(observations=[scenes.observation("wind_speed", 9.0)]),
    "wind_too_strong": lambda: of(wind_speed=9.0, wind_speed_of_gust=13.0),
    "gusts_too_strong": lambda: of(wind_speed_of_gust=12.0),
    "capsize_by_waves": lambda: scenes.verdict(
        scenes.forecast({"wind_speed": 6.0, "wind_speed_of_gust": 8.0}), water=scenes.LARGE_LAKE
    ),
    "no_life_jacket": lambda: by(life_jacket="none"),
    "overloaded": lambda: by(within_capacity=False),
    "company_not_declared": lambda: by(company=None),
    "cold_water": lambda: scenes.verdict(trip=COLD),
    "cold_air_over_cold_water": lambda: scenes.verdict(
        scenes.forecast({"air_temperature": 280.0}), COLD
    ),
    "dark_without_daylight": lambda: by(NIGHT, 2, light=False),
    "thunderstorm": lambda: of(weather_code=95.0),
    "air_ready_for_storms": lambda: of(**{CAPE: 2500.0, "precipitation_amount": 0.5}),
    "thunder_possible": lambda: scenes.verdict(
        scenes.forecast({"probability_of_thunder": 0.4}, provenance=scenes.FROM_THE_WEATHER_SERVICE)
    ),
    "fog": lambda: of(visibility_in_air=500.0),
    "fog_forecast": lambda: of(weather_code=45.0),
    "heavy_rain": lambda: of(precipitation_amount=9.0),
    "cold_air": lambda: of(air_temperature=258.0),
    "heat": lambda: of(air_temperature=312.0),
    "official_warning": lambda: scenes.verdict(alerts=[WARNING]),
    "held_in_place": lambda: of(wind_speed=10.0, wind_speed_of_gust=14.0),
    "slow_way_home": lambda: of(wind_speed=15.0, wind_speed_of_gust=20.0),
    "dark_is_near": lambda: by(LATE, 3, light=False),
    "dusk_before_home": lambda: scenes.verdict(trip=scenes.plan(start=LATE, hours=4)),
    "offshore_wind": lambda: scenes.verdict(scenes.forecast({"wind_speed": 5.0}), water=OFFSHORE),
    "too_far_to_swim": lambda: scenes.verdict(
        trip=COLD, water=scenes.open_water(2000.0, from_shore=1200.0)
    ),
    "wind_shift": lambda: scenes.verdict(from_noon(wind_from_direction=90.0, wind_speed=6.0)),
    "wind_jumps": lambda: scenes.verdict(from_noon(wind_speed=9.0)),
    "pressure_falls": falling_pressure,
    "worse_before_home": home_too_late,
    "strong_current": lambda: moving(afloat.tidal(1.2)),
    "current_of_sea_model": lambda: moving(afloat.tidal(hints=(afloat.hint(1.2),), currents=())),
    "current_stops_craft": lambda: moving(afloat.tidal(1.5)),
    "wind_against_current": lambda: moving(None),
    "waves_break_on_current": lambda: moving(None),
    "ebb_at_bar": lambda: moving(afloat.tidal(0.6)),
    "tide_not_known": lambda: moving(None),
    "launch_dries": lambda: afloat.verdict(afloat.plan(dries=1.8), afloat.tidal()),
    "river_in_flood": lambda: below_dam(afloat.river(FloodCategory.ACTION)),
    "river_high_for_the_day": lambda: below_dam(afloat.river(percentile=0.92)),
    "river_high_and_rising": lambda: below_dam(afloat.river(percentile=0.97, rise=1e-5)),
    "river_gauge": lambda: below_dam(afloat.river(), "river_gauge_height", "1 ft"),
    "river_discharge": lambda: below_dam(afloat.river(), "river_discharge", "100 cfs"),
    "dam_release": lambda: below_dam(afloat.river(), releases=None),
}


WIDTHS = (40, 60, 80)
EMPTY_NAME = re.compile(r" ,|,,|: ,|\(\)|, \.|; \.|;;|\.\.|\bnan\b")


@cache
def verdict_of(hazard: str) -> Verdict:
    """Return the verdict on a hazard's scene."""
    return SCENES[hazard]()


def finding(verdict: Verdict, hazard: str) -> Finding:
    return next(one for one in verdict.findings if one.hazard == hazard)


def test_every_hazard_has_its_scene() -> None:
    assert set(SCENES) == {hazard.name for hazard in HAZARDS}


@pytest.fixture(scope="module", params=SCENES)
def told(request: pytest.FixtureRequest) -> tuple[str, Verdict]:
    return request.param, verdict_of(request.param)


def test_a_reason_is_one_text_without_gaps(told: tuple[str, Verdict]) -> None:
    hazard, verdict = told
    assert finding(verdict, hazard).severity > Severity.GO
    for one in verdict.findings:
        for text in (one.reason, one.short):
            assert "  " not in text
            assert text[0].isupper(), text
            assert text.endswith((".", "?")), text
            assert not EMPTY_NAME.search(text), text


def test_a_reason_is_told_once(told: tuple[str, Verdict]) -> None:
    reasons = weighty_reasons(told[1])
    assert len(reasons) == len(set(reasons))


@pytest.mark.one_in(4)
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("add", [add_answer, add_verdict])
def test_a_report_fits_and_cuts_no_number(
    told: tuple[str, Verdict], add: Callable[..., None], width: int
) -> None:
    narrow, wide = Layout(width), Layout(400)
    add(told[1], Preferences(), narrow)
    add(told[1], Preferences(), wide)
    assert max(map(len, narrow.lines)) <= width
    assert not EMPTY_NAME.search(" ".join(" ".join(wide.lines).split()))
    assert figures_of_hours(narrow) == figures_of_hours(wide)


def figures_of_hours(layout: Layout) -> list[list[str]]:
    """Return wind, gusts and waves of each row of the table of hours."""
    start = next((at for at, line in enumerate(layout.lines) if line.startswith(" hours")), None)
    if start is None:
        return []
    titles = [title.split(",")[0] for title in re.split(r" {2,}", layout.lines[start].strip())]
    kept = [titles.index(title) for title in ("wind", "gusts", "waves")]
    rows = []
    for line in layout.lines[start + 1 :]:
        cells = re.split(r" {2,}", line.strip())
        if not re.match(r" \d\d", line):
            break
        rows.append([cells[at] for at in kept])
    return rows


def test_nothing_declared_asks_for_each_thing_once() -> None:
    verdict = scenes.verdict(trip=scenes.plan(paddler=replace(scenes.READY, light=None)))
    asked = [text for _, text in weighty_reasons(verdict) if "carry a light" in text]
    assert len(asked) == 1


def test_no_headway_is_said_as_such() -> None:
    verdict = scenes.verdict(scenes.forecast({"wind_speed": 15.0, "wind_speed_of_gust": 20.0}))
    reason = finding(verdict, "slow_way_home").reason
    assert "you make no headway" in reason
    assert "more than all" not in reason


def test_the_limit_on_the_swim_is_a_distance() -> None:
    reason = finding(verdict_of("too_far_to_swim"), "too_far_to_swim").reason
    assert "you could swim 0.43 mi" in reason
    assert "caution starts at 0.4 mi" in reason


@pytest.mark.parametrize("hazard", ["no_life_jacket", "company_not_declared", "overloaded"])
def test_a_remedy_is_a_sentence_and_not_a_bare_command(hazard: str) -> None:
    remedy = next(one.remedy for one in HAZARDS if one.name == hazard)
    assert remedy.startswith("Say it with: safety-check ")
    assert remedy.endswith(".")


def test_an_observation_above_the_forecasts_is_never_said_to_equal_them() -> None:
    """Rounded to whole miles per hour, 9.4 and 9.0 read alike."""
    reasons = []
    for wind in np.arange(3.6, 4.6, 0.05):
        seen = [scenes.observation("wind_speed", float(wind))]
        reasons.append(finding(scenes.verdict(observations=seen), "forecast_missed").reason)
    missed = [re.search(r"wind of (.*?), .* at most (.*?)\.", text) for text in reasons]
    assert all(one[1] != one[2] for one in missed if one)
    assert any("almost 9 mph" in text for text in reasons)
