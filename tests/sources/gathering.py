"""Gathering from the fakes: a trip of this morning, and the verdict on it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path

from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing, SourceFailure
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UserSettings
from safety_check.sources.gather import gather_briefing
from safety_check.sources.http.asker import RetryPolicy
from safety_check.sources.question import Question
from safety_check.use_cases.question import build_question
from safety_check.waters.open_water import open_water
from tests import scenes
from tests.sources.fakes import NOW, Services

PATIENT = RetryPolicy(deadline=8.0, patience=4.0, first_pause=0.01)
HASTY = RetryPolicy(deadline=0.4, patience=0.15, first_pause=0.01)


def trip(water_temperature: float | None = None, now: datetime = NOW) -> Plan:
    """Return three hours on the water from one hour after the check."""
    start = now + timedelta(hours=1)
    return scenes.plan(start=start, hours=3, water_temperature=water_temperature)


def settings(addresses: Mapping[str, str], folder: Path) -> Settings:
    """Return settings whose services are the fakes, and whose files lie in a folder."""
    return Settings(Folders(folder, folder, folder), UserSettings(services=dict(addresses)))


def briefing(
    services: Services,
    folder: Path,
    plan: Plan | None = None,
    policy: RetryPolicy = PATIENT,
    now: datetime = NOW,
) -> Briefing:
    """Return what the fakes say."""
    own = settings(services.addresses(), folder)
    return gather_briefing(question(plan or trip(now=now), own, now), own, policy)


def question(plan: Plan, own: Settings, now: datetime = NOW) -> Question:
    """Return what a plan asks of the services."""
    water = open_water(plan, own.folders.cache) if plan.water.shoreline else scenes.POND
    return build_question(plan, water, now, own.preferences.distance)


def verdict(told: Briefing, plan: Plan | None = None) -> Verdict:
    """Return the verdict on what was gathered, on a pond."""
    return scenes.judge(plan or trip(now=told.at), told, scenes.POND, scenes.settings())


def severity_of(told: Briefing, plan: Plan | None = None) -> Severity:
    """Return how severe the same verdict is."""
    return scenes.judge_severity(plan or trip(now=told.at), told)


def silent(told: Briefing, source: str) -> list[SourceFailure]:
    """Return the silences of one source, by the beginning of its name for people."""
    return [failure for failure in told.silences if failure.source.startswith(source)]
