"""The coming days as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, Literal

from pydantic import Field

from safety_check.model.outlook import Day, Outlook
from safety_check.model.verdict import Window
from safety_check.report.credits import credits_of_outlook, origins_of_outlook
from safety_check.report.json import (
    Item,
    Level,
    Missing,
    Origin,
    Part,
    Place,
    Span,
    item,
    level,
    missing,
    origin,
    place_of,
)
from safety_check.report.json_alternatives import WaterTemperature, water_part
from safety_check.report.moving_water import TurnItem, turns_part

SCHEMA_VERSION = 1


class DayAhead(Part):
    """One local day; null where the day's light leaves no trip of the asked length.

    `water_temperature` is the one that counts during the best trip of that day.
    """

    water: str
    launch: str
    date: date
    verdict: Level | None
    go: float
    start: datetime | None
    end: datetime | None
    window: Span | None
    because: Item | None
    ends: Item | None
    shorter: Span | None
    beyond_warnings: bool = False
    water_temperature: WaterTemperature | None = None


class WaterAhead(Part):
    """The coming days at one launch; `water_temperature` holds over all of them."""

    place: Place
    craft: str
    craft_class: str
    reach: float = 0.0
    reach_assumed: bool = False
    days: list[DayAhead]
    unknown: list[Missing]
    loosened: list[str]
    widening: list[str]
    provenance: list[Origin]
    credits: list[str] = Field(default_factory=list)
    warnings_until: datetime | None = None
    water_temperature: WaterTemperature | None = None
    turns: list[TurnItem] = Field(default_factory=list)


class OutlookReport(Part):
    """The coming days. Times are UTC, numbers SI; `best_first` ranks the days of all waters."""

    schema_version: Literal[1]
    program_version: str
    at: datetime
    hours: int
    waters: list[WaterAhead]
    best_first: list[DayAhead]


def outlook_as_json(
    outlooks: Sequence[Outlook], ranked: Sequence[Day], program: str
) -> dict[str, Any]:
    """Return the coming days as plain values."""
    return OutlookReport(
        schema_version=SCHEMA_VERSION,
        program_version=program,
        at=outlooks[0].briefing.at,
        hours=outlooks[0].hours,
        waters=[_water(outlook) for outlook in outlooks],
        best_first=[_day_ahead(day) for day in ranked],
    ).model_dump(mode="json")


def _water(outlook: Outlook) -> WaterAhead:
    plan, at = outlook.plan, outlook.briefing.at
    return WaterAhead(
        place=place_of(plan),
        craft=plan.craft.name,
        craft_class=plan.craft.kind,
        reach=plan.reach,
        reach_assumed=plan.reach_assumed,
        days=[_day_ahead(day) for day in outlook.days],
        unknown=[missing(unknown) for unknown in outlook.unknown],
        loosened=list(outlook.loosened),
        widening=list(outlook.widening),
        provenance=[origin(source, at) for source in origins_of_outlook(outlook)],
        credits=credits_of_outlook(outlook),
        warnings_until=outlook.warnings_until,
        water_temperature=water_part(outlook.water),
        turns=turns_part(outlook.turns),
    )


def _day_ahead(day: Day) -> DayAhead:
    trip = day.severity is not None
    return DayAhead(
        water=day.plan.water.name,
        launch=day.plan.launch.name,
        date=day.date,
        verdict=None if day.severity is None else level(day.severity),
        go=round(day.odds, 6),
        start=day.plan.start if trip else None,
        end=day.plan.end if trip else None,
        window=_as_span(day.window),
        because=item(day.why) if day.why else None,
        ends=item(day.ends) if day.ends else None,
        shorter=_as_span(day.shorter),
        beyond_warnings=day.beyond_warnings,
        water_temperature=water_part(day.water),
    )


def _as_span(window: Window | None) -> Span | None:
    if window is None:
        return None
    return Span(start=window.start, end=window.end, verdict=level(window.severity))
