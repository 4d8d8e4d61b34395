"""Getting home, fishing, drifting and being in the water, in sentences for a person."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import to_utc
from safety_check.model.advice import Advice, Drift, Fishing, GettingHome, InTheWater, Leg, Pass
from safety_check.model.local_clock import LocalClock
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.report.words import duration, percent
from safety_check.units import BEAUFORT, SPEED, Preferences, compass, show, show_limit

MOST_LEGS = 6
DOUBTFUL = 0.8  # of the wind in which the craft makes no headway
TURN_BACK_STEP = timedelta(minutes=5)  # times to turn back are rounded down to this
GOALS = {"end": "the end of the plan", "dark": "dark", "worse": "worse conditions"}
HEADING = {"up": "Into the wind", "across": "Across the wind", "down": "Down the wind"}
WORKS = {
    "easy": "easy",
    "hard": "hard work",
    "no": "not possible",
    "too fast": "the wind pushes you faster than that",
    "unknown": "not known",
}
WEAR = {
    "none": "the limit on water temperature asks for no immersion clothing; cold air, wind and a"
    " long swim still can",
    "wetsuit": "wear at least a wetsuit",
    "drysuit": "wear a drysuit with insulation",
    "more": "even a drysuit may not be enough",
    "unknown": "what to wear is not known",
}
PADDLE_TROUBLE = "If you can't paddle, or fall in"
TROUBLE = {  # propulsion → the heading of what happens without it
    "motor": "If the motor fails, or you fall in",
    "oars": "If you can't row, or fall in",
    "pedal": "If you can't pedal, or fall in",
    "fins": "If you can't kick, or fall in",
}
WHO = {"craft": "an unpowered craft", "swimmer": "a swimmer in a life jacket"}


def advice_paragraphs(verdict: Verdict, preferences: Preferences) -> list[tuple[str, list[str]]]:
    """Return headings, each with its sentences; nothing for a verdict without advice."""
    advice = verdict.advice
    if advice is None:
        return []
    wording = _Wording(preferences, LocalClock.of(verdict.plan))
    return [
        ("Getting home", [*_off_the_water(advice, wording), *_home(advice.getting_home, wording)]),
        ("Fishing", _fishing(advice.fishing, wording, verdict.plan.craft.propulsion)),
        (TROUBLE.get(verdict.plan.craft.propulsion, PADDLE_TROUBLE), _trouble(advice, wording)),
    ]


@dataclass(frozen=True)
class _Wording:
    preferences: Preferences
    clock: LocalClock

    def speed(self, value: float) -> str:
        unit, wind = self.preferences.wind, max(value, 0.0)
        return show_limit(wind, "speed", unit) if unit == BEAUFORT else show(wind, "speed", unit)

    def pace(self, value: float) -> str:
        return show(max(value, 0.0), "speed", self.preferences.pace)

    def drift(self, *speeds: float) -> str:
        """Return slow speeds with a decimal, a range where they differ."""
        unit = self.preferences.pace
        figures = dict.fromkeys(f"{speed / SPEED[unit]:.1f}" for speed in speeds)
        return f"{'-'.join(figures)} {unit}"

    def far(self, metres: float) -> str:
        return show(metres, "length", self.preferences.distance)

    def place(self, east: float, north: float) -> str:
        bearing = math.degrees(math.atan2(east, north))
        return f"{self.far(math.hypot(east, north))} {compass(bearing)} of the launch"


# -- getting home ------------------------------------------------------------------------------


def _off_the_water(advice: Advice, wording: _Wording) -> list[str]:
    if advice.off_the_water_by is None:
        return []
    why = ", ".join(hazard.replace("_", " ") for hazard in advice.because)
    return [
        f"Be off the water by {wording.clock.time(advice.off_the_water_by)}: from then on"
        f" conditions are {advice.worse}{f' ({why})' if why else ''}, worse than at the launch."
    ]


def _home(home: GettingHome, wording: _Wording) -> list[str]:
    lines = [_turn_back(home, wording), _way(home, wording)]
    if home.route:
        lines.append(_legs(home, wording))
    if math.isfinite(home.stands_still):
        lines.append(
            f"You make no headway in {wording.speed(home.stands_still)}; above"
            f" {wording.speed(DOUBTFUL * home.stands_still)} you may not get back."
        )
    return lines


def _turn_back(home: GettingHome, wording: _Wording) -> str:
    goal = f"home by {wording.clock.time(home.home_by)} ({GOALS[home.home_by_for]})"
    if home.turn_back is not None:
        latest = wording.clock.time(round_down(home.turn_back))
        return f"Turn back by {latest} at the latest to be {goal}."
    if math.isnan(home.time):
        return f"When to turn back to be {goal} is not known."
    return f"You cannot get back from the farthest point in time ({goal})."


def round_down(moment: datetime, step: timedelta = TURN_BACK_STEP) -> datetime:
    """Return a moment rounded down, so that a time to turn back is never later than computed."""
    seconds = step.total_seconds()
    return moment - timedelta(seconds=moment.timestamp() % seconds)


def _way(home: GettingHome, wording: _Wording) -> str:
    where = "your route" if home.route else "your reach, in a straight line"
    place = f"The way home from the farthest point of {where}, {wording.place(*home.place)},"
    hour = wording.clock.time(home.hour)
    if math.isnan(home.time):
        return f"{place} is not known at {hour}."
    calm = f"{duration(home.calm)} in calm air"
    if math.isinf(home.time):
        return f"{place} is not possible at {hour}: no headway for an hour of it ({calm})."
    harder = f"; {duration(home.hard)} working hard" if math.isfinite(home.hard) else ""
    return f"{place} takes {duration(home.time)} at {hour} ({calm}{harder})."


def _legs(home: GettingHome, wording: _Wording) -> str:
    legs = ", ".join(_leg(leg, wording) for leg in home.legs[:MOST_LEGS])
    more = f" and {len(home.legs) - MOST_LEGS} more legs" if len(home.legs) > MOST_LEGS else ""
    return f"Back along the route, in the slowest hour of each leg: {legs}{more}."


def _leg(leg: Leg, wording: _Wording) -> str:
    speed = f"at {wording.pace(leg.speed)}" if leg.speed > 0 else "with no headway"
    return f"{wording.far(leg.length)} to the {compass(leg.course)} {speed}"


# -- fishing -----------------------------------------------------------------------------------


def _fishing(fishing: Fishing, wording: _Wording, propulsion: str) -> list[str]:
    if propulsion == "fins":
        return [_drifting(fishing, wording)]  # a float tube is too slow to troll
    passes = ". ".join(
        f"{HEADING[one.heading]}: {_hours_alike(one, fishing.time, wording)}"
        for one in fishing.passes
    )
    troll = wording.drift(fishing.slow, fishing.fast)
    return [f"Trolling at {troll}. {passes}.", _drifting(fishing, wording)]


def _hours_alike(one: Pass, time: np.ndarray, wording: _Wording) -> str:
    """Return how a pass goes through the hours, hours alike taken together."""
    begins = [at for at, works in enumerate(one.works) if at == 0 or works != one.works[at - 1]]
    if len(begins) == 1:
        return WORKS[one.works[0]]
    return ", ".join(
        f"{WORKS[one.works[at]]} from {wording.clock.time(to_utc(time[at]))}" for at in begins
    )


def _drifting(fishing: Fishing, wording: _Wording) -> str:
    if np.isnan(fishing.drift).any():
        return "How fast you drift when you stop is not known in every hour."
    speed = wording.drift(float(fishing.drift.min()), float(fishing.drift.max()))
    return (
        f"If you stop, expect to drift at {speed}. This is information only, not part"
        " of the verdict."
    )


# -- adrift, and in the water ------------------------------------------------------------------


def _trouble(advice: Advice, wording: _Wording) -> list[str]:
    drifts = [_drift(drift, wording) for drift in advice.drifts]
    return [*drifts, *_in_the_water(advice.in_the_water, wording)]


def drift_sentence(drift: Drift, plan: Plan, preferences: Preferences) -> str:
    """Return where a craft or a swimmer drifts from some hour on."""
    return _drift(drift, _Wording(preferences, LocalClock.of(plan)))


def _drift(drift: Drift, wording: _Wording) -> str:
    begins = wording.clock.time(drift.begins)
    start = f"At {begins}, {wording.place(*drift.place)}, {WHO[drift.what]}"
    if math.isnan(drift.speed):
        return f"{start} drifts in an unknown direction: the wind or current is not known."
    moves = f"{start} drifts at {wording.drift(drift.speed)}"
    within = duration(drift.within)
    if math.isnan(drift.share):
        return f"{moves}. Add a shoreline to see where it would land."
    share = f"{percent(drift.share)} of the forecasts"
    if drift.share == 0:
        return f"{moves} and reaches no shore within {within}."
    if math.isinf(drift.time):
        return f"{moves}; it reaches a shore within {within} in {share}."
    likely = "" if drift.share == 1 else f" (in {share})"
    shore = wording.place(*drift.shore)
    return f"{moves} and reaches the shore {shore} after {duration(drift.time)}{likely}."


def _in_the_water(water: InTheWater, wording: _Wording) -> Sequence[str]:
    if math.isnan(water.temperature):
        return [
            "How long you last in the water is not known: enter its temperature with"
            ' --water-temp "58 F".'
        ]
    temperature = show(water.temperature, "temperature", wording.preferences.temperature)
    lasts = "some hours" if math.isinf(water.least) else _from_to(water)
    shock = "; cold shock and failing arms can drown you long before" if water.shock > 0 else ""
    return [
        f"In water of {temperature}, a person afloat in calm water is exhausted after"
        f" {lasts}{shock}.",
        f"Do not count on swimming ashore: in this water expect no more than"
        f" {wording.far(water.swim)}, less against wind and chop. The shore is up to"
        f" {wording.far(water.from_shore)} away.",
        f"Clothing: {WEAR[water.wear]}.",
    ]


def _from_to(water: InTheWater) -> str:
    if math.isinf(water.most):
        return f"{duration(water.least)} or more"
    if water.least == 0:
        return f"less than {duration(water.most)}"
    return f"{duration(water.least)} to {duration(water.most)}"
