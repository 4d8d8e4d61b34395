"""Check a plan: load the data, judge it, store the verdict."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from safety_check.conditions.case import Case
from safety_check.errors import PlanError
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.weather import Briefing
from safety_check.settings.settings import Settings
from safety_check.sources.saved_forecast import read_briefing
from safety_check.use_cases.asked_again import words_of
from safety_check.use_cases.own_word import add_own_word
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.saved_plans import fill_from_saved
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_estimate import store_air
from safety_check.use_cases.water_memory import store_measurement
from safety_check.waters.near_water import trip_water

if TYPE_CHECKING:
    from safety_check.sources.offline_validity import OfflineValidity
    from safety_check.use_cases.record import CompletedCheck

NOT_PACKED = (
    "The answers of the services could not be stored. Free some space, or correct the permissions"
    " of the data folder, and pack again."
)


def check_plan(
    asked: PlanRequest, settings: Settings, forecast: Path | None = None, name: str = ""
) -> CompletedCheck:
    """Check a request, with a saved or a live forecast, and store the verdict.

    Parameters
    ----------
    asked, settings
        The request, and the user's settings.
    forecast
        A saved forecast; None asks the live services.
    name
        What the user calls the plan.
    """
    from safety_check.use_cases.other_waters import changes_of_water
    from safety_check.use_cases.record import judge_and_store, recall_case

    asked = fill_from_saved(asked, settings)
    plan, now = make_plan(asked, settings, datetime.now(UTC))
    settings = settings.at(plan.launch)
    water = trip_water(plan, settings.folders.cache)
    briefing = load_briefing(plan, asked, settings, now, forecast, water)
    unheard = () if forecast else store_air(plan, now, settings)
    case, remarks = recall_case(Case(plan, briefing, water, settings, load_trust()))
    remarks += (*unheard, *store_measurement(plan, now, settings))

    def briefing_for(other: Plan, there: OpenWater) -> Briefing:
        # The user's word on warnings is for the water of the plan, not for another.
        if forecast is None:
            store_air(other, now, settings)
        return load_briefing(other, PlanRequest(as_of=asked.as_of), settings, now, forecast, there)

    others = changes_of_water(case, briefing_for)
    name, words = name or asked.saved_plan, words_of(asked)
    return judge_and_store(case, load_rulebook(), name, remarks, others, words)


def pack_plan(
    asked: PlanRequest, settings: Settings, name: str = ""
) -> tuple[CompletedCheck, OfflineValidity]:
    """Return the current verdict, stored for later, and how long its data are valid."""
    from safety_check.sources.gather import answers_stored
    from safety_check.sources.offline_validity import find_offline_validity
    from safety_check.use_cases import record
    from safety_check.use_cases.question import wanted_observations

    asked = fill_from_saved(asked, settings)
    plan, now = make_plan(asked, settings, datetime.now(UTC))
    settings = settings.at(plan.launch)
    water = trip_water(plan, settings.folders.cache)
    briefing = ask_services(plan, asked, settings, now, water)
    unheard = store_air(plan, now, settings)
    case, remarks = record.recall_case(Case(plan, briefing, water, settings, load_trust()))
    name = name or asked.saved_plan
    remarks += (*unheard, *store_measurement(plan, now, settings))
    words = words_of(asked)
    checked = record.judge_and_store(case, load_rulebook(), name, remarks, words=words)
    valid = find_offline_validity(briefing, wanted_observations(plan))
    if answers_stored(briefing, settings.folders):
        return checked, valid
    return replace(checked, remarks=(*checked.remarks, NOT_PACKED)), replace(valid, items=())


def load_briefing(
    plan: Plan,
    asked: PlanRequest,
    settings: Settings,
    now: datetime,
    forecast: Path | None,
    water: OpenWater,
) -> Briefing:
    """Return the briefing for a plan: from a saved forecast, or from the live services."""
    if forecast is not None:
        saved = read_briefing(forecast, plan, now, settings.preferences.distance)
        return with_own_words(saved, asked, plan)
    return ask_services(plan, asked, settings, now, water)


def ask_services(
    plan: Plan, asked: PlanRequest, settings: Settings, now: datetime, water: OpenWater
) -> Briefing:
    """Return the current answers of the services; answers of another day cannot be requested."""
    if asked.as_of is not None:
        raise PlanError(
            f"--as-of {asked.as_of}: live services only return the current forecast. Add --forecast"
            " with a file of that day, or leave --as-of out."
        )
    from safety_check.sources.gather import gather_briefing  # httpx only where it is needed
    from safety_check.use_cases.question import build_question

    question = build_question(plan, water, now, settings.preferences.distance)
    return with_own_words(gather_briefing(question, settings), asked, plan)


def with_own_words(briefing: Briefing, asked: PlanRequest, plan: Plan) -> Briefing:
    """Return a briefing with what the user says of warnings and of the movement of the water."""
    told = add_own_word(briefing, asked, plan.water.time_zone)
    if not asked.says_movement:
        return told
    from safety_check.use_cases.own_water import add_own_water  # not for still water

    return add_own_water(told, asked, plan)
