"""Invented trips for the tests: one line makes a plan, a forecast, a water and a verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TypedDict, Unpack

import numpy as np

from safety_check.arrays import TimeArray, hour_axis
from safety_check.assess.verdict import Assessment, assess_case, judge_in_brief
from safety_check.assess.weighing import weigh_hours, weigh_trip
from safety_check.conditions.case import NOTHING_PAST, Case
from safety_check.conditions.ensemble import Ensemble, as_forecast, raise_to_observed
from safety_check.conditions.forecast_trend import PastChecks
from safety_check.model.craft import Paddler
from safety_check.model.place import Launch, OpenWater, Water, WaterKind
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import (
    Alert,
    Briefing,
    Forecast,
    Observation,
    Provenance,
    SourceFailure,
)
from safety_check.rules.weighed_hours import WeighedHours
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable, OddsTable, UserSettings
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust

NOW = datetime(2026, 6, 12, 22, 0, tzinfo=UTC)  # the evening before, at the invented water
START = datetime(2026, 6, 13, 15, 0, tzinfo=UTC)
LAUNCH = Launch("ramp", latitude=44.9, longitude=-99.6)
WATER = Water("Invented Lake", "America/Chicago", (LAUNCH,), depth=10.0, kind=WaterKind.STILL)
READY = Paddler(life_jacket="worn", wearing="none", company="group", light=True)
FROM_A_FILE = Provenance(
    source="Open-Meteo",
    model="",
    url="",
    issued=NOW - timedelta(hours=2),
    fetched=NOW,
    recorded=True,
)
FROM_THE_WEATHER_SERVICE = replace(FROM_A_FILE, source="National Weather Service")
FROM_THE_ALERT_SERVICE = replace(FROM_A_FILE, source="National Weather Service, alerts")
CALM = {
    "wind_speed": 1.5,
    "wind_speed_of_gust": 2.5,
    "wind_from_direction": 270.0,
    "air_temperature": 295.15,
    "relative_humidity": 0.5,
    "precipitation_amount": 0.0,
    "visibility_in_air": 20_000.0,
    "weather_code": 1.0,
    "air_pressure_at_mean_sea_level": 101_500.0,
    "atmosphere_convective_available_potential_energy": 50.0,
}
REQUIRED = ("wind_speed", "wind_speed_of_gust", "wind_from_direction", "weather_code")
WANTED = (
    "air_temperature",
    "precipitation_amount",
    "visibility_in_air",
    "air_pressure_at_mean_sea_level",
    "atmosphere_convective_available_potential_energy",
)


def open_water(fetch: float, depth: float = 10.0, from_shore: float = 100.0) -> OpenWater:
    """Return a round water with the same open water all round."""
    bearings = np.arange(0.0, 360.0, 5.0)
    return OpenWater(
        points=np.zeros((1, 2)),
        bearings=bearings,
        fetch=np.full((len(bearings), 1), fetch),
        radials=np.full((360, 1), fetch),
        distance_from_shore=np.array([from_shore]),
        rings=(),
        depth=depth,
    )


POND = open_water(300.0)
LARGE_LAKE = open_water(10_000.0, from_shore=1500.0)


def plan(
    craft: str = "sit-on-top-kayak",
    paddler: Paddler = READY,
    hours: float = 5,
    water_temperature: float | None = 296.15,
    start: datetime = START,
    night: bool = False,
) -> Plan:
    """Return a morning trip."""
    return Plan(
        water=WATER,
        launch=LAUNCH,
        craft=settings().craft(craft),
        paddler=paddler,
        start=start,
        end=start + timedelta(hours=hours),
        reach=1609.344,
        water_temperature=water_temperature,
        night=night,
    )


def forecast(
    *members: Mapping[str, float],
    models: Sequence[str] | None = None,
    provenance: Provenance = FROM_A_FILE,
) -> Forecast:
    """Return a forecast of three days in which each member's quantities never change."""
    members = members or ({},)
    time = np.arange("2026-06-12T00", "2026-06-15T00", dtype="datetime64[h]")
    said = [{**CALM, **member} for member in members]
    names = sorted(set().union(*said))
    return Forecast(
        time=time.astype("datetime64[s]"),
        models=tuple(models or [f"model {number}" for number in range(len(members))]),
        members=("",) * len(members),
        quantities={
            name: np.array([[item.get(name, np.nan)] * len(time) for item in said])
            for name in names
        },
        provenance=provenance,
    )


VARYING = {  # the least share that is left of each in an hour
    **{"wind_speed": 0.2, "wind_speed_of_gust": 0.2},
    **{"precipitation_amount": 0.0, "visibility_in_air": 0.5},
}


def by_the_hour(weather: Mapping[str, float], models: Sequence[str], seed: int) -> Forecast:
    """Return runs whose weather changes from hour to hour and differs from run to run.

    In each hour a variable is a share of what it is in `weather`, and in each run a share of that.
    The seed alone draws the shares and the hours with fair weather, so what is more in one weather
    stays more everywhere.
    """
    chance = np.random.default_rng(seed)
    given = forecast(*[weather] * len(models), models=models)
    changed = dict(given.quantities)
    shape = changed["weather_code"].shape
    for name, least in VARYING.items():
        hours, runs = chance.uniform(least, 1.0, shape[1]), chance.uniform(0.7, 1.0, shape)
        changed[name] = changed[name] * hours * runs
    fair = chance.random(shape) < 0.3
    changed["weather_code"] = np.where(fair, CALM["weather_code"], changed["weather_code"])
    turned = chance.normal(0, 15, shape).cumsum(axis=1)
    changed["wind_from_direction"] = (changed["wind_from_direction"] + turned) % 360
    return replace(given, quantities=changed)


def without(given: Forecast, quantity: str, member: slice = slice(None)) -> Forecast:
    """Return a forecast in which some members have lost a quantity."""
    lost = given.quantities[quantity].copy()
    lost[member] = np.nan
    return replace(given, quantities={**given.quantities, quantity: lost})


def settings(
    *limits: LimitTable, tolerance: float = 0.1, dressing: bool = False, **odds: bool
) -> Settings:
    """Return settings with nothing of the user's but these limits.

    Unlike a user's, they take forecasts as they come: the rules are tested on what is written
    in the test. How forecasts are widened has tests of its own.
    """
    nowhere = Path("nowhere")
    user = UserSettings(
        limit=list(limits),
        odds=OddsTable(tolerance=tolerance, loosen=tolerance > 0.1, dressing=dressing, **odds),
    )
    return Settings(Folders(nowhere, nowhere, nowhere), user)


def weighed(case: Case) -> WeighedHours:
    """Return the weighed hours of a trip; a verdict takes far longer, with its words and advice."""
    margin = timedelta(seconds=load_rulebook().course.margin)
    hours = hour_axis(case.plan.start, case.plan.end + margin)
    return weigh_trip(case, weigh_hours(case, hours, load_rulebook()), load_rulebook())


class Told(TypedDict, total=False):
    """What a briefing says besides the forecast, and when it was made."""

    at: datetime
    observations: Sequence[Observation]
    alerts: Sequence[Alert]
    silences: Sequence[SourceFailure]


def verdict(
    given: Forecast | None = None,
    trip: Plan | None = None,
    water: OpenWater = POND,
    own: Settings | None = None,
    **told: Unpack[Told],
) -> Verdict:
    """Return the verdict; without arguments it is a GO."""
    return judge(trip or plan(), _briefing_of(given, **told), water, own or settings())


def severity_of(
    given: Forecast | None = None,
    trip: Plan | None = None,
    water: OpenWater = POND,
    own: Settings | None = None,
    **told: Unpack[Told],
) -> Severity:
    """Return how severe the same verdict is, in a third of the time: without words and advice."""
    return judge_severity(trip or plan(), _briefing_of(given, **told), water, own)


def _briefing_of(given: Forecast | None, **told: Unpack[Told]) -> Briefing:
    return replace(
        briefing(given, told.get("at", NOW)),
        observations=tuple(told.get("observations", ())),
        alerts=tuple(told.get("alerts", ())),
        silences=tuple(told.get("silences", ())),
    )


def judge(
    trip: Plan,
    briefing: Briefing,
    water: OpenWater,
    own: Settings,
    past: PastChecks = NOTHING_PAST,
) -> Verdict:
    """Return the verdict by the shipped rulebook."""
    return assess(trip, briefing, water, own, past).verdict


def judge_severity(
    trip: Plan,
    briefing: Briefing,
    water: OpenWater = POND,
    own: Settings | None = None,
    past: PastChecks = NOTHING_PAST,
) -> Severity:
    """Return how severe the verdict by the shipped rulebook is."""
    case = Case(trip, briefing, water, own or settings(), load_trust(), past)
    return judge_in_brief(case, load_rulebook())[0]


def assess(
    trip: Plan,
    briefing: Briefing,
    water: OpenWater = POND,
    own: Settings | None = None,
    past: PastChecks = NOTHING_PAST,
) -> Assessment:
    """Return the verdict by the shipped rulebook, and the forecast summary to store."""
    case = Case(trip, briefing, water, own or settings(), load_trust(), past)
    return assess_case(case, load_rulebook())


def ensemble(briefing: Briefing, time: TimeArray) -> Ensemble:
    """Return every member of every forecast, raised to what is observed, not calibrated."""
    trust = load_trust()
    return raise_to_observed(as_forecast(briefing, time, trust), briefing, trust)


def briefing(given: Forecast | None = None, at: datetime = NOW) -> Briefing:
    """Return a briefing with one forecast, and an alert service that has just answered."""
    return with_warnings_read(Briefing(at=at, forecasts=(forecast() if given is None else given,)))


def with_warnings_read(told: Briefing) -> Briefing:
    """Return a briefing to which the alert service of the place has just answered."""
    return replace(told, warnings_read=(replace(FROM_THE_ALERT_SERVICE, fetched=told.at),))


def observation(
    quantity: str, value: float, distance: float = 0.0, at: datetime = NOW
) -> Observation:
    """Return something seen just now, at the launch."""
    return Observation(quantity, value, at, "own eyes", distance, FROM_A_FILE)
