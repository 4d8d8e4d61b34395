"""The Python interface: settings and a plan in, a verdict out.

The names in `__all__` are the documented ones; see docs/api.md. Everything else in the
package may change without notice.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from safety_check.errors import ConfigError, DataError, PlanError, SafetyCheckError, SourceError
from safety_check.model.place import Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, HourVerdict, Severity, Unknown, Verdict, Window
from safety_check.settings.settings import Settings, load_settings
from safety_check.sources.saved_forecast import read_briefing
from safety_check.use_cases.judge import judge_plan
from safety_check.use_cases.own_word import add_own_word
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan, make_plan_on
from safety_check.waters.files import load_file
from safety_check.waters.near_water import trip_water

__all__ = [
    "ConfigError",
    "DataError",
    "Finding",
    "HourVerdict",
    "Plan",
    "PlanError",
    "PlanRequest",
    "SafetyCheckError",
    "Settings",
    "Severity",
    "SourceError",
    "Unknown",
    "Verdict",
    "Water",
    "Window",
    "check_saved_forecast",
    "load_settings",
    "load_water",
]


def load_water(path: Path) -> Water:
    """Return the water of a GeoJSON file that `safety-check water add` wrote.

    Raises
    ------
    ConfigError
        Where the file is missing or does not hold such a water.
    """
    return load_file(path)


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
    clock = datetime.now(UTC)
    plan, now = (
        make_plan(request, settings, clock)
        if water is None
        else make_plan_on(water, request, settings, clock)
    )
    settings = settings.at(plan.launch)
    open_around = trip_water(plan, settings.folders.cache)
    briefing = add_own_word(read_briefing(forecast, plan, now), request, plan.water.time_zone)
    return judge_plan(plan, briefing, open_around, settings)
