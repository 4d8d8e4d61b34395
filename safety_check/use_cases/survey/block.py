"""Judge a block of launches from gridded forecasts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from safety_check.assess.best_trips import BestTrip, best_trips
from safety_check.conditions.case import Case
from safety_check.errors import DataError, SafetyCheckError
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing, Forecast, SourceFailure
from safety_check.rules.rulebook import Rulebook
from safety_check.settings.settings import Settings
from safety_check.settings.survey_file import load_survey_file
from safety_check.sources.gridded.cut import cut_to_places
from safety_check.sources.gridded.dataset import SOURCE, open_forecast
from safety_check.use_cases.outlook import last_hour
from safety_check.use_cases.own_word import add_own_word
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan_on
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.survey.table import SurveyLaunch
from safety_check.use_cases.trust import load_trust
from safety_check.waters.open_water import open_waters

WARNINGS = "official_warning"
WINDS = ("wind_speed", "wind_speed_of_gust", "wind_from_direction")


@dataclass(frozen=True)
class SurveyTask:
    """What is asked of every launch.

    Parameters
    ----------
    forecasts
        Paths of gridded forecasts, each perhaps as "NAME=PATH".
    asked
        Craft, reach, water temperature, paddler and the user's word on warnings, where a row of
        the table does not say; the length of the trips.
    hours
        The length of the trips. [h]
    days
        How many local days, today included.
    at
        The time of the survey.
    settings
        The user's paddler, limits and folders.
    """

    forecasts: tuple[str, ...]
    asked: PlanRequest
    hours: int
    days: int
    at: datetime
    settings: Settings


@dataclass(frozen=True)
class JudgedBlock:
    """The rows of a block, for Parquet: verdicts, and the launches that were refused."""

    verdicts: list[dict[str, Any]]
    refused: list[dict[str, str]]


def judge_block(launches: Sequence[SurveyLaunch], task: SurveyTask) -> JudgedBlock:
    """Return the verdicts on some launches, each day's best trip.

    Raises
    ------
    DataError
        Where a forecast can't be read at all.
    """
    ready, refused = make_cases(launches, task)
    if not ready:
        return JudgedBlock([], refused)
    rulebook, warned = survey_rulebook(task.asked)
    cases, together = [case for _, case in ready], load_survey_file().block.together
    found = best_trips(cases, task.hours, rulebook, together)
    rows = [
        row
        for (launch, _), trips in zip(ready, found, strict=True)
        for row in _rows(launch, trips, warned)
    ]
    return JudgedBlock(rows, refused)


def try_block(launches: Sequence[SurveyLaunch], task: SurveyTask) -> JudgedBlock | DataError:
    """Return the verdicts on some launches, or why a forecast can't be read around them."""
    try:
        return judge_block(launches, task)
    except DataError as trouble:
        return trouble


def make_cases(
    launches: Sequence[SurveyLaunch], task: SurveyTask
) -> tuple[list[tuple[SurveyLaunch, Case]], list[dict[str, str]]]:
    """Return the inputs of a check over all days at each launch, and the launches refused.

    Raises
    ------
    DataError
        Where a forecast can't be read at all.
    """
    by_model = _forecasts(launches, task)
    trust = load_trust()
    greatest = {**trust.greatest_age, SOURCE: load_survey_file().forecast.greatest_age}
    trust = replace(
        trust, greatest_age=greatest
    )  # one for all: only then are they weighed together
    refused: list[dict[str, str]] = []
    planned: list[tuple[SurveyLaunch, Plan, Briefing]] = []
    for place, launch in enumerate(launches):
        try:
            plan = _plan(launch, task)
            briefing = _briefing(plan, [one[place] for one in by_model], task)
            planned.append((launch, plan, briefing))
        except SafetyCheckError as trouble:
            refused.append({"launch": launch.name, "why": str(trouble)})
    waters = open_waters([plan for _, plan, _ in planned], task.settings.folders.cache)
    ready: list[tuple[SurveyLaunch, Case]] = []
    for (launch, plan, briefing), water in zip(planned, waters, strict=True):
        if isinstance(water, SafetyCheckError):
            refused.append({"launch": launch.name, "why": str(water)})
        else:
            ready.append((launch, Case(plan, briefing, water, task.settings, trust)))
    return ready, refused


def survey_rulebook(asked: PlanRequest) -> tuple[Rulebook, bool]:
    """Return the rulebook, and whether the user has said that no warning is in force.

    Files of models have no official warnings. Where nobody has read them, they hold every verdict
    at MARGINAL at best; they are then left out here and added to each row, which also has the
    verdict on the weather alone.
    """
    rulebook = load_rulebook()
    if asked.warnings is not None:
        return rulebook, True
    others = tuple(one for one in rulebook.hazards if one.name != WARNINGS)
    return replace(rulebook, hazards=others), False


def _forecasts(launches: Iterable[SurveyLaunch], task: SurveyTask) -> list[list[Forecast | str]]:
    """Return each model's forecast for each launch, or why there is none."""
    places = [
        (launch.water.launches[0].latitude, launch.water.launches[0].longitude)
        for launch in launches
    ]
    return [list(cut_to_places(open_forecast(name), places)) for name in task.forecasts]


def _briefing(plan: Plan, found: Sequence[Forecast | str], task: SurveyTask) -> Briefing:
    forecasts = tuple(one for one in found if isinstance(one, Forecast))
    off_grid = [one for one in found if isinstance(one, str)]
    if not forecasts:
        raise SafetyCheckError(f"It lies on no model's grid. {'. '.join(off_grid)}.")
    silences = tuple(SourceFailure(SOURCE, reason, WINDS) for reason in off_grid)
    briefing = Briefing(task.at, forecasts, silences=silences)
    return add_own_word(briefing, task.asked, plan.water.time_zone)


def _plan(launch: SurveyLaunch, task: SurveyTask) -> Plan:
    asked = replace(
        task.asked,
        launch=launch.water.launches[0].name,
        craft=launch.craft or task.asked.craft,
        reach=launch.reach or task.asked.reach,
        water_temperature=launch.water_temperature or task.asked.water_temperature,
        start="now",
        hours=task.hours,
    )
    plan, _ = make_plan_on(launch.water, asked, task.settings, task.at)
    return replace(plan, start=task.at, end=last_hour(task.at, task.days, plan.water.time_zone))


def _rows(launch: SurveyLaunch, trips: Iterable[BestTrip], warned: bool) -> list[dict[str, Any]]:
    place = launch.water.launches[0]
    return [
        {
            "launch": launch.name,
            "latitude": place.latitude,
            "longitude": place.longitude,
            "day": trip.day,
            **_verdict(trip, warned),
            "start": trip.start,
            "end": trip.end,
            "go": trip.go,
        }
        for trip in trips
    ]


def _verdict(trip: BestTrip, warned: bool) -> dict[str, Any]:
    """Return the verdict, that on the weather alone, and the hazard that decides."""
    if trip.severity is None:
        return {"verdict": None, "weather": None, "decides": ""}
    held = trip.severity if warned else max(trip.severity, Severity.MARGINAL)
    by_warnings = held > trip.severity
    return {
        "verdict": str(held),
        "weather": str(trip.severity),
        "decides": WARNINGS if by_warnings else trip.decides,
    }
