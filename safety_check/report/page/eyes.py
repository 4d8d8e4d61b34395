"""What one sees at the launch, and what it makes of the verdict: the section of a saved page."""

from __future__ import annotations

import json
import math
from datetime import timedelta
from itertools import pairwise
from typing import Any

from safety_check.beaufort import force_of
from safety_check.model.local_clock import LocalClock
from safety_check.model.sight_table import SightAnswer, SightHour, SightTable, WindClass
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.page.chart_parts import key
from safety_check.units import BEAUFORT, Preferences, compass, in_unit, show

HOUR = timedelta(hours=1)
STATES = {
    "calm": "Calm",
    "ripples": "Ripples",
    "scattered whitecaps": "Scattered whitecaps",
    "many whitecaps": "Many whitecaps",
}
POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
STAYS = "NO-GO stays NO-GO, whatever you see. Check again with a newer forecast."


def view_of(table: SightTable, verdict: Verdict, prefer: Preferences) -> dict[str, Any]:
    """Return the values of the section: choices, the plain table, and the data of the script.

    Parameters
    ----------
    table
        From `judge_sightings`.
    verdict
        The check that the page shows.
    prefer
        The user's units.
    """
    local = LocalClock.of(verdict.plan)
    until = table.good_until
    return {
        "stays": "" if table.hours else STAYS,
        "good_until": f"Its forecasts count until {local.time(until)}." if until else "",
        "states": STATES,
        "points": POINTS,
        "wind_unit": prefer.wind,
        "water_unit": prefer.temperature,
        "plain": _plain(table, verdict) if table.hours else [],
        "plain_at": local.time(_at_start(table, verdict).at) if table.hours else "",
        "data": json.dumps(_data(table, verdict, prefer), separators=(",", ":")),
    }


def _at_start(table: SightTable, verdict: Verdict) -> SightHour:
    return min(table.hours, key=lambda hour: abs(hour.at - verdict.plan.start))


def _plain(table: SightTable, verdict: Verdict) -> list[tuple[str, Severity, str]]:
    """Return what each state of the water means at the start, without anything else seen."""
    hour = _at_start(table, verdict)
    found = [
        (STATES[wind.state], table.answer(hour, number, 0, 0))
        for number, wind in enumerate(table.winds)
        if wind.state
    ]
    return [(label, answer.severity, answer.reason) for label, answer in found]


# -- what the script looks up ----------------------------------------------------------------------


def _data(table: SightTable, verdict: Verdict, prefer: Preferences) -> dict[str, Any]:
    local, plan = LocalClock.of(verdict.plan), verdict.plan
    numbers = [(number, wind) for number, wind in enumerate(table.winds) if wind.wind is not None]
    steady = [(number, wind) for number, wind in numbers if not wind.state and wind.gust is None]
    gusty = [(number, wind) for number, wind in numbers if wind.gust is not None]
    known = verdict.plan.water_temperature
    return {
        "made": verdict.at.isoformat(),
        "end": plan.end.isoformat(),
        "good": table.good_until.isoformat() if table.good_until else None,
        "times": [hour.at.isoformat() for hour in table.hours],
        "spans": _spans(table, local),
        "forecasts": [forecast_words(hour, local, prefer) for hour in table.hours],
        "last": _last(table, verdict).isoformat() if table.hours else None,
        "states": {wind.state: number for number, wind in numbers if wind.state},
        "steady": [[_edge(wind.wind, prefer), number] for number, wind in steady],
        "gusty": [[*_edges(wind, prefer), number] for number, wind in gusty],
        "waters": [
            [_warm_edge(water, prefer), number]
            for number, water in enumerate(table.waters)
            if water is not None
        ],
        "entered": None if known is None else _warm_edge(known, prefer),
        "shape": [len(table.directions), len(table.waters)],
        "rows": [list(hour.answers) for hour in table.hours],
        "answers": [_answer(answer, verdict.severity) for answer in table.answers],
        "levels": [[str(level), key(level)] for level in Severity],
        "before": int(verdict.severity),
        "words": _words(table, verdict, local),
    }


def _last(table: SightTable, verdict: Verdict) -> Any:
    return min(table.hours[-1].at + HOUR, verdict.plan.end)


def _edges(wind: WindClass, prefer: Preferences) -> list[float]:
    return [_edge(wind.wind, prefer), _edge(wind.gust, prefer)]


def _edge(value: float | None, prefer: Preferences) -> float:
    """Return the highest number that a class holds, never rounded up."""
    wind = math.nan if value is None else value
    if prefer.wind == BEAUFORT:
        return float(force_of(wind))
    shown = in_unit(wind, "wind", prefer.wind)
    return math.floor(shown * 1000 + 1e-6) / 1000


def _warm_edge(value: float, prefer: Preferences) -> float:
    """Return the lowest temperature that a class holds, never rounded down."""
    return math.ceil(in_unit(value, "temperature", prefer.temperature) * 1000 - 1e-6) / 1000


def _spans(table: SightTable, local: LocalClock) -> list[str]:
    """Return what each time between two judged ones is taken for."""
    times = [local.time(hour.at) for hour in table.hours]
    pairs = pairwise(times)
    between = [f"Judged as seen at the launch at {one} and at {two}; the worse counts."
               for one, two in pairs]  # fmt: skip
    return [*between, *(f"Judged as seen at the launch at {one}." for one in times[-1:])]


def _answer(answer: SightAnswer, before: Severity) -> dict[str, Any]:
    now = answer.severity
    head = f"{now}, as on this page" if now == before else f"{now}, was {before} on this page"
    reason = (
        f"Less than you see gives the same: {answer.reason}" if answer.milder else answer.reason
    )
    changed = [
        f"{hazard.replace('_', ' ').capitalize()}: {then} became {later}."
        for hazard, then, later in answer.changed[:3]
    ]
    return {"v": int(now), "h": head, "r": reason, "c": changed}


def forecast_words(hour: SightHour, local: LocalClock, prefer: Preferences) -> str:
    """Return the forecast for an hour, to compare what one sees with it; empty without one."""
    shown = {name: value for name, value in hour.forecast.items() if not math.isnan(value)}
    if "wind_speed" not in shown:
        return ""
    wind = show(shown["wind_speed"], "speed", prefer.wind)
    points = (
        f" from {compass(shown['wind_from_direction'])}" if "wind_from_direction" in shown else ""
    )
    gusts = shown.get("wind_speed_of_gust", math.nan)
    gust = "" if math.isnan(gusts) else f", gusts {show(gusts, 'speed', prefer.wind)}"
    return f"The forecast for {local.time(hour.at)} is wind {wind}{points}{gust}."


def _words(table: SightTable, verdict: Verdict, local: LocalClock) -> dict[str, str]:
    first = local.time(table.hours[0].at) if table.hours else ""
    last = local.time(_last(table, verdict)) if table.hours else ""
    until = local.time(table.good_until) if table.good_until else ""
    return {
        "early": "The clock of this device is before this check was made, so the age of the page is"
        " not known. Check again.",
        "soon": f"Too early: this page judges what you see from {first} on. Look again then.",
        "late": f"This page judges what you see until {last}. Check again with a newer forecast.",
        "over": "This trip has ended. Check again.",
        "old": f"The forecasts on this page are too old since {until}. Check again."
        if until
        else "The forecasts on this page have no known age. Check again.",
        "stays": STAYS,
        "nothing": "Choose what you see.",
        "age": "By the clock of this device, this page is {age} old.",
        "wind": "Write the wind as a number, for example 12.",
        "water": "Write the temperature as a number, for example 58.",
        "much": "That is above what is accepted; check the number and the unit.",
        "idle": "What you see changes nothing: the verdict stays.",
    }
