"""The use cases, each a few lines: what is asked for in, a verdict out."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from safety_check import settings as configured
from safety_check import toml_file, water_file
from safety_check.errors import PlanError
from safety_check.futures import Trust
from safety_check.judge import judged
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity, Verdict
from safety_check.model.weather import Briefing
from safety_check.open_water import open_water
from safety_check.planning import Asked, plan_from, plan_on
from safety_check.settings import Settings, UserSettings
from safety_check.sources import coverage, registry, saved, stations
from safety_check.toml_file import Strict

if TYPE_CHECKING:
    from safety_check.history import Checked
    from safety_check.sources.packed import Packed

WAVES = "sea_surface_wave_significant_height"
EXIT_STATUS = {
    Severity.GO: 0,
    Severity.MARGINAL: 20,
    Severity.NO_GO: 30,
    Severity.UNKNOWN: 40,
}


def checked(
    asked: Asked, settings: Settings, forecast: Path | None = None, name: str = ""
) -> Checked:
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
    from safety_check import history  # the store, which the sample does without

    plan, now = plan_from(asked, settings, datetime.now(UTC))
    briefing = told(plan, asked, settings, now, forecast)
    return history.checked(plan, briefing, settings, trust(), name)


def packed(asked: Asked, settings: Settings, name: str = "") -> tuple[Checked, Packed]:
    """Return the verdict of now, kept for a later one, and until when what came is good."""
    from safety_check import history
    from safety_check.sources import gather
    from safety_check.sources import packed as packing

    plan, now = plan_from(asked, settings, datetime.now(UTC))
    briefing = live(plan, asked, settings, now)
    checked = history.checked(plan, briefing, settings, trust(), name)
    return checked, packing.packed(briefing, gather.wanted(plan))


def told(
    plan: Plan, asked: Asked, settings: Settings, now: datetime, forecast: Path | None
) -> Briefing:
    """Return all that is known for a plan: from a saved forecast, or from the live services."""
    if forecast is not None:
        return saved.briefing(forecast, plan, now)
    return live(plan, asked, settings, now)


def live(plan: Plan, asked: Asked, settings: Settings, now: datetime) -> Briefing:
    """Return what the services say now; they can't be asked for another day's answer."""
    if asked.as_of is not None:
        raise PlanError(
            f"--as-of {asked.as_of}: the services only know what they say now. Add --forecast"
            " with a file of that day, or leave --as-of out."
        )
    from safety_check.sources import gather  # httpx only where something is asked

    return gather.briefing(plan, settings, now)


def judgement(plan: Plan, briefing: Briefing, settings: Settings) -> Verdict:
    """Return the verdict on a plan, its open water prepared once and kept."""
    water = open_water(plan, settings.folders.cache)
    return judged(plan, briefing, water, settings, trust())


def trust() -> Trust:
    """Return how long and how far what the sources say counts, from the shipped config."""
    own = toml_file.read(configured.shipped("trust.toml"), TrustFile)
    reach = stations.reaches()
    return Trust(
        greatest_age=registry.greatest_age(),
        file_age=own.file.greatest_age,
        lacks={**registry.lacks(), **coverage.lacks()},
        wind_distance=reach["wind_speed"].distance,
        wind_age=reach["wind_speed"].age,
        wind_fades_over=own.wind.fades_over,
        direction_distance=own.direction.distance,
        wave_distance=reach[WAVES].distance,
        wave_age=reach[WAVES].age,
        water_distance=reach["water_temperature"].distance,
        water_age=reach["water_temperature"].age,
        compares_over=own.history.compares_over,
    )


class Judged(Strict):
    """What every table of trust.toml says of itself."""

    basis: configured.Basis
    source: str
    since: date
    checked: date


class FileTrust(Judged):
    """[file] of trust.toml."""

    greatest_age: float


class WindTrust(Judged):
    """[wind] of trust.toml."""

    fades_over: float


class DirectionTrust(Judged):
    """[direction] of trust.toml."""

    distance: float


class HistoryTrust(Judged):
    """[history] of trust.toml."""

    compares_over: float


class TrustFile(Strict):
    """trust.toml."""

    file: FileTrust
    wind: WindTrust
    direction: DirectionTrust
    history: HistoryTrust


# -- the bundled, invented scenario ------------------------------------------------------------


class SampleFile(Strict):
    """plan.toml of the bundled sample."""

    water: str
    launch: str
    forecast: str
    as_of: str
    start: str
    hours: float
    reach: str
    craft: str
    water_temperature: str
    paddler: configured.PaddlerTable


def sampled() -> tuple[Settings, Verdict]:
    """Return the settings and the verdict of the bundled scenario; no network, no user file."""
    folder = configured.shipped("sample")
    said = toml_file.read(folder / "plan.toml", SampleFile)
    settings = Settings(configured.folders(), UserSettings(paddler=said.paddler))
    water = water_file.load_file(folder / said.water)
    asked = Asked(
        launch=said.launch,
        craft=said.craft,
        start=said.start,
        hours=said.hours,
        reach=said.reach,
        water_temperature=said.water_temperature,
        as_of=said.as_of,
    )
    plan, now = plan_on(water, asked, settings, datetime.now(UTC))
    return settings, judgement(plan, saved.briefing(folder / said.forecast, plan, now), settings)
