"""How often a water was a GO in past years."""

from __future__ import annotations

from dataclasses import dataclass

from safety_check.arrays import FloatArray
from safety_check.model.plan import Plan
from safety_check.model.provenance import Provenance


@dataclass(frozen=True)
class Share:
    """A share of the days or trips of all years, and how the years differ. [1].

    Parameters
    ----------
    mean
        Over all years.
    low, high
        Between these the mean lies, drawn over whole years; the same number with one year.
    """

    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class Deciding:
    """A hazard, and the share of the trips without a GO in which it is at their severity. [1]."""

    hazard: str
    share: float


@dataclass(frozen=True)
class Month:
    """The trips by day of one month of all years.

    Parameters
    ----------
    month
        1 to 12.
    shares : tuple
        GO, MARGINAL, UNKNOWN and NO-GO of the trips that daylight allows. [1]
    go_days
        Days on which at least one such trip is a GO.
    decides
        What decides where it is not, the most frequent first.
    windows : tuple
        Share of the days with a GO for at least so many hours, for each length that is shown. [1]
    """

    month: int
    shares: tuple[float, float, float, float]
    go_days: Share
    decides: tuple[Deciding, ...]
    windows: tuple[float, ...]


@dataclass(frozen=True)
class Week:
    """One of the weeks of the year, counted from 1 January.

    Parameters
    ----------
    first, last
        Its days as (month, day).
    go_days
        Days on which at least one trip is a GO.
    """

    first: tuple[int, int]
    last: tuple[int, int]
    go_days: Share


@dataclass(frozen=True)
class NotCounted:
    """What the record of past weather cannot show, and why."""

    what: str
    why: str


@dataclass(frozen=True)
class Climate:
    """How often trips of one length were a GO at one launch, for a craft and its paddler.

    Parameters
    ----------
    plan
        Who, where, in what, how far and how long; its day means nothing.
    years
        The years that count, ascending.
    minute
        Of the hour at which trips begin, by the water's clock.
    by_hour : array (month, hour, severity)
        Shares of the trips begun at that hour, in the order GO, MARGINAL, UNKNOWN, NO-GO; NaN
        where there is none. [1]
    dark : array (month, hour)
        Share of the trips that their light rules out, whatever else does. [1]
    months
        Those that have a trip.
    lengths
        The lengths of windows that are shown. [h]
    best_weeks
        The weeks with the most days that have a GO, the best first.
    water
        How the water's temperature counts, in words.
    not_counted
        What is not in it.
    provenance
        Where the weather comes from, each origin once.
    """

    plan: Plan
    years: tuple[int, ...]
    minute: int
    by_hour: FloatArray
    dark: FloatArray
    months: tuple[Month, ...]
    lengths: tuple[int, ...]
    best_weeks: tuple[Week, ...]
    water: str
    not_counted: tuple[NotCounted, ...]
    provenance: tuple[Provenance, ...]
