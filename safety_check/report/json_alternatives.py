"""In the JSON report: what would make a trip better, when to leave, the water's temperature."""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, ConfigDict

from safety_check.model.verdict import Alternative, Severity, Verdict, WaterReading
from safety_check.report.json_advice import number_or_none


class WaterTemperature(BaseModel):
    """The temperature of the water that was weighed [K], and its source.

    `measured` is set where an earlier measurement is used; `value` is then the coldest that
    the water may be now. `warmest` is set where nobody measured and a range is estimated, of
    which `value` is the cold end; `enough` is the lowest measured temperature in it that would
    make the verdict a GO, null where none would. `why_not` says why there is no estimate where
    one is allowed.
    """

    model_config = ConfigDict(extra="forbid")

    value: float | None
    source: str
    at: datetime | None
    measured: float | None = None
    warmest: float | None = None
    enough: float | None = None
    why_not: str = ""


class AlternativeItem(BaseModel):
    """A change to the plan that gives a better verdict, judged like the plan itself.

    `kind` is "time", "from_shore", "reach", "launch", "water", "company", "wearing" or "craft".
    `option` holds the options of `check` that make it; of another water they replace the water,
    its launch, its temperature and your word on warnings. `reason` decides that verdict and is
    empty for a GO. Lengths in m.
    """

    model_config = ConfigDict(extra="forbid")

    kind: str
    verdict: str
    start: datetime
    end: datetime
    reach: float
    from_shore: float | None
    water: str
    launch: str
    craft: str
    company: str | None
    wearing: str | None
    reason: str
    option: str


class LeaveSigns(BaseModel):
    """Signs on the water that mean: leave now. SI; null is no limit.

    `offshore` holds the compass points from which a wind would blow off the shore. [deg true]
    """

    model_config = ConfigDict(extra="forbid")

    wind: float | None
    gust: float | None
    wave: float | None
    whitecaps: bool
    offshore: list[float]
    by: datetime
    turn_back: bool


def leave_part(verdict: Verdict) -> LeaveSigns | None:
    """Return the signs that it is time to leave as a part of the report."""
    signs = verdict.leave_signs
    if signs is None or verdict.severity > Severity.MARGINAL:
        return None
    return LeaveSigns(
        wind=number_or_none(signs.wind),
        gust=number_or_none(signs.gust),
        wave=number_or_none(signs.wave),
        whitecaps=signs.whitecaps,
        offshore=list(signs.offshore),
        by=signs.by,
        turn_back=signs.turn_back,
    )


def water_part(water: WaterReading | None) -> WaterTemperature | None:
    """Return the temperature of the water as a part of the report."""
    if water is None:
        return None
    return WaterTemperature(
        value=number_or_none(water.value),
        source=water.source,
        at=water.at,
        measured=water.measured,
        warmest=water.warmest,
        enough=water.enough,
        why_not=water.why_not,
    )


def alternatives_part(verdict: Verdict) -> list[AlternativeItem] | None:
    """Return what would make a trip better; None where not asked for."""
    return None if verdict.alternatives is None else [*map(_alternative, verdict.alternatives)]


def _alternative(one: Alternative) -> AlternativeItem:
    plan = one.plan
    return AlternativeItem(
        kind=one.kind,
        verdict=str(one.severity),
        start=plan.start,
        end=plan.end,
        reach=plan.reach,
        from_shore=number_or_none(plan.from_shore),
        water=plan.water.name,
        launch=plan.launch.name,
        craft=plan.craft.name,
        company=plan.paddler.company,
        wearing=plan.paddler.wearing,
        reason=one.reason,
        option=one.option,
    )
