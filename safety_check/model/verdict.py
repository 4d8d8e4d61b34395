"""Severities, limits, findings, verdicts and windows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import IntEnum

from safety_check.arrays import BoolArray, TimeArray
from safety_check.model.advice import Advice
from safety_check.model.leave_signs import LeaveSigns
from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.place import LocalRule
from safety_check.model.plan import Plan
from safety_check.model.water_movement import Movement
from safety_check.model.weather import Alert, Provenance


class Severity(IntEnum):
    """From best to worst; UNKNOWN is worse than MARGINAL, because it may hide a NO-GO."""

    GO = 0
    MARGINAL = 1
    UNKNOWN = 2
    NO_GO = 3

    def __str__(self) -> str:
        return self.name.replace("_", "-")


@dataclass(frozen=True)
class Limit:
    """Where a quantity becomes MARGINAL and where it becomes NO-GO.

    Parameters
    ----------
    quantity
        What it bounds.
    applies_to
        The craft class, what the paddler wears, or "any".
    unit
        SI unit of both bounds.
    worse
        "higher" or "lower": the direction of danger.
    marginal, no_go
        The bounds [unit]; None where that level is never reached.
    basis
        "published", "common_practice", "judgement" or "personal".
    source
        Where the bounds come from.
    since, checked
        First verdict given with it; when its source was last read.
    loosened
        The default that a personal limit loosens; None where it loosens none.
    set_at
        The water whose own limit sets the caution and the no-go bound; empty for another's.
    """

    quantity: str
    applies_to: str
    unit: str
    worse: str
    marginal: float | None
    no_go: float | None
    basis: str
    source: str
    since: date
    checked: date
    loosened: Limit | None = None
    set_at: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Finding:
    """One limit applied to one quantity.

    Parameters
    ----------
    hazard
        Which hazard weighed it.
    quantity, value, bound, unit
        The value that decides in the worst hour and the bound that it met, or would meet
        first [unit]; NaN where it is not known.
    severity
        The worst of its hours.
    hours
        The hours at that severity.
    limit
        The limit that decided; None where no limit does.
    odds
        The share of the forecasts at this severity or worse at any hour of the trip.
    reason
        One sentence.
    source, basis
        Where the limit comes from, and of what kind it is.
    brief
        The reason with value, limit and hour alone; empty where it is the reason itself.
    """

    hazard: str
    quantity: str
    value: float
    bound: float
    unit: str
    severity: Severity
    hours: TimeArray
    limit: Limit | None
    odds: float
    reason: str
    source: str
    basis: str
    brief: str = ""

    @property
    def short(self) -> str:
        """The shortest sentence that explains it."""
        return self.brief or self.reason


@dataclass(frozen=True)
class HourVerdict:
    """One hour: its severity, the odds of each severity, and the hazards that decided.

    Parameters
    ----------
    time, severity, odds, because
        Its start; its severity, the odds of each severity, and the hazards that decided.
    shown
        Quantity → the median of the forecasts; with `_low` the value that all but the tolerated
        share of them reach, with `_high` the one that the tolerated share of them reaches. SI
    bounds
        Quantity → the caution and no-go bound that the deciding forecast meets; infinite
        where a level is never reached. SI
    lowered_by
        Quantity → in words, what lowers its bounds below the limit as set.
    """

    time: datetime
    severity: Severity
    odds: Mapping[Severity, float]
    because: tuple[str, ...]
    shown: Mapping[str, float]
    bounds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    lowered_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Window:
    """A run of hours with the same or a better verdict."""

    start: datetime
    end: datetime
    severity: Severity


WARNINGS_TO_COME = "official warnings for the end of the trip"


@dataclass(frozen=True)
class Unknown:
    """Something that is not known, and how that affects the verdict."""

    what: str
    why: str
    remedy: str
    severity: Severity


@dataclass(frozen=True)
class WaterReading:
    """The temperature of the water that was weighed.

    Parameters
    ----------
    value
        NaN where it is not known. [K]
    source
        Where it comes from, in words; empty where it is not known.
    at
        When it was measured; None where it was entered with the plan.
    measured
        The measurement [K], where it is from an earlier day: then the value above is the coldest
        that the water may be now. None where the value above is the measurement itself.
    warmest
        The warm end where nobody measured and a range is estimated [K]; then the value above
        is its cold end. None where it is not estimated.
    why_not
        Why it can't be estimated, where the user allows that; empty elsewhere.
    enough
        The lowest measured temperature that would make the verdict a GO [K]; None where the
        water is not estimated, or no temperature in the range would.
    """

    value: float
    source: str = ""
    at: datetime | None = None
    measured: float | None = None
    warmest: float | None = None
    why_not: str = ""
    enough: float | None = None


@dataclass(frozen=True)
class Alternative:
    """One change to a plan that gives a better verdict, judged like the plan itself.

    Parameters
    ----------
    kind
        What changes: "time", "from_shore", "reach", "launch", "water", "company", "wearing" or
        "craft".
    plan
        The plan with the change.
    severity
        The verdict on it.
    reason
        What decides that verdict; empty for a GO.
    option
        The options of `check` that make the change.
    """

    kind: str
    plan: Plan
    severity: Severity
    reason: str
    option: str


@dataclass(frozen=True)
class LocalRuleUse:
    """A rule of the user's for the water, and the hours of the trip in which it adds wind. UTC."""

    rule: LocalRule
    hours: tuple[datetime, ...]


@dataclass(frozen=True)
class AssumedCourse:
    """How far from the launch a trip is assumed to be, and when.

    Parameters
    ----------
    farthest
        From the launch. [m]
    speed
        The fastest that is assumed, out and home. [m s⁻¹]
    since, until
        When it can be that far out at the earliest and at the latest. UTC
    """

    farthest: float
    speed: float
    since: datetime
    until: datetime


@dataclass(frozen=True)
class Shelter:
    """The lee: which places of a water stay below the waves where caution starts, all the trip.

    Parameters
    ----------
    whole : array (place,) of bool
        Of the lattice of the whole water.
    near : array (place,) of bool
        Of the lattice around the trip; None without one.
    """

    whole: BoolArray
    near: BoolArray | None = None


@dataclass(frozen=True)
class Verdict:
    """The answer to a plan.

    Parameters
    ----------
    plan, at
        What was asked, and the time of the check.
    severity
        The worst of its hours.
    loosened
        What the user has loosened, in sentences.
    hours, findings, windows, unknown
        The hours; the findings worst first; when it would be better; what is not known.
    provenance
        The origin of every item that it uses.
    cautions
        Those that always hold, and those for this paddler or water.
    around
        Every hour that was weighed: those of the trip and of its local day still to come.
    daylight
        From sunrise to sunset, each such span that touches those hours. UTC
    lee
        Where the lee is, in words; empty where no shoreline is known.
    advice
        Getting home, fishing, being adrift, being in the water.
    widening
        How the wind forecasts were changed before they were weighed, in words.
    disagreement
        How the models differ about the wind of the worst hour, in words; empty where there
        are no two to differ.
    missed
        Observations that the forecasts missed and no newer run shows, the largest miss first.
    trip_odds
        The share of the forecasts whose worst hour over the trip has each severity.
    judged_until
        The last instant that is judged: the plan's end and a margin after it. UTC
    course
        How far from the launch the trip is assumed to be, and when.
    forecast_made
        When the newest forecast was made, or received where it does not say; None without one.
    water
        The temperature of the water, and its source.
    called_for
        The cautions that this trip calls for, and those repeated before every launch.
    alternatives
        Changes that would give a better verdict, the smallest first; None where not asked for.
    leave_signs
        Signs on the water that mean: leave now.
    local_rules
        The user's own rules for the water, and when they count.
    alerts
        The official warnings that hold during the trip, in the words of those who issued them.
    movement
        Tide, current and river around the trip; None on still water.
    shelter
        The places that the words on the lee speak of; None where there are none.
    """

    plan: Plan
    at: datetime
    severity: Severity
    hours: tuple[HourVerdict, ...]
    findings: tuple[Finding, ...]
    windows: tuple[Window, ...]
    unknown: tuple[Unknown, ...]
    provenance: tuple[Provenance, ...]
    cautions: tuple[str, ...]
    around: tuple[HourVerdict, ...] = ()
    daylight: tuple[tuple[datetime, datetime], ...] = ()
    lee: str = ""
    advice: Advice | None = None
    widening: tuple[str, ...] = ()
    disagreement: str = ""
    missed: tuple[MissedForecast, ...] = ()
    loosened: tuple[str, ...] = ()
    trip_odds: Mapping[Severity, float] = field(default_factory=dict)
    judged_until: datetime | None = None
    course: AssumedCourse | None = None
    forecast_made: datetime | None = None
    water: WaterReading | None = None
    called_for: tuple[str, ...] = ()
    alternatives: tuple[Alternative, ...] | None = None
    leave_signs: LeaveSigns | None = None
    local_rules: tuple[LocalRuleUse, ...] = ()
    alerts: tuple[Alert, ...] = ()
    movement: Movement | None = None
    shelter: Shelter | None = None
