"""What changed between two checks of a plan, and what that does to the verdict."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from safety_check.model.verdict import Finding, HourVerdict, Severity, Verdict
from safety_check.model.weather import OWN_EYES, Briefing, Provenance

WORTH_SAYING = {  # judgement: less than this is no news to a paddler
    "wind_speed_high": 1.0,  # m/s
    "wind_speed_of_gust_high": 1.0,
    "sea_surface_wave_significant_height_high": 0.05,  # m
}
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class SeverityChange:
    """A run of hours whose verdict changed in one way."""

    start: datetime
    end: datetime
    before: Severity
    after: Severity


@dataclass(frozen=True)
class HazardChange:
    """A hazard whose verdict changed.

    Parameters
    ----------
    before
        None where it was not weighed then.
    after
        What it says now.
    """

    before: Severity | None
    after: Finding


@dataclass(frozen=True)
class ForecastChange:
    """Where the forecasts of a quantity moved most, at their high side. SI."""

    quantity: str
    time: datetime
    before: float
    after: float


@dataclass(frozen=True)
class ObservedDifference:
    """What is seen, beside the middle of the forecasts for that hour; NaN without one. SI."""

    quantity: str
    value: float
    forecast: float


@dataclass(frozen=True)
class Changes:
    """What changed since an earlier check.

    Parameters
    ----------
    since
        The clock of that check.
    before, alone, after
        Its verdict; that of the newer forecasts alone; that with what is seen.
    turns, hazards, moves
        Hours, hazards and forecasts that changed; those that got worse come first.
    sights
        What is seen now.
    same_forecast
        True where nothing newer was received; None where there is no forecast at all.
    forecast_age
        Of the oldest forecast; None without one.
    warned, ended
        Headlines of official warnings that are new, and of those that no longer hold.
    silent, speaking
        Sources that no longer answer, and that do again.
    water_temperature
        As entered then and now, where that changed. [K]
    """

    since: datetime
    before: Severity
    alone: Severity
    after: Severity
    turns: tuple[SeverityChange, ...]
    hazards: tuple[HazardChange, ...]
    moves: tuple[ForecastChange, ...]
    sights: tuple[ObservedDifference, ...]
    same_forecast: bool | None
    forecast_age: timedelta | None
    warned: tuple[str, ...]
    ended: tuple[str, ...]
    silent: tuple[str, ...]
    speaking: tuple[str, ...]
    water_temperature: tuple[float, float] | None

    @property
    def worse(self) -> bool:
        """Whether the verdict got worse."""
        return self.after > self.before


def find_changes(
    before: Verdict, after: Verdict, alone: Verdict, stored: Briefing, told: Briefing
) -> Changes:
    """Return what changed between two checks of a plan.

    Parameters
    ----------
    before, stored
        The earlier check, and what it rested on.
    after, told
        The new one, with what is seen in it.
    alone
        The new one without what is seen.
    """
    return Changes(
        since=before.at,
        before=before.severity,
        alone=alone.severity,
        after=after.severity,
        turns=tuple(_turns(_shared(before, after))),
        hazards=_hazards(before.findings, after.findings),
        moves=_moves(_shared(before, alone)),
        sights=_sights(told, alone),
        same_forecast=_same(stored, told),
        forecast_age=max((told.at - _made(each) for each in _origins(told)), default=None),
        warned=_without(_headlines(told), _headlines(stored)),
        ended=_without(_headlines(stored), _headlines(told)),
        silent=_without(_silences(told), _silences(stored)),
        speaking=_without(_silences(stored), _silences(told)),
        water_temperature=_temperatures(before, after),
    )


Pair = tuple[HourVerdict, HourVerdict]


def _shared(before: Verdict, after: Verdict) -> list[Pair]:
    """Return the hours of the newer trip that the older check weighed too."""
    then = {each.time: each for each in (*before.around, *before.hours)}
    return [(then[each.time], each) for each in after.hours if each.time in then]


def _turns(pairs: Iterable[Pair]) -> list[SeverityChange]:
    runs: list[SeverityChange] = []
    for old, new in pairs:
        if old.severity == new.severity:
            continue
        one = SeverityChange(new.time, new.time + HOUR, old.severity, new.severity)
        last = runs[-1] if runs else None
        if last and (last.end, last.before, last.after) == (one.start, one.before, one.after):
            runs[-1] = SeverityChange(last.start, one.end, one.before, one.after)
        else:
            runs.append(one)
    return sorted(runs, key=lambda run: (run.before - run.after, run.start))


def _hazards(before: Iterable[Finding], after: Iterable[Finding]) -> tuple[HazardChange, ...]:
    then = {each.hazard: each.severity for each in before}
    turned = [
        HazardChange(then.get(each.hazard), each)
        for each in after
        if each.severity != then.get(each.hazard, Severity.GO)
    ]
    return tuple(sorted(turned, key=lambda turn: -_fall(turn)))


def _fall(turn: HazardChange) -> int:
    return int(turn.after.severity) - int(turn.before or Severity.GO)


def _moves(pairs: list[Pair]) -> tuple[ForecastChange, ...]:
    found = (_move(quantity, least, pairs) for quantity, least in WORTH_SAYING.items())
    return tuple(
        sorted((each for each in found if each), key=lambda move: move.before > move.after)
    )


def _move(quantity: str, least: float, pairs: list[Pair]) -> ForecastChange | None:
    moves = [
        ForecastChange(quantity, new.time, old.shown[quantity], new.shown[quantity])
        for old, new in pairs
    ]
    told = [each for each in moves if abs(each.after - each.before) >= least]
    return max(told, key=lambda move: abs(move.after - move.before), default=None)


def _sights(told: Briefing, alone: Verdict) -> tuple[ObservedDifference, ...]:
    now = next((each for each in alone.around if each.time <= told.at < each.time + HOUR), None)
    shown: Mapping[str, float] = now.shown if now else {}
    return tuple(
        ObservedDifference(each.quantity, each.value, shown.get(each.quantity, math.nan))
        for each in told.observations
        if each.station == OWN_EYES and each.time == told.at
    )


def _same(stored: Briefing, told: Briefing) -> bool | None:
    if not told.forecasts:
        return None
    return {*map(_run, _origins(told))} <= {*map(_run, _origins(stored))}


def _origins(briefing: Briefing) -> list[Provenance]:
    return [each.provenance for each in briefing.forecasts]


def _run(origin: Provenance) -> tuple[str, str, datetime]:
    return origin.source, origin.model, _made(origin)


def _made(origin: Provenance) -> datetime:
    return origin.issued or origin.fetched


def _headlines(briefing: Briefing) -> list[str]:
    return [each.headline or each.event for each in briefing.alerts]


def _silences(briefing: Briefing) -> list[str]:
    return [each.source for each in briefing.silences if each.applies]


def _without(these: list[str], those: list[str]) -> tuple[str, ...]:
    return tuple(each for each in dict.fromkeys(these) if each not in those)


def _temperatures(before: Verdict, after: Verdict) -> tuple[float, float] | None:
    pair = before.plan.water_temperature, after.plan.water_temperature
    if None in pair or pair[0] == pair[1]:
        return None
    return pair  # type: ignore[return-value]
