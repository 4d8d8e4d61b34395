"""The verdict as JSON, versioned."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict

from safety_check.arrays import to_utc
from safety_check.model.plan import Plan
from safety_check.model.verdict import (
    Finding,
    HourVerdict,
    Limit,
    Severity,
    Unknown,
    Verdict,
)
from safety_check.model.weather import Provenance
from safety_check.report import json_advice, json_alternatives, json_missed
from safety_check.report.credits import credits_of
from safety_check.report.json_warnings import OfficialWarning, warnings_part
from safety_check.report.local_rules import LocalRuleItem, local_rules_part
from safety_check.report.moving_water import MovementItem, movement_part

SCHEMA_VERSION = 1

Level = Literal["GO", "MARGINAL", "UNKNOWN", "NO-GO"]


class Part(BaseModel):
    """A part of the report: no key but its own."""

    model_config = ConfigDict(extra="forbid")


class Place(Part):
    """A launch on a water; degrees WGS84."""

    water: str
    launch: str
    latitude: float
    longitude: float
    time_zone: str


class Trip(Part):
    """The plan; times UTC, lengths in m. `reach_assumed` is true where no reach was given."""

    place: Place
    craft: str
    craft_class: str
    start: datetime
    end: datetime
    reach: float
    reach_assumed: bool = False


class Odds(Part):
    """Shares of the forecasts, each model counted once; they sum to 1."""

    go: float
    marginal: float
    unknown: float
    no_go: float


class HourLimit(Part):
    """The bounds in one hour, SI; null is never reached. `lowered_by` says why they are low."""

    marginal: float | None
    no_go: float | None
    lowered_by: list[str]


class Hour(Part):
    """One hour from `time` on; `values` holds the median and the high end in SI."""

    time: datetime
    verdict: Level
    odds: Odds
    because: list[str]
    values: dict[str, float | None]
    limits: dict[str, HourLimit] = {}


class Bounds(Part):
    """The limit as given in the configuration or the user's settings, SI."""

    marginal: float | None
    no_go: float | None
    worse: Literal["higher", "lower"]
    applies_to: str
    since: str
    loosened: bool


class Item(Part):
    """One limit applied to one quantity; `limit` is the bound that decided, in `unit`."""

    hazard: str
    quantity: str
    severity: Level
    value: float | None
    unit: str
    limit: float | None
    bounds: Bounds | None
    hours: list[datetime]
    odds: float
    reason: str
    source: str
    basis: str


class Missing(Part):
    """Something that is not known, how it affects the verdict, and what to do about it."""

    what: str
    why: str
    mend: str
    severity: Level


class Origin(Part):
    """Where an item comes from; `age` in s at the time of the check."""

    source: str
    model: str
    url: str
    issued: datetime | None
    fetched: datetime
    age: float
    recorded: bool
    attribution: str


class Span(Part):
    """A run of hours at a verdict or better."""

    start: datetime
    end: datetime
    verdict: Level


class AssumedCourse(Part):
    """How far from the launch the trip is assumed to be, m and m/s, and from when to when."""

    farthest: float
    speed: float
    since: datetime
    until: datetime


class Report(Part):
    """The answer to a plan. Times are UTC, numbers SI; null is not known."""

    schema_version: Literal[1]
    program_version: str
    at: datetime
    verdict: Level
    exit_status: int
    trip: Trip
    hours: list[Hour]
    findings: list[Item]
    windows: list[Span]
    unknown: list[Missing]
    provenance: list[Origin]
    cautions: list[str]
    credits: list[str] = []
    loosened: list[str] = []
    widening: list[str] = []
    lee: str = ""
    advice: json_advice.Advice | None = None
    disagreement: str = ""
    missed: list[json_missed.Missed] = []
    trip_odds: dict[Level, float] = {}
    judged_until: datetime | None = None
    course: AssumedCourse | None = None
    forecast_made: datetime | None = None
    water_temperature: json_alternatives.WaterTemperature | None = None
    alternatives: list[json_alternatives.AlternativeItem] | None = None
    leave_signs: json_alternatives.LeaveSigns | None = None
    local_rules: list[LocalRuleItem] = []
    official_warnings: list[OfficialWarning] = []
    movement: MovementItem | None = None


def build_report(verdict: Verdict, program_version: str, exit_status: int) -> Report:
    """Return the verdict as the versioned report."""
    plan = verdict.plan
    return Report(
        schema_version=SCHEMA_VERSION,
        program_version=program_version,
        at=verdict.at,
        verdict=level(verdict.severity),
        exit_status=exit_status,
        trip=Trip(
            place=place_of(plan),
            craft=plan.craft.name,
            craft_class=plan.craft.kind,
            start=plan.start,
            end=plan.end,
            reach=plan.reach,
            reach_assumed=plan.reach_assumed,
        ),
        hours=[_hour(hour) for hour in verdict.hours],
        findings=[item(finding) for finding in verdict.findings],
        windows=[
            Span(start=window.start, end=window.end, verdict=level(window.severity))
            for window in verdict.windows
        ],
        unknown=[missing(unknown) for unknown in verdict.unknown],
        provenance=[origin(source, verdict.at) for source in verdict.provenance],
        cautions=list(verdict.cautions),
        credits=credits_of(verdict),
        loosened=list(verdict.loosened),
        widening=list(verdict.widening),
        lee=verdict.lee,
        advice=json_advice.advice_part(verdict.advice) if verdict.advice else None,
        disagreement=verdict.disagreement,
        missed=[json_missed.missed_part(miss) for miss in verdict.missed],
        trip_odds={level(severity): share for severity, share in verdict.trip_odds.items()},
        judged_until=verdict.judged_until,
        course=AssumedCourse(**vars(verdict.course)) if verdict.course else None,
        forecast_made=verdict.forecast_made,
        water_temperature=json_alternatives.water_part(verdict.water),
        alternatives=json_alternatives.alternatives_part(verdict),
        leave_signs=json_alternatives.leave_part(verdict),
        local_rules=local_rules_part(verdict),
        official_warnings=warnings_part(verdict),
        movement=movement_part(verdict),
    )


def text(verdict: Verdict, program_version: str, exit_status: int) -> str:
    """Return the report as JSON text."""
    made = build_report(verdict, program_version, exit_status)
    return json.dumps(made.model_dump(mode="json"), indent=2, ensure_ascii=False, allow_nan=False)


def place_of(plan: Plan) -> Place:
    """Return where a plan starts."""
    return Place(
        water=plan.water.name,
        launch=plan.launch.name,
        latitude=plan.launch.latitude,
        longitude=plan.launch.longitude,
        time_zone=plan.water.time_zone,
    )


def missing(unknown: Unknown) -> Missing:
    """Return something that is not known as a part of the report."""
    return Missing(
        what=unknown.what, why=unknown.why, mend=unknown.remedy, severity=level(unknown.severity)
    )


def level(severity: Severity) -> Level:
    """Return a severity as the report spells it."""
    return {
        Severity.GO: "GO",
        Severity.MARGINAL: "MARGINAL",
        Severity.UNKNOWN: "UNKNOWN",
        Severity.NO_GO: "NO-GO",
    }[severity]  # type: ignore[return-value]


def _hour(hour: HourVerdict) -> Hour:
    odds = {severity.name.lower(): round(hour.odds.get(severity, 0.0), 6) for severity in Severity}
    return Hour(
        time=hour.time,
        verdict=level(hour.severity),
        odds=Odds(**odds),
        because=list(hour.because),
        values={name: json_advice.number_or_none(value) for name, value in hour.shown.items()},
        limits={
            name: HourLimit(
                marginal=json_advice.number_or_none(marginal),
                no_go=json_advice.number_or_none(no_go),
                lowered_by=list(hour.lowered_by.get(name, ())),
            )
            for name, (marginal, no_go) in hour.bounds.items()
        },
    )


def item(finding: Finding) -> Item:
    """Return a finding as a part of the report."""
    return Item(
        hazard=finding.hazard,
        quantity=finding.quantity,
        severity=level(finding.severity),
        value=json_advice.number_or_none(finding.value),
        unit=finding.unit,
        limit=json_advice.number_or_none(finding.bound),
        bounds=_bounds(finding.limit) if finding.limit else None,
        hours=[to_utc(time) for time in finding.hours],
        odds=round(finding.odds, 6),
        reason=finding.reason,
        source=finding.source,
        basis=finding.basis,
    )


def _bounds(limit: Limit) -> Bounds:
    return Bounds(
        marginal=limit.marginal,
        no_go=limit.no_go,
        worse="higher" if limit.worse == "higher" else "lower",
        applies_to=limit.applies_to,
        since=limit.since.isoformat(),
        loosened=limit.loosened is not None,
    )


def origin(item: Provenance, at: datetime) -> Origin:
    """Return where an item comes from, with its age at a time."""
    return Origin(
        source=item.source,
        model=item.model,
        url=item.url,
        issued=item.issued,
        fetched=item.fetched,
        age=(at - (item.issued or item.fetched)).total_seconds(),
        recorded=item.recorded,
        attribution=item.attribution,
    )
