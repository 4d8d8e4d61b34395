"""How often a water was a GO in past years, for a craft and its paddler."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Iterable
from contextlib import aclosing
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from safety_check.arrays import TimeArray
from safety_check.assess.climate import (
    PastTrips,
    Resampling,
    best_weeks,
    choose_trips,
    date_trips,
    shares_by_hour,
    summarize_months,
)
from safety_check.assess.hindcast import Hindcast, judge_past
from safety_check.conditions.case import Case
from safety_check.conditions.forecast_trend import PastChecks
from safety_check.conditions.hour_parts import LEAD_IN
from safety_check.errors import PlanError
from safety_check.model.climate import Climate, NotCounted
from safety_check.model.place import OpenWater, WaterKind
from safety_check.model.plan import Plan
from safety_check.model.provenance import Provenance
from safety_check.model.water_estimate import DailyAir, WaterEstimate
from safety_check.model.weather import Briefing, Forecast
from safety_check.rules.rulebook import Rulebook
from safety_check.rules.trips import LONGEST
from safety_check.settings.reanalysis_file import NotKnown, Summary, load_reanalysis_file
from safety_check.settings.settings import Settings
from safety_check.use_cases.amounts_in_words import parse_hours
from safety_check.use_cases.past_weather import load_years
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_estimate import lake_site
from safety_check.waters.open_water import open_water

if TYPE_CHECKING:
    from safety_check.conditions.lake_model import LakeModel

USUAL_HOURS = "4"
LONGEST_AGO = 1940  # the first year of the reanalysis (service's documentation)
HOURS_OF_A_DAY = 24


@dataclass(frozen=True)
class ClimateRequest:
    """What is asked of past years.

    Parameters
    ----------
    asked
        Water, launch, craft, paddler, reach and length of the trips.
    years
        How many of the years that are over, the last ones; None for the usual number.
    """

    asked: PlanRequest
    years: int | None = None


def recall_years(
    request: ClimateRequest,
    settings: Settings,
    clock: datetime | None = None,
    begins: Callable[[int, int], None] = lambda done, number: None,
) -> Climate:
    """Return how often trips were a GO in past years.

    Parameters
    ----------
    request, settings
        What is asked for, and for whom.
    clock
        Now; years that are not over by then do not count.
    begins
        Called with the number of years that are done, and of all, before each year.

    Raises
    ------
    PlanError
        For a trip or a number of years that can't be judged so.
    SourceError, DataError
        Where the past weather can't be had.
    """
    now = clock or datetime.now(UTC)
    years = _years(request.years, now)
    plan = _plan(request.asked, settings, now)
    settings = settings.at(plan.launch)
    return asyncio.run(_recall(plan, years, settings, begins))


def _years(number: int | None, now: datetime) -> range:
    """Return the years that count."""
    asked = load_reanalysis_file().asked
    number = asked.years if number is None else number
    if not 1 <= number <= asked.most_years:
        raise PlanError(f"--years {number}: give from 1 to {asked.most_years}.")
    return range(now.year - number, now.year)


def _plan(asked: PlanRequest, settings: Settings, now: datetime) -> Plan:
    """Return a plan of whole hours whose day means nothing."""
    hours = parse_hours(asked.hours or USUAL_HOURS, "--hours")
    if hours != int(hours) or not 1 <= hours <= LONGEST:
        raise PlanError(
            f"--hours {asked.hours}: past trips begin and end on whole hours; give 1 to {LONGEST}"
            " whole hours."
        )
    plan, _ = make_plan(replace(asked, start="now", hours=hours), settings, now)
    return plan


def judge_record(plan: Plan, record: Forecast, settings: Settings) -> Hindcast:
    """Return the verdicts on every past trip in a record of the weather at one launch.

    Parameters
    ----------
    plan
        Its length, a whole number of hours, its craft, paddler, course and water temperature
        count; the day does not.
    record
        Past hours of one run, such as a reanalysis; trips begin after the first 24.
    settings
        The user's limits and folders.

    Raises
    ------
    PlanError
        Where the trip does not last whole hours, or the record is too short for one.
    """
    hours = (plan.end - plan.start).total_seconds() / 3600
    if hours != int(hours) or not 1 <= hours <= LONGEST:
        raise PlanError(
            f"past trips begin and end on whole hours; {hours:g} hours is not 1 to {LONGEST} whole"
            " hours.",
            field="end",
        )
    least = LEAD_IN + int(hours) + 3
    if len(record.time) < least or len(record.members) != 1:
        raise PlanError(
            f"a record of {len(record.time)} hours and {len(record.members)} members. Give one"
            f" member and at least {least} hours for trips of {hours:g} hours.",
            field="record",
        )
    site = _Site.of(plan, settings.at(plan.launch), load_reanalysis_file().not_known)
    return replace(site.judge(None, record), not_counted=site.not_counted)


async def _recall(
    plan: Plan, years: range, settings: Settings, begins: Callable[[int, int], None]
) -> Climate:
    file = load_reanalysis_file()
    site = _Site.of(plan, settings, file.not_known)
    first = years[0] - 1 if site.model else years[0]  # an estimate needs the year before
    asked = range(max(first, LONGEST_AGO), years[-1] + 1)
    weather = load_years(
        plan.launch, asked, settings, lambda year: begins(year - asked[0], len(asked))
    )
    found, origins = await _judge_years(site, weather, years)
    trips = choose_trips(date_trips(found, plan.water.time_zone), years[0], years[-1])
    return _summarize(site, trips, years, origins, file.summary)


async def _judge_years(
    site: _Site, weather: AsyncIterator[Forecast], years: range
) -> tuple[list[Hindcast], list[Provenance]]:
    """Return the trips of each year, and where its weather comes from."""
    found, origins = [], []
    before: Forecast | None = None
    async with aclosing(weather) as by_year:  # type: ignore[type-var]
        async for record in by_year:
            if record.time[-1].astype("datetime64[Y]").item().year in years:
                found.append(site.judge(before, record))
                origins.append(record.provenance)
            before = record
    return found, origins


@dataclass(frozen=True)
class _Site:
    """A launch and what is judged there.

    Parameters
    ----------
    plan, water, settings, rulebook
        As of a check, the rulebook without what past weather can't show.
    not_counted
        What it can't show here.
    model
        Estimates the water's temperature; None where it is entered or must not be estimated.
    """

    plan: Plan
    water: OpenWater
    settings: Settings
    rulebook: Rulebook
    not_counted: tuple[NotCounted, ...]
    model: LakeModel | None

    @classmethod
    def of(cls, plan: Plan, settings: Settings, listed: Iterable[NotKnown]) -> _Site:
        """Return the site of a plan."""
        model = _lake_model(plan)
        known = model is not None or plan.water_temperature is not None
        cases = {"always": True, "water": not known, "moving": plan.water.moves}
        missing = [entry for entry in listed if cases[entry.when]]
        left_out = {name for entry in missing for name in entry.hazards}
        rulebook = load_rulebook()
        hazards = tuple(one for one in rulebook.hazards if one.name not in left_out)
        still = replace(plan, water=replace(plan.water, kind=WaterKind.STILL, dam=False))
        return cls(
            plan=still,
            water=open_water(plan, settings.folders.cache),
            settings=settings,
            rulebook=replace(rulebook, hazards=hazards),
            not_counted=tuple(NotCounted(entry.what, entry.why) for entry in missing),
            model=model,
        )

    def judge(self, before: Forecast | None, record: Forecast) -> Hindcast:
        """Return the verdicts on the trips of a year; the one before leads into its first hours."""
        length = round((self.plan.end - self.plan.start).total_seconds() / 3600)
        joined = record if before is None else _joined(before, record, LEAD_IN + length + 1)
        hours: TimeArray = joined.time[LEAD_IN:-1]
        made = record.provenance.fetched
        joined = replace(joined, provenance=replace(joined.provenance, recorded=False))
        past = PastChecks(estimate=self._estimate(before, record))
        case = Case(
            self.plan, Briefing(made, (joined,)), self.water, self.settings, load_trust(), past
        )
        return judge_past(case, hours, self.rulebook)

    def _estimate(self, before: Forecast | None, record: Forecast) -> WaterEstimate | None:
        """Return the range of the water's temperature on each day of a year."""
        basis = self.plan.water.estimate
        if self.model is None or basis is None:
            return None
        from safety_check.conditions.lake_estimate import estimate_water, unknown_water

        if before is None:
            return unknown_water("the air temperature of the year before is not known")
        air = daily_air(before, record)
        days = (record.time[0].item().date(), record.time[-1].item().date())
        return estimate_water(air, lake_site(self.plan, basis), days, (), self.model)


def _lake_model(plan: Plan) -> LakeModel | None:
    """Return the model of a water whose temperature may be estimated; else None."""
    if plan.water.estimate is None or plan.water_temperature is not None:
        return None
    from safety_check.conditions.lake_estimate import out_of_range
    from safety_check.conditions.lake_model import load_lake_model

    model = load_lake_model()
    return None if out_of_range(lake_site(plan, plan.water.estimate), model) else model


def _joined(before: Forecast, record: Forecast, tail: int) -> Forecast:
    """Return a year's weather with the last hours of the year before."""
    if record.time[0] - before.time[-1] != np.timedelta64(3600, "s"):
        return record
    return replace(
        record,
        time=np.concatenate([before.time[-tail:], record.time]),
        quantities={
            name: np.concatenate([before.quantities[name][:, -tail:], values], axis=1)
            for name, values in record.quantities.items()
        },
    )


def daily_air(before: Forecast, record: Forecast) -> DailyAir:
    """Return the mean air temperature of each whole day, UTC, of two years; NaN where unknown."""
    time = np.concatenate([before.time, record.time])
    hourly = np.concatenate([one.quantities["air_temperature"][0] for one in (before, record)])
    whole = len(time) // HOURS_OF_A_DAY * HOURS_OF_A_DAY
    day = time[:whole:HOURS_OF_A_DAY].astype("datetime64[D]")
    mean = hourly[:whole].reshape(-1, HOURS_OF_A_DAY).mean(axis=1)
    return DailyAir(day, mean, np.zeros(len(day)), (record.provenance,))


def _summarize(
    site: _Site, trips: PastTrips, years: range, origins: list[Provenance], said: Summary
) -> Climate:
    low, high = said.interval
    how = Resampling(said.resamples, said.seed, low, high)
    by_hour, dark = shares_by_hour(trips)
    return Climate(
        plan=site.plan,
        years=tuple(years),
        minute=trips.minute,
        by_hour=by_hour,
        dark=dark,
        months=summarize_months(trips, said.windows, how),
        lengths=tuple(said.windows),
        best_weeks=best_weeks(trips, said.weeks, how),
        water=_water(site),
        not_counted=site.not_counted,
        provenance=(max(origins, key=lambda origin: origin.fetched),),
    )


def _water(site: _Site) -> str:
    if site.plan.water_temperature is not None:
        return "entered"
    return "estimated" if site.model else "not known"
