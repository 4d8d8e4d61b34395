"""Getting home, fishing, being adrift and being wet, in sentences for a person."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

import numpy as np

from safety_check.model.advice import Advice, Drift, Fishing, GettingHome, InTheWater, Pass
from safety_check.model.verdict import Verdict
from safety_check.units import SPEED, Preferences, show

MOST_LEGS = 6
AN_HOUR = " an hour"
DOUBTFUL = 0.8  # of the wind that stops the craft
FOR = {"end": "the plan's end", "dark": "the dark", "worse": "the hour that turns worse"}
HEADING = {"up": "Up the wind", "across": "Across it", "down": "Down the wind"}
WORKS = {
    "easy": "easy",
    "hard": "hard work",
    "no": "not to be held",
    "too fast": "blown faster than that",
    "unknown": "not known",
}
WEAR = {
    "none": "no immersion clothing is asked for",
    "wetsuit": "wear a wetsuit at least",
    "drysuit": "wear a drysuit with insulation",
    "more": "even a drysuit leaves it doubtful",
}


def advice_paragraphs(verdict: Verdict, preferences: Preferences) -> list[tuple[str, list[str]]]:
    """Return headings, each with its sentences; nothing for a verdict without advice."""
    told = verdict.advice
    if told is None:
        return []
    voice = _Voice(preferences, ZoneInfo(verdict.plan.water.time_zone))
    return [
        ("Getting home", [*_off_the_water(told, voice), *_home(told.getting_home, voice)]),
        ("Fishing", _fishing(told.fishing, voice)),
        ("If you can't paddle, or fall in", _trouble(told, voice)),
    ]


@dataclass(frozen=True)
class _Voice:
    preferences: Preferences
    zone: tzinfo

    def clock(self, moment: datetime) -> str:
        return f"{moment.astimezone(self.zone):%H:%M}"

    def speed(self, value: float) -> str:
        return show(max(value, 0.0), "speed", self.preferences.wind)

    def far(self, metres: float) -> str:
        return show(metres, "length", self.preferences.distance)

    def place(self, east: float, north: float) -> str:
        return f"{self.far(math.hypot(east, north))} {compass(east, north)} of the launch"


def compass(east: float, north: float) -> str:
    """Return the nearest of the eight compass points.

    Examples
    --------
    >>> compass(100.0, 90.0)
    'NE'
    """
    turn = math.degrees(math.atan2(east, north))
    return ("N", "NE", "E", "SE", "S", "SW", "W", "NW")[round(turn / 45) % 8]


def span(seconds: float) -> str:
    """Return how long something takes.

    Examples
    --------
    >>> span(2520.0), span(6000.0), span(36_000.0)
    ('42 min', '1 h 40 min', '10 h')
    """
    minutes = round(seconds / 60)
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest and hours < 10 else f"{round(minutes / 60)} h"


# -- getting home ------------------------------------------------------------------------------


def _off_the_water(told: Advice, voice: _Voice) -> list[str]:
    if told.off_the_water_by is None:
        return []
    why = ", ".join(each.replace("_", " ") for each in told.because)
    return [
        f"Be off the water by {voice.clock(told.off_the_water_by)}: from then on it is"
        f" {told.worse}{f' ({why})' if why else ''}, worse than at the launch."
    ]


def _home(home: GettingHome, voice: _Voice) -> list[str]:
    lines = [_turn_back(home, voice), _way(home, voice)]
    if home.route:
        lines.append(_legs(home, voice))
    if math.isfinite(home.stands_still):
        lines.append(
            f"Against {voice.speed(home.stands_still)} this craft stands still; from"
            f" {voice.speed(DOUBTFUL * home.stands_still)} on it may not get back."
        )
    return lines


def _turn_back(home: GettingHome, voice: _Voice) -> str:
    goal = f"home by {voice.clock(home.home_by)} ({FOR[home.home_by_for]})"
    if home.turn_back is not None:
        latest = home.turn_back - timedelta(seconds=home.turn_back.timestamp() % 60)
        return f"Turn back by {voice.clock(latest)} at the latest to be {goal}."
    if math.isnan(home.time):
        return f"When to turn back to be {goal} is not known."
    return f"No time to turn back is early enough to be {goal} from the farthest place."


def _way(home: GettingHome, voice: _Voice) -> str:
    where = "the route" if home.route else "your reach, in a straight line"
    place = f"The way home from the farthest place of {where}, {voice.place(*home.place)},"
    hour = voice.clock(home.hour)
    if math.isnan(home.time):
        return f"{place} is not known at {hour}."
    calm = f"{span(home.calm)} in calm air"
    if math.isinf(home.time):
        return f"{place} can't be made at {hour}: no headway in an hour of it ({calm})."
    harder = f"; {span(home.hard)} working hard" if math.isfinite(home.hard) else ""
    return f"{place} takes {span(home.time)} at {hour} ({calm}{harder})."


def _legs(home: GettingHome, voice: _Voice) -> str:
    legs = [
        f"{voice.far(each.length)} to the"
        f" {compass(math.sin(math.radians(each.course)), math.cos(math.radians(each.course)))}"
        f" at {voice.speed(each.speed) if each.speed > 0 else 'no headway'}"
        for each in home.legs[:MOST_LEGS]
    ]
    more = f" and {len(home.legs) - MOST_LEGS} legs more" if len(home.legs) > MOST_LEGS else ""
    return f"Back along the route, in its slowest hour: {', '.join(legs)}{more}."


# -- fishing -----------------------------------------------------------------------------------


def _fishing(fishing: Fishing, voice: _Voice) -> list[str]:
    unit = voice.preferences.wind
    slow, fast = (f"{each / SPEED[unit]:.1f}" for each in (fishing.slow, fishing.fast))
    passes = ". ".join(
        f"{HEADING[each.heading]}: {_runs(each, fishing.time, voice)}" for each in fishing.passes
    )
    return [f"Trolling at {slow} to {fast} {unit}. {passes}.", _drifting(fishing, voice)]


def _runs(each: Pass, time: np.ndarray, voice: _Voice) -> str:
    """Return how a pass goes through the hours, hours alike taken together."""
    begins = [at for at, works in enumerate(each.works) if at == 0 or works != each.works[at - 1]]
    if len(begins) == 1:
        return WORKS[each.works[0]]
    return ", ".join(
        f"{WORKS[each.works[at]]} from {voice.clock(_moment(time[at]))}" for at in begins
    )


def _drifting(fishing: Fishing, voice: _Voice) -> str:
    if np.isnan(fishing.drift).any():
        return "How fast you drift when you stop is not known in every hour."
    slow, fast = (_slow(float(each), voice) for each in (fishing.drift.min(), fishing.drift.max()))
    speed = slow if slow == fast else f"{slow.removesuffix(AN_HOUR)} to {fast}"
    return f"Stopped, you drift {speed}. This informs; it makes no verdict better."


# -- adrift, and in the water ------------------------------------------------------------------


def _trouble(told: Advice, voice: _Voice) -> list[str]:
    return [*(_drift(each, voice) for each in told.drifts), *_wet(told.in_the_water, voice)]


def _drift(drift: Drift, voice: _Voice) -> str:
    who = {"craft": "a craft that nobody paddles", "swimmer": "a swimmer in a life jacket"}
    start = f"At {voice.clock(drift.begins)}, {voice.place(*drift.place)}, {who[drift.what]}"
    if math.isnan(drift.speed):
        return f"{start} drifts nobody knows where: the wind is not known."
    moves = f"{start} drifts at {_slow(drift.speed, voice)}"
    within = span(drift.within)
    if math.isnan(drift.share):
        return f"{moves}; without a shoreline nobody can say to which shore."
    if drift.share == 0:
        return f"{moves} and reaches no shore within {within}."
    if math.isinf(drift.time):
        return f"{moves}; a shore within {within} in {100 * drift.share:.0f} % of the forecasts."
    likely = "" if drift.share == 1 else f" (in {100 * drift.share:.0f} % of the forecasts)"
    shore = voice.place(*drift.shore)
    return f"{moves} and reaches the shore {shore} after {span(drift.time)}{likely}."


def _slow(speed: float, voice: _Voice) -> str:
    """Return a drift in distance an hour: a speed of whole miles an hour would say nothing."""
    return voice.far(3600 * speed) + AN_HOUR


def _wet(water: InTheWater, voice: _Voice) -> Sequence[str]:
    if math.isnan(water.temperature):
        return [
            "How long you last in the water is not known: enter its temperature with"
            ' --water-temp "58 F".'
        ]
    temperature = show(water.temperature, "temperature", voice.preferences.temperature)
    lasts = "hours" if math.isinf(water.least) else f"{span(water.least)} to {span(water.most)}"
    if water.least == 0:
        lasts = f"less than {span(water.most)}"
    shock = "; cold shock and failing arms drown long before" if water.shock > 0 else ""
    return [
        f"Water of {temperature}: a person afloat in calm water is exhausted after {lasts}{shock}.",
        f"A swimmer can plan on {voice.far(water.swim)}, less against wind and chop; the shore is"
        f" up to {voice.far(water.from_shore)} away. By the water's temperature,"
        f" {WEAR[water.wear]}.",
    ]


def _moment(time: np.datetime64) -> datetime:
    return datetime.fromisoformat(f"{time.astype('datetime64[s]')}+00:00")
