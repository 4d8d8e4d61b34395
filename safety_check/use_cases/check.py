"""The use cases, each a few lines: what is asked for in, a verdict out."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from safety_check.assess.verdict import judge
from safety_check.errors import PlanError
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing
from safety_check.settings.settings import Settings
from safety_check.sources.saved_forecast import read_briefing
from safety_check.use_cases.planning import PlanRequest, make_plan
from safety_check.waters.open_water import open_water

if TYPE_CHECKING:
    from safety_check.sources.offline_validity import OfflineValidity
    from safety_check.use_cases.record import CompletedCheck

from safety_check.use_cases.trust import load_trust

EXIT_STATUS = {
    Severity.GO: 0,
    Severity.MARGINAL: 20,
    Severity.NO_GO: 30,
    Severity.UNKNOWN: 40,
}


def check_plan(
    asked: PlanRequest, settings: Settings, forecast: Path | None = None, name: str = ""
) -> CompletedCheck:
    """Return the verdict on what is asked, from a saved forecast or live, and keep it.

    Parameters
    ----------
    asked, settings
        What, and for whom.
    forecast
        A saved forecast; None asks the live services.
    name
        What the user calls the plan.
    """
    from safety_check.use_cases.record import judge_and_store

    plan, now = make_plan(asked, settings, datetime.now(UTC))
    briefing = load_briefing(plan, asked, settings, now, forecast)
    return judge_and_store(plan, briefing, settings, load_trust(), name)


def pack_plan(
    asked: PlanRequest, settings: Settings, name: str = ""
) -> tuple[CompletedCheck, OfflineValidity]:
    """Return the verdict of now, kept for a later one, and until when what came is good."""
    from safety_check.sources.offline_validity import find_offline_validity
    from safety_check.use_cases import record
    from safety_check.use_cases.question import wanted_observations

    plan, now = make_plan(asked, settings, datetime.now(UTC))
    briefing = ask_services(plan, asked, settings, now)
    checked = record.judge_and_store(plan, briefing, settings, load_trust(), name)
    return checked, find_offline_validity(briefing, wanted_observations(plan))


def load_briefing(
    plan: Plan, asked: PlanRequest, settings: Settings, now: datetime, forecast: Path | None
) -> Briefing:
    """Return all that is known for a plan: from a saved forecast, or from the live services."""
    if forecast is not None:
        return read_briefing(forecast, plan, now)
    return ask_services(plan, asked, settings, now)


def ask_services(plan: Plan, asked: PlanRequest, settings: Settings, now: datetime) -> Briefing:
    """Return what the services say now; they can't be asked for another day's answer."""
    if asked.as_of is not None:
        raise PlanError(
            f"--as-of {asked.as_of}: the services only know what they say now. Add --forecast"
            " with a file of that day, or leave --as-of out."
        )
    from safety_check.sources.gather import gather_briefing  # httpx only where it is needed
    from safety_check.use_cases.question import build_question

    water = open_water(plan, settings.folders.cache)
    question = build_question(plan, water, now, settings.preferences.distance)
    return gather_briefing(question, settings)


def judge_plan(plan: Plan, briefing: Briefing, settings: Settings) -> Verdict:
    """Return the verdict on a plan, its open water prepared once and kept."""
    water = open_water(plan, settings.folders.cache)
    return judge(plan, briefing, water, settings, load_trust())


# -- the bundled, invented scenario ------------------------------------------------------------
