"""Three invented waters that move: a tidal bay arm, an estuary, and a tailwater below a dam."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

import numpy as np

from safety_check.arrays import to_datetime64
from safety_check.model.moving_water import (
    CurrentEvent,
    CurrentHint,
    CurrentKind,
    CurrentPrediction,
    CurrentSeries,
    FloodCategory,
    MovingWater,
    PredictionStation,
    RiverReading,
    TideEvent,
    TidePrediction,
)
from safety_check.model.place import OpenWater, WaterKind
from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, Severity, Verdict
from safety_check.model.weather import Briefing
from safety_check.settings.settings import Settings
from safety_check.use_cases.own_water import add_own_water
from safety_check.use_cases.plan_request import PlanRequest
from tests import scenes

STATION = PredictionStation("XX1", "Invented Narrows", 900.0)
HOUR, QUARTER = timedelta(hours=1), timedelta(hours=3, minutes=6)
SLACK = scenes.START + 2 * HOUR  # two hours into the trip; the ebb begins
KNOT = 1852 / 3600

BAY_ARM = replace(scenes.WATER, name="Invented Arm", kind=WaterKind.TIDAL, bar=True)
ESTUARY = replace(scenes.WATER, name="Invented Estuary", kind=WaterKind.TIDAL)
TAILWATER = replace(scenes.WATER, name="Invented Tailwater", kind=WaterKind.FLOWING, dam=True)


def currents(
    knots: float, flood_towards: float = 90.0, turns: timedelta = timedelta()
) -> CurrentPrediction:
    """Return flood before the slack of the trip and ebb after it, both of one strength."""
    speed, slack = knots * KNOT, SLACK + turns
    turn = 2 * QUARTER
    events = []
    for number, kind in enumerate([CurrentKind.EBB, CurrentKind.FLOOD] * 4):
        begins = slack + (number - 3) * turn
        events.append(CurrentEvent(begins, CurrentKind.SLACK, 0.0))
        events.append(CurrentEvent(begins + QUARTER, OTHER[kind], speed))
    ebb = (flood_towards + 180) % 360
    return CurrentPrediction(tuple(events), flood_towards, ebb, 2.0, STATION, scenes.FROM_A_FILE)


OTHER = {CurrentKind.EBB: CurrentKind.FLOOD, CurrentKind.FLOOD: CurrentKind.EBB}


def tides(high: float = 2.0, low: float = 0.2) -> TidePrediction:
    """Return high water two hours into the trip, and low waters a quarter day around it."""
    turn = 2 * QUARTER
    events = [
        TideEvent(SLACK + number * turn, low if number % 2 else high, number % 2 == 0)
        for number in range(-4, 6)
    ]
    return TidePrediction(tuple(events), "MLLW", STATION, scenes.FROM_A_FILE)


def hint(knots: float) -> CurrentHint:
    """Return a steady current of a sea model."""
    time = np.array([to_datetime64(scenes.START + number * 12 * HOUR) for number in (-3, 3)])
    series = CurrentSeries(time, np.full(2, knots * KNOT), np.zeros(2))
    return CurrentHint(series, (44.9, -99.6), scenes.FROM_A_FILE)


def river(
    category: FloodCategory = FloodCategory.NONE,
    percentile: float | None = 0.5,
    rise: float = 0.0,
    stage: float = 0.6,
) -> RiverReading:
    """Return the reading of a gauge at the time of the check."""
    ranks = None if percentile is None else (percentile - 0.02, percentile)
    return RiverReading(
        STATION, scenes.NOW, scenes.FROM_A_FILE, stage, 12.0, rise, ranks, 40, category, category
    )


def tidal(knots: float = 0.3, **changed: object) -> MovingWater:
    """Return a tide and a current."""
    return replace(
        MovingWater(tides=(tides(),), currents=(currents(knots),)),
        **changed,  # type: ignore[arg-type]
    )


def flowing(reading: RiverReading | None = None, **changed: object) -> MovingWater:
    """Return a river below a dam that releases nothing."""
    made = MovingWater(rivers=(reading or river(),), releases=())
    return replace(made, **changed)  # type: ignore[arg-type]


def plan(water: object = BAY_ARM, dries: float | None = None, **told: object) -> Plan:
    """Return the usual trip on a water that moves."""
    launch = replace(scenes.LAUNCH, dries=dries)
    usual = scenes.plan(**told)  # type: ignore[arg-type]
    return replace(usual, water=water, launch=launch)  # type: ignore[arg-type]


def verdict(
    trip: Plan,
    moving: MovingWater | None,
    weather: Mapping[str, float] | None = None,
    water: OpenWater = scenes.POND,
    own: Settings | None = None,
) -> Verdict:
    """Return the verdict on a trip in calm weather or another."""
    return scenes.judge(trip, _told(moving, weather), water, own or scenes.settings())


def severity_of(
    trip: Plan,
    moving: MovingWater | None,
    weather: Mapping[str, float] | None = None,
    water: OpenWater = scenes.POND,
    own: Settings | None = None,
) -> Severity:
    """Return how severe the same verdict is."""
    return scenes.judge_severity(trip, _told(moving, weather), water, own)


def _told(moving: MovingWater | None, weather: Mapping[str, float] | None) -> Briefing:
    return replace(scenes.briefing(scenes.forecast(weather or {})), moving=moving)


def entered(trip: Plan, **said: str) -> MovingWater | None:
    """Return what the user says of a water, as a check takes it."""
    asked = PlanRequest(**said)  # type: ignore[arg-type]
    return add_own_water(scenes.briefing(), asked, trip).moving


def finding(found: Verdict, hazard: str) -> Finding:
    """Return the finding of one hazard."""
    return next(one for one in found.findings if one.hazard == hazard)
