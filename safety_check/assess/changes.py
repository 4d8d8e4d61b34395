"""What changed between two checks of a plan, and how that affects the verdict."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

from safety_check.model.changes import (
    Changes,
    ForecastChange,
    HazardChange,
    ObservedDifference,
    SeverityChange,
)
from safety_check.model.verdict import Finding, HourVerdict, Severity, Verdict
from safety_check.model.weather import OWN_EYES, Briefing, Provenance

WORTH_SAYING = {  # judgement: a paddler does not need to know of less than this
    "wind_speed_high": 1.0,  # m/s
    "wind_speed_of_gust_high": 1.0,
    "sea_surface_wave_significant_height_high": 0.05,  # m
}
HOUR = timedelta(hours=1)


def find_changes(
    before: Verdict, after: Verdict, alone: Verdict, stored: Briefing, told: Briefing
) -> Changes:
    """Return what changed between two checks of a plan.

    Parameters
    ----------
    before, stored
        The earlier check, and the data that it used.
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
        forecast_age=max((told.at - _made(origin) for origin in _origins(told)), default=None),
        warned=_without(_headlines(told), _headlines(stored)),
        ended=_without(_headlines(stored), _headlines(told)),
        silent=_without(_silences(told), _silences(stored)),
        speaking=_without(_silences(stored), _silences(told)),
        water_temperature=_temperatures(before, after),
    )


Pair = tuple[HourVerdict, HourVerdict]


def _shared(before: Verdict, after: Verdict) -> list[Pair]:
    """Return the hours of the newer trip that the older check weighed too."""
    then = {hour.time: hour for hour in (*before.around, *before.hours)}
    return [(then[hour.time], hour) for hour in after.hours if hour.time in then]


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
    then = {finding.hazard: finding.severity for finding in before}
    turned = [
        HazardChange(then.get(finding.hazard), finding)
        for finding in after
        if finding.severity != then.get(finding.hazard, Severity.GO)
    ]
    return tuple(sorted(turned, key=lambda turn: -_fall(turn)))


def _fall(turn: HazardChange) -> int:
    return int(turn.after.severity) - int(turn.before or Severity.GO)


def _moves(pairs: list[Pair]) -> tuple[ForecastChange, ...]:
    found = (_move(quantity, least, pairs) for quantity, least in WORTH_SAYING.items())
    return tuple(
        sorted((move for move in found if move), key=lambda move: move.before > move.after)
    )


def _move(quantity: str, least: float, pairs: list[Pair]) -> ForecastChange | None:
    moves = [
        ForecastChange(quantity, new.time, old.shown[quantity], new.shown[quantity])
        for old, new in pairs
    ]
    told = [move for move in moves if abs(move.after - move.before) >= least]
    return max(told, key=lambda move: abs(move.after - move.before), default=None)


def _sights(told: Briefing, alone: Verdict) -> tuple[ObservedDifference, ...]:
    now = next((hour for hour in alone.around if hour.time <= told.at < hour.time + HOUR), None)
    shown: Mapping[str, float] = now.shown if now else {}
    return tuple(
        ObservedDifference(
            observation.quantity,
            observation.value,
            shown.get(observation.quantity, math.nan),
            observation.sign,
        )
        for observation in told.observations
        if observation.station == OWN_EYES
        and observation.time == told.at
        and not observation.provenance.recorded
    )


def _same(stored: Briefing, told: Briefing) -> bool | None:
    if not told.forecasts:
        return None
    return {*map(_run, _origins(told))} <= {*map(_run, _origins(stored))}


def _origins(briefing: Briefing) -> list[Provenance]:
    return [forecast.provenance for forecast in briefing.forecasts]


def _run(origin: Provenance) -> tuple[str, str, datetime]:
    return origin.source, origin.model, _made(origin)


def _made(origin: Provenance) -> datetime:
    return origin.issued or origin.fetched


def _headlines(briefing: Briefing) -> list[str]:
    return [alert.headline or alert.event for alert in briefing.alerts]


def _silences(briefing: Briefing) -> list[str]:
    return [silence.source for silence in briefing.silences if silence.applies]


def _without(these: list[str], those: list[str]) -> tuple[str, ...]:
    return tuple(name for name in dict.fromkeys(these) if name not in those)


def _temperatures(before: Verdict, after: Verdict) -> tuple[float, float] | None:
    pair = before.plan.water_temperature, after.plan.water_temperature
    if None in pair or pair[0] == pair[1]:
        return None
    return pair  # type: ignore[return-value]
