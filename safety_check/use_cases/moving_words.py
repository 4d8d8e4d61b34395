"""Read what the user says of tide, current, river and dam, in words."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from safety_check.errors import PlanError
from safety_check.units import parse
from safety_check.use_cases.direction_in_words import parse_direction
from safety_check.use_cases.times_in_words import is_clock_only, parse_time

HALF_A_DAY = timedelta(hours=12)
SHORTEST_TURN = timedelta(hours=1)  # from slack to slack; shorter ones are a slip (judgement)
NONE = ("none", "no current", "no")
FASTEST = 8.0  # m/s; no tidal current that a small craft meets is faster
HIGHEST_TIDE, HIGHEST_STAGE = 20.0, 100.0  # m
MOST_DISCHARGE = 400_000.0  # m3/s; above the greatest river
RISING = 1e-6  # m/s; a river that rises, by how much nobody said
FLOWS = {
    **dict.fromkeys(("cfs", "ft3/s", "ft^3/s"), 0.3048**3),
    **dict.fromkeys(("m3/s", "m^3/s", "cumecs"), 1.0),
}
TRENDS = {"rising": RISING, "falling": -RISING, "steady": 0.0}
CURRENT_EXAMPLE = '"1.5 kt from NE, slack 09:20"'
TIDE_EXAMPLE = '"08:10", or "08:10 2.1 m, low 14:20 0.4 m"'
GAUGE_EXAMPLE = '"2.1 ft rising"'
_CURRENT = re.compile(
    r"(?:(?P<first>ebb|flood)\s+)?(?P<speed>[\d.,/\s]+\S+?)(?:\s+(?P<last>ebb|flood))?"
    r"\s+(?P<sense>from|to|towards|toward)\s+(?P<point>.+)",
    re.IGNORECASE,
)
_FLOW = re.compile(r"(?P<number>\d[\d,]*\.?\d*)\s*(?P<unit>\S+)")


@dataclass(frozen=True)
class TimeFrame:
    """When the times of day that a user names are: the water's zone, and the start of the trip."""

    zone: str
    start: datetime

    def read(self, text: str, field: str) -> datetime:
        """Return a time; one without a day is on the day of the start, or in the night after it."""
        if not is_clock_only(text):
            return parse_time(text, self.zone, self.start - timedelta(days=2), field)
        local = self.start.astimezone(ZoneInfo(self.zone))
        evening = datetime.combine(local.date(), time(0), local.tzinfo) - timedelta(minutes=1)
        found = parse_time(text, self.zone, evening, field)
        if found >= self.start - HALF_A_DAY:
            return found
        return parse_time(text, self.zone, found, field)


@dataclass(frozen=True)
class CurrentWords:
    """A current as the user says it.

    Parameters
    ----------
    speed
        The strongest. [m s⁻¹]
    towards
        Where it flows to before the first slack [deg true]; NaN without a current.
    slacks
        When it turns, in order. UTC
    name
        "ebb" or "flood" before the first slack; empty where the user did not say.
    """

    speed: float
    towards: float
    slacks: tuple[datetime, ...] = ()
    name: str = ""


def read_current(text: str, frame: TimeFrame, tidal: bool) -> CurrentWords:
    """Return a current: "1.5 kt from NE, slack 09:20", "ebb 2 kt to SW, slack 09:20", "none".

    A direction after "from" is where the water comes from, after "to" where it flows to.

    Parameters
    ----------
    text, frame
        As the user says it, and when.
    tidal
        True where the current turns with the tide: then a slack must be said.

    Raises
    ------
    PlanError
        Where a part can't be read or is missing.
    """
    if text.strip().casefold() in NONE:
        return CurrentWords(0.0, math.nan)
    first, *others = (part.strip() for part in text.split(","))
    found = _CURRENT.fullmatch(first)
    if found is None:
        raise PlanError(
            f"{text!r} can't be read. Say the strongest speed, where the current comes"
            f' from, and when it is slack: {CURRENT_EXAMPLE}; or "none" where there is none.',
            field="--current",
        )
    speed = parse(found["speed"], "speed", "--current")
    if not speed <= FASTEST:
        raise PlanError(
            f"{text!r}: no current is so fast. Check the number and unit.", field="--current"
        )
    towards = parse_direction(found["point"], "--current")
    if found["sense"].casefold() == "from":
        towards = (towards + 180) % 360
    if speed == 0:
        return CurrentWords(0.0, math.nan)
    slacks = _slacks(others, frame, text)
    if tidal and not slacks:
        raise PlanError(
            f"{text!r}: on this water the current turns with the tide. Add when it is"
            f" slack, from a current table and not from the tide table: {CURRENT_EXAMPLE}.",
            field="--current",
        )
    name = (found["first"] or found["last"] or "").casefold()
    return CurrentWords(speed, towards, slacks, name)


def _slacks(parts: Sequence[str], frame: TimeFrame, text: str) -> tuple[datetime, ...]:
    slacks = sorted(_slack(part, frame, text) for part in parts)
    for earlier, later in pairwise(slacks):
        if later - earlier < SHORTEST_TURN:
            raise PlanError(
                f"{text!r}: two slacks are less than an hour apart. Between them the"
                " current runs one way, for hours. Give each slack once, as the current table has"
                " it.",
                field="--current",
            )
    return tuple(slacks)


def _slack(part: str, frame: TimeFrame, text: str) -> datetime:
    word, _, time = part.partition(" ")
    if word.casefold() != "slack" or not time:
        raise PlanError(
            f"{text!r}: {part!r} can't be read. After the comma comes the time of slack:"
            f" {CURRENT_EXAMPLE}.",
            field="--current",
        )
    return frame.read(time, "--current")


@dataclass(frozen=True)
class TideWords:
    """One high or low water as the user says it: its time, its height [m] or NaN, and which."""

    time: datetime
    height: float
    high: bool


def read_tides(text: str, frame: TimeFrame) -> tuple[TideWords, ...]:
    """Return high and low waters: "08:10", "08:10 2.1 m, low 14:20 0.4 m, high 20:35 2.2 m".

    Raises
    ------
    PlanError
        Where one can't be read, or two of them have the same time.
    """
    found = sorted(
        (_tide(part.strip(), frame, text) for part in text.split(",")), key=lambda one: one.time
    )
    if len({one.time for one in found}) < len(found):
        raise PlanError(
            f"{text!r}: two of them have the same time. Write {TIDE_EXAMPLE}.", field="--high-water"
        )
    for one, other in pairwise(found):
        high, low = (one, other) if one.high else (other, one)
        if high.high != low.high and low.height >= high.height:
            raise PlanError(
                f"{text!r}: a low water is no lower than the high water beside it."
                f" Check both heights, as in {TIDE_EXAMPLE}.",
                field="--high-water",
            )
    return tuple(found)


def _tide(part: str, frame: TimeFrame, text: str) -> TideWords:
    words = part.split()
    high = words[:1] != ["low"]
    words = words[1:] if words[:1] in (["low"], ["high"]) else words
    number = next((at for at, word in enumerate(words) if _is_height(words[at:])), len(words))
    time, height = " ".join(words[:number]), " ".join(words[number:])
    if not time:
        raise PlanError(f"{text!r} can't be read. Write {TIDE_EXAMPLE}.", field="--high-water")
    return TideWords(frame.read(time, "--high-water"), _height(height, text), high)


def _is_height(words: Sequence[str]) -> bool:
    """Return whether words are a height: a number with a unit of length."""
    joined = " ".join(words).casefold()
    return bool(re.fullmatch(r"[-−]?\d+\.?\d*\s*(m|ft|feet|foot|metres?|meters?)", joined))


def _height(text: str, whole: str) -> float:
    if not text:
        return math.nan
    below = text.startswith(("-", "−"))
    metres = parse(text.lstrip("-−"), "length", "--high-water")
    if metres > HIGHEST_TIDE:
        raise PlanError(
            f"{whole!r}: no tide is so high. Check the number and unit.", field="--high-water"
        )
    return -metres if below else metres


@dataclass(frozen=True)
class GaugeWords:
    """A gauge as the user reads it.

    Parameters
    ----------
    stage, discharge
        [m, m³ s⁻¹]; NaN where not said.
    rise
        Above 0 for a river that rises, below for one that falls, 0 for a steady one [m s⁻¹]; NaN
        where not said.
    """

    stage: float = math.nan
    discharge: float = math.nan
    rise: float = math.nan


def read_gauge(text: str) -> GaugeWords:
    """Return a gauge: "2.1 ft rising", "450 cfs, falling", "1.2 m, 30 m3/s, steady".

    Raises
    ------
    PlanError
        Where a part can't be read, or neither a height nor a discharge is said.

    Examples
    --------
    >>> read_gauge("1.2 m steady")
    GaugeWords(stage=1.2, discharge=nan, rise=0.0)
    """
    said = text.strip()
    trends = [word for word in TRENDS if re.search(rf"\b{word}\b", said, re.IGNORECASE)]
    rest = re.sub("|".join(TRENDS), ",", said, flags=re.IGNORECASE)
    parts = [part.strip() for part in re.split(r",(?!\d)", rest) if part.strip()]
    values = dict(_reading(part, text) for part in parts)
    if len(trends) > 1 or not values or len(values) < len(parts):
        raise PlanError(
            f"{text!r} can't be read. Say the height or the discharge, and whether it is"
            f" rising, falling or steady: {GAUGE_EXAMPLE}.",
            field="--gauge",
        )
    return GaugeWords(**values, rise=TRENDS[trends[0]] if trends else math.nan)


def _reading(part: str, text: str) -> tuple[str, float]:
    found = _FLOW.fullmatch(part)
    factor = FLOWS.get(found["unit"].casefold()) if found else None
    if found and factor is not None:
        value, name = float(found["number"].replace(",", "")) * factor, "discharge"
    else:
        value, name = parse(part, "length", "--gauge"), "stage"
    if not 0 <= value <= {"stage": HIGHEST_STAGE, "discharge": MOST_DISCHARGE}[name]:
        raise PlanError(f"{text!r}: no river has that. Check the number and unit.", field="--gauge")
    return name, value


def read_releases(text: str, frame: TimeFrame) -> tuple[datetime, ...]:
    """Return when a dam releases water: "none", "14:00", "10:00, 16:00"."""
    if text.strip().casefold() == "none":
        return ()
    return tuple(sorted(frame.read(part.strip(), "--release") for part in text.split(",")))
