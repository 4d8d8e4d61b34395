"""Verdicts on many sites as arrays, without prose."""

from __future__ import annotations

from dataclasses import dataclass

from safety_check.arrays import FloatArray, IntArray, TimeArray


@dataclass(frozen=True)
class Decided:
    """Severities, and what decides them, as arrays of one shape.

    Parameters
    ----------
    severity : array (...)
        0 GO, 1 MARGINAL, 2 UNKNOWN, 3 NO-GO; -1 beyond the hours of a site.
    decides : array (...)
        Index of the hazard that decides, in the list of hazards; -1 where it is GO, and beyond
        the hours of a site.
    odds : array (..., 4)
        Share of the forecasts at each severity [1]; NaN beyond the hours of a site.
    """

    severity: IntArray
    decides: IntArray
    odds: FloatArray


@dataclass(frozen=True)
class VerdictArrays:
    """The verdicts on many cases.

    Parameters
    ----------
    hazards
        What an index in `decides` means: each hazard's name, then "several_together" and
        "missing_source".
    time : array (site, hour)
        Start of each hour around the plan, UTC; NaT beyond the hours of a site.
    plans : arrays (site,)
        The verdict that a check of each plan gives; its first finding decides.
    hours : arrays (site, hour)
        Each hour as the check shows it: with the plan's start, end and course in the hours of
        the trip, as whole hours at the whole reach in the others. Of the hazards that make an hour
        what it is, the one that most of the forecasts reach decides.
    """

    hazards: tuple[str, ...]
    time: TimeArray
    plans: Decided
    hours: Decided


@dataclass(frozen=True)
class OutlookArrays:
    """Every hour, and every trip of whole hours, at many sites.

    Parameters
    ----------
    hazards, time
        As in `VerdictArrays`.
    hours : arrays (site, hour)
        Each whole hour at the whole reach, with the way home from it.
    trips : array (site, length, hour)
        Severity of the trip of `length + 1` hours that begins at each hour; NO-GO where it runs
        beyond the last hour, -1 beyond the hours of a site. By night it counts the darkness like
        any hazard. A check of that trip gives this verdict or a better one.
    decides : array (site, length, hour)
        Index of the hazard that decides that trip, in the list of hazards: of those that alone make
        it what it is, the one that most of the forecasts reach; -1 where it is GO, and beyond the
        last hour.
    go : array (site, length, hour)
        Share of the forecasts in which that trip stays GO [1]; NaN beyond the hours of a site.
    """

    hazards: tuple[str, ...]
    time: TimeArray
    hours: Decided
    trips: IntArray
    decides: IntArray
    go: FloatArray
