"""How often a water was a GO in past years, as JSON."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from pydantic import Field

from safety_check.model.climate import Climate, Month, Share, Week
from safety_check.model.verdict import Severity
from safety_check.report.credits import data_credits
from safety_check.report.json import Part, Place, place_of

SCHEMA_VERSION = 1


class ShareOfDays(Part):
    """A share of the days, and between what it lies when whole years are drawn."""

    mean: float
    low: float
    high: float


class DecidingHazard(Part):
    """A hazard, and in which share of the trips without a GO it is as bad as the trip."""

    hazard: str
    share: float


class ClimateMonth(Part):
    """A month of all years.

    `trips` has the shares of those that daylight allows. `windows` maps hours to the share of the
    days with a GO for at least so long.
    """

    month: int
    go_days: ShareOfDays
    trips: dict[str, float]
    decides: list[DecidingHazard]
    windows: dict[int, float]


class ClimateHour(Part):
    """The trips that began in one month at one hour of the water's local time."""

    month: int
    hour: int
    minute: int
    trips: dict[str, float]
    dark: float


class ClimateWeek(Part):
    """A week of the year; dates as MM-DD."""

    first: str
    last: str
    go_days: ShareOfDays


class LeftOut(Part):
    """What the record of past weather cannot show."""

    what: str
    why: str


class ClimateReport(Part):
    """How often trips of one length were a GO in past years. It permits nothing."""

    schema_version: Literal[1]
    program_version: str
    place: Place
    craft: str
    craft_class: str
    hours: int
    reach: float
    reach_assumed: bool
    years: list[int]
    water_temperature: Literal["entered", "estimated", "not known"]
    by_hour: list[ClimateHour]
    months: list[ClimateMonth]
    best_weeks: list[ClimateWeek]
    not_counted: list[LeftOut]
    credits: list[str] = Field(default_factory=list)


def climate_as_json(climate: Climate, program: str) -> dict[str, Any]:
    """Return what past years say, as plain values."""
    plan = climate.plan
    return ClimateReport.model_validate(
        {
            "schema_version": SCHEMA_VERSION,
            "program_version": program,
            "place": place_of(plan),
            "craft": plan.craft.name,
            "craft_class": plan.craft.kind,
            "hours": round((plan.end - plan.start).total_seconds() / 3600),
            "reach": plan.reach,
            "reach_assumed": plan.reach_assumed,
            "years": list(climate.years),
            "water_temperature": climate.water,
            "by_hour": _hours(climate),
            "months": [_month(month, climate.lengths) for month in climate.months],
            "best_weeks": [_week(week) for week in climate.best_weeks],
            "not_counted": [LeftOut(what=one.what, why=one.why) for one in climate.not_counted],
            "credits": data_credits(climate.provenance, plan.water),
        }
    ).model_dump(mode="json")


def _hours(climate: Climate) -> list[ClimateHour]:
    months, hours = climate.dark.shape
    return [
        ClimateHour(
            month=month + 1,
            hour=hour,
            minute=climate.minute,
            trips=_levels(climate.by_hour[month, hour].tolist()),
            dark=round(float(climate.dark[month, hour]), 4),
        )
        for month in range(months)
        for hour in range(hours)
        if not np.isnan(climate.dark[month, hour])
    ]


def _levels(shares: list[float]) -> dict[str, float]:
    return {str(level): round(share, 4) for level, share in zip(Severity, shares, strict=True)}


def _month(month: Month, lengths: tuple[int, ...]) -> ClimateMonth:
    return ClimateMonth(
        month=month.month,
        go_days=_share(month.go_days),
        trips=_levels([*month.shares]),
        decides=[
            DecidingHazard(hazard=one.hazard, share=round(one.share, 4)) for one in month.decides
        ],
        windows={
            length: round(share, 4) for length, share in zip(lengths, month.windows, strict=True)
        },
    )


def _share(share: Share) -> ShareOfDays:
    return ShareOfDays(
        mean=round(share.mean, 4), low=round(share.low, 4), high=round(share.high, 4)
    )


def _week(week: Week) -> ClimateWeek:
    (first, day), (last, until) = week.first, week.last
    return ClimateWeek(
        first=f"{first:02}-{day:02}", last=f"{last:02}-{until:02}", go_days=_share(week.go_days)
    )
