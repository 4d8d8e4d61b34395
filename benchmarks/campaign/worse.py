"""Trips drawn at random, and changes that may never make a verdict better.

A block is so many trips that can be weighed together: who goes, in what, when and for how long is
drawn for the block, the weather and the water for each trip.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

import numpy as np

from safety_check.conditions.case import Case
from safety_check.model.craft import Paddler
from safety_check.model.verdict import Severity
from safety_check.model.weather import Forecast, SourceFailure
from safety_check.rules.limits import choose_limits
from safety_check.settings.limits import load_default_limits
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable
from safety_check.use_cases.trust import load_trust
from tests import scenes
from tests.weathers import CAPE, WORSE, drawn_weather

SITES = 64  # of a block
RUNS = ("many", "many", "many", "one")  # of an ensemble, and a single run beside it
CRAFTS = ("sit-on-top-kayak", "canoe", "float-tube")
WEARING = ("drysuit", "wetsuit", "none")  # each warmer than the next
STEP = {"visibility_in_air": 1000.0, CAPE: 100.0}  # by which weather gets worse; else 1
SILENT = SourceFailure("official warnings", "no answer within 10 s", ("alerts",))


@dataclass(frozen=True)
class Chance:
    """What draws a change: the same for a block, or for one of its trips alone."""

    block: np.random.Generator
    site: np.random.Generator


@dataclass(frozen=True)
class Promise:
    """A change of a case, and what its verdict may never be better than.

    Parameters
    ----------
    name, change
        What changes.
    least
        What the verdict may never be better than; None for what it was before.
    lifts
        The one hazard that the change may rightly remove.
    """

    name: str
    change: Callable[[Case, Chance], Case]
    least: Severity | None = None
    lifts: str = ""


def drawn_block(seed: int, block: int) -> list[Case]:
    """Return the trips of a block."""
    return [_drawn_case(chance) for chance in _chances(seed, block, 0)]


def changed_block(cases: list[Case], promise: Promise, seed: int, block: int) -> list[Case]:
    """Return the trips of a block after a change."""
    place = 1 + PROMISES.index(promise)
    chances = _chances(seed, block, place)
    return [promise.change(case, chance) for case, chance in zip(cases, chances, strict=True)]


def _chances(seed: int, block: int, place: int) -> list[Chance]:
    return [
        Chance(
            np.random.default_rng([seed, block, place]),
            np.random.default_rng([seed, block, place, site]),
        )
        for site in range(SITES)
    ]


def _drawn_case(chance: Chance) -> Case:
    many, one = chance.block, chance.site
    paddler = replace(
        scenes.READY,
        wearing=str(many.choice(WEARING)),
        company=str(many.choice(["group", "alone"], p=[0.8, 0.2])),
        light=bool(many.random() < 0.9),
    )
    soon = many.random() < 0.4  # then what is observed counts
    later = datetime(2026, 6, 13, int(many.integers(13, 21)), tzinfo=UTC)
    plan = scenes.plan(
        craft=str(many.choice(CRAFTS)),
        paddler=paddler,
        hours=float(many.choice([0.5, 1, 2, 3.5, 5])),
        start=scenes.NOW + timedelta(minutes=5) if soon else later,
        water_temperature=float(one.choice([280, 285, 288, 291, 294, 297])),
    )
    seed = int(one.integers(2**32))
    given = scenes.by_the_hour(drawn_weather(seed), RUNS, seed)
    water = scenes.open_water(
        float(one.choice([150, 300, 300, 1000, 5000])),
        from_shore=float(one.choice([30, 80, 150, 600])),
    )
    own = _settings(bool(many.random() < 0.7))
    return _aged(
        Case(plan, scenes.briefing(given), water, own, load_trust()), int(one.integers(18))
    )


@cache
def _settings(widened: bool, no_go: str = "", craft: str = "") -> Settings:
    """Return settings; those of a block must be the same object to be weighed together."""
    limits = [LimitTable(craft=craft, quantity="wind_speed", no_go=no_go)] if no_go else []
    return scenes.settings(*limits, dressing=widened)


# -- changes -------------------------------------------------------------------------------------


def _worse_weather(case: Case, chance: Chance) -> Case:
    """Return a case in which a quantity is worse, in some hours of some runs or everywhere."""
    given, one = case.briefing.forecasts[0], chance.site
    quantity = str(one.choice(sorted(WORSE)))
    value = given.quantities[quantity]
    by = WORSE[quantity] * STEP.get(quantity, 1.0) * one.uniform(0.1, 20)
    where = one.random(value.shape) < one.choice([0.1, 0.5, 1.0])
    worse = np.where(where, np.maximum(value + by, 0.0), value)
    return _with_forecast(case, replace(given, quantities={**given.quantities, quantity: worse}))


def _colder_water(case: Case, chance: Chance) -> Case:
    warm = case.plan.water_temperature
    assert warm is not None
    colder = max(warm - float(chance.site.choice([0.5, 3, 10])), 271.2)
    return replace(case, plan=replace(case.plan, water_temperature=colder))


def _older_forecast(case: Case, chance: Chance) -> Case:
    return _aged(case, int(chance.site.integers(1, 60)))


def _more_open(case: Case, chance: Chance) -> Case:
    longer, farther = chance.site.choice([0, 500, 3_000]), chance.site.choice([0, 100, 500, 3_000])
    water = scenes.open_water(
        float(case.water.fetch[0, 0] + longer),
        from_shore=float(case.water.distance_from_shore[0] + farther),
    )
    return replace(case, water=water)


def _longer_trip(case: Case, chance: Chance) -> Case:
    longer = timedelta(hours=float(chance.block.choice([0.5, 1, 2, 4])))
    return replace(case, plan=replace(case.plan, end=case.plan.end + longer))


def _less_ready(case: Case, chance: Chance) -> Case:
    paddler = case.plan.paddler
    fewer: list[dict[str, Any]] = [
        {"life_jacket": "carried"},
        {"company": "alone"},
        {"light": False},
        {"wearing": WEARING[-1]},
    ]
    less = fewer[chance.block.integers(len(fewer))]
    return replace(case, plan=replace(case.plan, paddler=replace(paddler, **less)))


def _nothing_declared(case: Case, chance: Chance) -> Case:
    return replace(case, plan=replace(case.plan, paddler=Paddler()))


def _wind_observed(case: Case, chance: Chance) -> Case:
    quantity = str(chance.site.choice(["wind_speed", "wind_speed_of_gust"]))
    seen = scenes.observation(quantity, float(chance.site.uniform(0, 25)))
    return replace(case, briefing=replace(case.briefing, observations=(seen,)))


def _tighter_limit(case: Case, chance: Chance) -> Case:
    craft, widened = case.plan.craft, case.settings is _settings(True)
    bounds = choose_limits(craft, case.plan.paddler, load_default_limits(), ()).limits
    default = bounds["wind_speed"].no_go
    assert default is not None
    no_go = f"{chance.block.uniform(0.5, default - 0.1):.2f} m/s"
    return replace(case, settings=_settings(widened, no_go, craft.kind))


def _lost_required(case: Case, chance: Chance) -> Case:
    lost = str(chance.site.choice(scenes.REQUIRED))
    return _with_forecast(case, scenes.without(case.briefing.forecasts[0], lost))


def _lost_wanted(case: Case, chance: Chance) -> Case:
    lost = str(chance.site.choice(scenes.WANTED))
    return _with_forecast(case, scenes.without(case.briefing.forecasts[0], lost))


def _lost_run(case: Case, chance: Chance) -> Case:
    lost, run = case.briefing.forecasts[0], int(chance.site.integers(len(RUNS)))
    for quantity in lost.quantities:
        lost = scenes.without(lost, quantity, slice(run, run + 1))
    return _with_forecast(case, lost)


def _silent_warnings(case: Case, chance: Chance) -> Case:
    return replace(case, briefing=replace(case.briefing, silences=(SILENT,)))


def _with_forecast(case: Case, given: Forecast) -> Case:
    return replace(case, briefing=replace(case.briefing, forecasts=(given,)))


def _aged(case: Case, hours: int) -> Case:
    """Return a case whose forecast was made so many hours earlier."""
    (given,) = case.briefing.forecasts
    assert given.provenance.issued is not None
    issued = given.provenance.issued - timedelta(hours=hours)
    return _with_forecast(case, replace(given, provenance=replace(given.provenance, issued=issued)))


PROMISES = (
    Promise("worse weather", _worse_weather),
    Promise("colder water", _colder_water),
    Promise("an older forecast", _older_forecast),
    Promise("more open water or farther out", _more_open),
    Promise("a longer trip", _longer_trip, lifts="slow_way_home"),  # it was too short for its way
    Promise("less readiness", _less_ready),
    Promise("an observed wind", _wind_observed),
    Promise("a tighter limit", _tighter_limit),
    Promise("nothing declared", _nothing_declared, Severity.UNKNOWN),
    Promise("a required quantity lost", _lost_required, Severity.UNKNOWN),
    Promise("a run lost", _lost_run, Severity.UNKNOWN),
    Promise("a wanted quantity lost", _lost_wanted, Severity.MARGINAL),
    Promise("warnings not read", _silent_warnings, Severity.MARGINAL),
)
