"""The bundled, invented scenario."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from safety_check.conditions.case import Case
from safety_check.model.verdict import Verdict
from safety_check.model.weather import Briefing, Provenance
from safety_check.settings import toml_file
from safety_check.settings.folders import find_folders, shipped_file
from safety_check.settings.settings import Settings
from safety_check.settings.toml_file import Strict
from safety_check.settings.user_file import PaddlerTable, UserSettings
from safety_check.sources.nws.alerts import parse
from safety_check.sources.registry import load_sources
from safety_check.sources.saved_forecast import NOT_ASKED, read_briefing
from safety_check.use_cases.judge import judge_case
from safety_check.use_cases.own_water import add_own_water
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.planning import make_plan_on
from safety_check.use_cases.trust import load_trust
from safety_check.waters import files
from safety_check.waters.near_water import trip_water


class SampleFile(Strict):
    """plan.toml of the bundled sample."""

    water: str
    launch: str
    forecast: str
    alerts: str
    as_of: str
    start: str
    hours: float
    reach: str
    craft: str
    water_temperature: str
    current: str
    high_water: str
    paddler: PaddlerTable


def request_of(said: SampleFile) -> PlanRequest:
    """Return the request of the bundled scenario, without its water and its clock."""
    return PlanRequest(
        launch=said.launch,
        craft=said.craft,
        start=said.start,
        hours=said.hours,
        reach=said.reach,
        water_temperature=said.water_temperature,
        current=said.current,
        high_water=said.high_water,
    )


def check_sample() -> tuple[Settings, Verdict]:
    """Return the settings and the verdict of the bundled scenario; no network, no user file."""
    case = sample_case()
    return case.settings, judge_case(case)


def sample_case() -> Case:
    """Return the bundled scenario, as it is judged."""
    folder = shipped_file("sample")
    said = toml_file.read(folder / "plan.toml", SampleFile)
    settings = Settings(find_folders(), UserSettings(paddler=said.paddler))
    water = files.load_file(folder / said.water)
    asked = replace(request_of(said), as_of=said.as_of)
    plan, now = make_plan_on(water, asked, settings, datetime.now(UTC))
    briefing = _with_alerts(read_briefing(folder / said.forecast, plan, now), folder / said.alerts)
    briefing = add_own_water(briefing, asked, plan)
    return Case(plan, briefing, trip_water(plan, settings.folders.cache), settings, load_trust())


def _with_alerts(briefing: Briefing, path: Path) -> Briefing:
    """Return a briefing with the invented answer of an alert service."""
    service = load_sources()["nws_alerts"]
    at = briefing.at
    answer = Provenance(service.title, "invented", "", issued=at, fetched=at, recorded=True)
    return replace(
        briefing,
        alerts=parse(path.read_bytes(), answer),
        silences=tuple(silence for silence in briefing.silences if silence is not NOT_ASKED),
        warnings_read=(answer,),
    )
