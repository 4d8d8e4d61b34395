"""Cases drawn at random: sites, weather, people and gaps of every kind that a block may hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np

from safety_check.conditions.case import Case
from safety_check.model.place import Launch, OpenWater
from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.use_cases.trust import load_trust
from tests import invented_lake, scenes

TRUST = load_trust()
OWN = (scenes.settings(), scenes.settings(dressing=True))  # forecasts as they come, or widened
MODELS = (["gfs"], ["gfs", "ifs", "icon"], [*["ens"] * 6, "gfs"])


def random_case(seed: int, site: int | None = None) -> Case:
    """Return a case; those of one seed and several sites have the same shape.

    Parameters
    ----------
    seed
        Draws who goes, when, in what, and which models there are.
    site
        Draws the place and the weather; None draws them by the seed alone.
    """
    rng = np.random.default_rng(seed)
    local = np.random.default_rng([seed, site or 0])
    models = MODELS[rng.integers(len(MODELS))]
    paddler = replace(
        scenes.READY,
        company=str(rng.choice(["alone", "group"])),
        wearing=(None, "none", "wetsuit", "drysuit")[rng.integers(4)],
        light=bool(rng.random() < 0.7),
    )
    plan = scenes.plan(
        craft=str(rng.choice(["sit-on-top-kayak", "canoe"])),
        paddler=paddler,
        hours=float(rng.choice([1, 2, 3.5, 7.25])),
        water_temperature=float(rng.choice([283.0, 290.0, 296.15])),
        start=scenes.START + timedelta(minutes=int(rng.choice([-120, 0, 17, 150]))),
    )
    own = OWN[int(rng.random() < 0.5)]
    water = random_water(local)
    far = float(np.hypot(*water.points.T).max())
    place = Launch("ramp", 44.9 + local.uniform(-1, 1), -99.6 + local.uniform(-1, 1))
    plan = replace(plan, launch=place, reach=far if water.rings else plan.reach)
    return Case(plan, random_briefing(local, models), water, own, TRUST)


def random_water(rng: np.random.Generator) -> OpenWater:
    """Return a round water without a shoreline, or part of a lake with an island."""
    if rng.random() < 0.3:
        fetch, shore = rng.choice([300.0, 3500.0, 40_000.0]), rng.choice([50.0, 400.0, 1500.0])
        return scenes.open_water(float(fetch), from_shore=float(shore))
    water = invented_lake.open_water(float(rng.choice([500.0, 1609.344, 3000.0])), most=12)
    return replace(water, depth=float(rng.choice([2.0, 10.0, np.inf])))


def random_briefing(rng: np.random.Generator, models: list[str]) -> Briefing:
    """Return a forecast whose wind changes by the hour, perhaps with gaps, and what failed."""
    made = random_forecast(rng, models)
    silent = (
        SourceFailure("A service", "no answer", applies=True, wanted=("wind_speed",))
        if rng.random() < 0.15
        else None
    )
    return replace(scenes.briefing(made), silences=(silent,) if silent else ())


def random_forecast(rng: np.random.Generator, models: list[str]) -> Forecast:
    """Return a forecast of three days."""
    made = scenes.forecast(*({} for _ in models), models=models)
    said = made.quantities
    shape = said["wind_speed"].shape
    by_day = 0.5 + 0.5 * np.sin(2 * np.pi * (np.arange(shape[1]) - rng.integers(24)) / 24)
    wind = np.abs(rng.choice([2.0, 4.0, 7.0, 12.0]) * by_day + rng.normal(0, 0.7, shape))
    said["wind_speed"][:] = wind
    said["wind_speed_of_gust"][:] = wind * rng.uniform(1.1, 1.8)
    turned = np.cumsum(rng.normal(0, 12, shape), axis=1)
    said["wind_from_direction"][:] = (rng.uniform(0, 360) + turned) % 360
    said["air_temperature"][:] = rng.uniform(280, 303) + 4 * by_day
    said["weather_code"][:] = rng.choice([1.0, 45.0, 61.0, 95.0], p=[0.85, 0.05, 0.05, 0.05])
    said["precipitation_amount"][:] = np.where(rng.random(shape) < 0.1, 2.0, 0.0)
    if rng.random() < 0.3:
        said[str(rng.choice(list(said)))][rng.random(shape) < 0.02] = np.nan
    return made
