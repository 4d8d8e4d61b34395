"""The six pages of the five-second test: one for each verdict, two days, and a great lake."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from safety_check.conditions.case import Case
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.model.weather import Forecast
from safety_check.settings.settings import Settings
from safety_check.use_cases.judge import judge_case
from safety_check.use_cases.sample import sample_case
from safety_check.use_cases.trust import load_trust
from safety_check.waters.open_water import open_water
from safety_check.waters.projection import to_degrees
from tests import invented_lake, scenes

GREAT = invented_lake.rectangle(0.0, -60_000.0, 90_000.0, 50_000.0)
GREAT_LAKE = replace(
    invented_lake.WATER,
    name="Invented Inland Sea",
    shoreline=(to_degrees(GREAT, *invented_lake.PLACE),),
    depth=None,
)
FRESH_FROM = 18  # the hour of the water's day, in UTC, from which the wind rises


def rising(before: float, after: float) -> Forecast:
    """Return a forecast whose wind rises at 13:00 by the water's clock [m/s]."""
    given = scenes.forecast()
    hour = given.time.astype("datetime64[h]").astype(int) % 24
    wind = np.where((hour >= FRESH_FROM) | (hour < 4), after, before)[None, :]
    more = {"wind_speed": wind, "wind_speed_of_gust": 1.4 * wind}
    return replace(given, quantities={**given.quantities, **more})


def _case(folder: Path, forecast: Forecast, plan: Plan) -> Case:
    own = scenes.settings()
    settings = Settings(replace(own.folders, cache=folder), own.user)
    water = open_water(plan, settings.folders.cache)
    return Case(plan, scenes.briefing(forecast), water, settings, load_trust())


def _on_the_great_lake(folder: Path) -> Case:
    plan = replace(invented_lake.plan(), water=GREAT_LAKE)
    return _case(folder, rising(3.0, 6.0), plan)


def _unknown(folder: Path) -> Case:
    blind = scenes.without(scenes.forecast(), "wind_speed_of_gust")
    return _case(folder, blind, invented_lake.plan())


CASES: dict[str, Callable[[Path], Case]] = {
    "GO": lambda folder: _case(folder, scenes.forecast(), invented_lake.plan()),
    "MARGINAL": lambda folder: _case(folder, rising(3.0, 6.0), invented_lake.plan()),
    "NO-GO": lambda folder: sample_case(),
    "UNKNOWN": _unknown,
    "48 h": lambda folder: _case(
        folder, rising(3.0, 9.0), invented_lake.plan(hours=48, night=True)
    ),
    "great lake": _on_the_great_lake,
}


def judged(name: str, folder: Path) -> tuple[Settings, Verdict]:
    """Return the settings and the verdict of one of the six; its waters are cached in a folder."""
    case = CASES[name](folder)
    return case.settings, judge_case(case)
