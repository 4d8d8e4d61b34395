"""The Python interface: weather, plans and settings in, verdicts out.

The names in `__all__` are the documented ones; see docs/api.md. Everything else in the package may
change without notice. Values are in SI units, times are UTC and time-zone-aware, and a value that
is not known is NaN. Nothing here asks a service, and nothing is stored but computed open water.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from safety_check import __version__
from safety_check.assess.hindcast import Hindcast
from safety_check.errors import ConfigError, DataError, PlanError, SafetyCheckError, SourceError
from safety_check.model.craft import Craft, Paddler
from safety_check.model.place import FetchTable, Launch, Water, WaterKind
from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, HourVerdict, Severity, Unknown, Verdict, Window
from safety_check.model.verdict_arrays import Decided, OutlookArrays, VerdictArrays
from safety_check.model.weather import Briefing, Forecast, Observation, Provenance
from safety_check.report.exit_status import EXIT_STATUS
from safety_check.settings.settings import Settings, load_settings
from safety_check.sources.saved_forecast import read_briefing
from safety_check.use_cases import climate, judge, many_plans, planning
from safety_check.use_cases.own_weather import make_briefing, make_forecast
from safety_check.use_cases.own_word import add_own_word
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.waters.files import load_file
from safety_check.waters.near_water import trip_water

__all__ = [
    "Briefing",
    "ConfigError",
    "Craft",
    "DataError",
    "Decided",
    "FetchTable",
    "Finding",
    "Forecast",
    "Hindcast",
    "HourVerdict",
    "Launch",
    "Observation",
    "OutlookArrays",
    "Paddler",
    "Plan",
    "PlanError",
    "PlanRequest",
    "Provenance",
    "SafetyCheckError",
    "Settings",
    "Severity",
    "SourceError",
    "Unknown",
    "Verdict",
    "VerdictArrays",
    "Water",
    "WaterKind",
    "Window",
    "as_json",
    "check_saved_forecast",
    "hindcast",
    "judge_many",
    "judge_plan",
    "load_settings",
    "load_water",
    "make_briefing",
    "make_forecast",
    "make_plan",
    "outlook_many",
]


# -- what goes in --------------------------------------------------------------------------------


def load_water(path: Path) -> Water:
    """Return the water of a GeoJSON file that `safety-check water add` wrote.

    Raises
    ------
    ConfigError
        Where the file is missing or does not hold such a water.
    """
    return load_file(path)


def make_plan(
    request: PlanRequest,
    settings: Settings,
    water: Water | None = None,
    now: datetime | None = None,
) -> Plan:
    """Return a plan from words, with units, as on the command line.

    Parameters
    ----------
    request
        The plan in words.
    settings
        The user's craft, paddler and added waters.
    water
        Where; None for the added water that the request names.
    now
        The time of the check; None for the computer's clock. `as_of` of the request overrides it.

    Raises
    ------
    PlanError
        Where the plan cannot be checked.
    ConfigError
        Where the settings or the water cannot be used.
    """
    return _plan_and_clock(request, settings, water, now)[0]


# -- one plan ------------------------------------------------------------------------------------


def judge_plan(plan: Plan, briefing: Briefing, settings: Settings) -> Verdict:
    """Return the verdict on a plan, and what would change it: what `safety-check check` shows.

    Parameters
    ----------
    plan
        From `make_plan`, or built in SI units.
    briefing
        From `make_briefing`. What it lacks is not known, and never counts as safe.
    settings
        The user's limits, odds and folders.

    Raises
    ------
    PlanError
        Where the plan cannot be checked.
    ConfigError
        Where the water has neither a shoreline nor a table of open water.
    """
    planning.require_sound_plan(plan, briefing.at)
    settings = settings.at(plan.launch)
    return judge.judge_plan(plan, briefing, trip_water(plan, settings.folders.cache), settings)


def check_saved_forecast(
    request: PlanRequest, forecast: Path, settings: Settings, water: Water | None = None
) -> Verdict:
    """Return the verdict on a plan from a saved forecast, without network and without storing it.

    Parameters
    ----------
    request
        The plan in words, with units, as on the command line.
    forecast
        An Open-Meteo answer in JSON.
    settings
        The user's craft, paddler, limits and units.
    water
        Where; None for the added water that the request names.

    Raises
    ------
    PlanError
        Where the plan cannot be checked.
    DataError
        Where the forecast cannot be read.
    ConfigError
        Where the settings or the water cannot be used.
    """
    plan, now = _plan_and_clock(request, settings, water, None)
    settings = settings.at(plan.launch)
    open_around = trip_water(plan, settings.folders.cache)
    briefing = add_own_word(read_briefing(forecast, plan, now), request, plan.water.time_zone)
    return judge.judge_plan(plan, briefing, open_around, settings)


def as_json(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict as `safety-check check --json` prints it, by `docs/schema/report.json`."""
    from safety_check.report.json import build_report  # models that only this needs

    report = build_report(verdict, __version__, EXIT_STATUS[verdict.severity])
    return report.model_dump(mode="json")


# -- many plans, many years ----------------------------------------------------------------------


def judge_many(
    plans: Sequence[Plan], briefings: Sequence[Briefing], settings: Settings
) -> VerdictArrays:
    """Return the verdict on each plan, as `judge_plan` gives it to the last bit, as arrays.

    Parameters
    ----------
    plans
        They may differ in everything; those with the same craft, paddler, models and hours are
        judged together, which is faster.
    briefings
        One for each plan; the same one may stand several times.
    settings
        The user's limits, odds and folders.

    Raises
    ------
    PlanError
        Where there is no plan, or not one briefing for each, or a plan cannot be checked.
    ConfigError
        Where a water has neither a shoreline nor a table of open water.
    """
    return many_plans.judge_plans(plans, briefings, settings)


def outlook_many(
    plans: Sequence[Plan], briefings: Sequence[Briefing], settings: Settings
) -> OutlookArrays:
    """Return every hour, and every trip of 1 to 24 whole hours, between each plan's start and end.

    Parameters
    ----------
    plans
        Where, who and in what; start and end bound the hours.
    briefings, settings
        As for `judge_many`.

    Raises
    ------
    PlanError, ConfigError
        As for `judge_many`.
    """
    return many_plans.outlook_plans(plans, briefings, settings)


def hindcast(plan: Plan, record: Forecast, settings: Settings) -> Hindcast:
    """Return the verdict on every past trip in a record of the weather at one launch.

    Parameters
    ----------
    plan
        Its length, a whole number of hours, its craft, paddler, reach and water temperature
        count; its day does not.
    record
        Past hours with one member, such as a reanalysis, from `make_forecast`. Trips begin after
        the first 24 hours.
    settings
        The user's limits, odds and folders.

    Notes
    -----
    What a reanalysis can't show is left out of the verdicts and named in `not_counted`. A share
    of past trips permits nothing.

    Raises
    ------
    PlanError
        Where the trip does not last 1 to 24 whole hours, or the record is too short for one.
    ConfigError
        Where the water has neither a shoreline nor a table of open water.
    """
    return climate.judge_record(plan, record, settings)


def _plan_and_clock(
    request: PlanRequest, settings: Settings, water: Water | None, now: datetime | None
) -> tuple[Plan, datetime]:
    clock = now or datetime.now(UTC)
    if water is None:
        return planning.make_plan(request, settings, clock)
    return planning.make_plan_on(water, request, settings, clock)
