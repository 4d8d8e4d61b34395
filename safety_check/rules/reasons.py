"""The sentence that explains a finding."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from safety_check.arrays import to_utc
from safety_check.model.craft import Craft
from safety_check.model.local_clock import LocalClock
from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.verdict import Limit, Severity
from safety_check.rules.bounds_in_words import describe_bound
from safety_check.rules.endless import (
    NO_HEADWAY,
    describe_endless,
    describe_far,
    describe_swim,
    describe_swim_limit,
    possible_swim,
)
from safety_check.rules.hazard import Hazard
from safety_check.rules.limits import CHANGEABLE_CAUSES, Limits
from safety_check.rules.missed_words import describe_missed_forecasts
from safety_check.units import FOOT, KNOT, Preferences, compass, show, show_limit

SHARE_WORTH_SAYING = 0.995
AT_THE_LAUNCH = 100.0  # m
HOUR = timedelta(hours=1)
AT_COLD_END = ("sum_of_air_and_water_temperature", "swim_to_shore_share")
# of these the lower value may be the worse one
FIGURES = ("distance", "temperature", "temperature_sum")
LONG_AFTER = 7200.0  # s after dusk; from then on it is night
FLOOD_LEVELS = (
    "below action stage", "at action stage", "in minor flood", "in moderate flood", "in major flood"
)  # fmt: skip
RELEASE_LEVELS = {0: "none", 1: "nobody asked", 3: "announced"}
WARNING_LEVELS = {0: "none", 1: "caution", 3: "no-go"}


@dataclass(frozen=True)
class ReasonContext:
    """What a reason needs to be written for its reader.

    Parameters
    ----------
    preferences
        The units that the user reads in.
    clock
        The water's local time.
    craft
        The boat, named in the limits.
    limits
        The limits that hold.
    warnings
        The headlines of official warnings, worst first.
    missed
        Observations above every forecast, the largest miss first.
    judged
        The first and the last instant that are judged; None where all hours are whole.
    plan_end
        When the trip ends; None where there is no single trip.
    from_shore
        How far the shore is at most. [m]
    flow
        How the water flows in each hour, in words: "ebb of 2.0 kt"; empty on still water.
    """

    preferences: Preferences
    clock: LocalClock
    craft: Craft
    limits: Limits
    warnings: tuple[str, ...] = ()
    missed: tuple[MissedForecast, ...] = ()
    judged: tuple[datetime, datetime] | None = None
    plan_end: datetime | None = None
    from_shore: float = math.nan
    flow: tuple[str, ...] = ()

    def value(self, value: float, shown_as: str) -> str:
        """Return a value as the user reads it.

        Raises
        ------
        KeyError
            For a way of showing that no hazard has.
        """
        if math.isnan(value):
            return "unknown"
        if math.isinf(value):
            return describe_endless(value, shown_as)
        kind = self._kind(shown_as)
        if kind is not None:
            return show(value, *kind)
        others: dict[str, Callable[[float], str]] = {
            "temperature_sum": self._sum,
            "angle": _sun,
            "energy": lambda energy: f"{energy:.0f} J/kg",
            "rain": lambda rain: f"{rain:.0f} mm",
            "share": lambda share: f"{100 * share:.0f} %",
            "part": lambda part: f"{100 * part:.0f} %",
            "times": lambda times: f"{times:.1f} ×",
            "turn": lambda turn: f"{turn:.0f}°",
            "pressure": lambda fall: f"{fall / 100:.1f} hPa",
            "spare": lambda spare: _margin(spare, ""),
            "before_sunset": lambda left: _margin(left, " sunset"),
            "before_dusk": lambda left: _margin(left, " dusk"),
            "flag": lambda flag: "yes" if flag else "no",
            "declared": lambda flag: "declared" if flag else "not declared",
            "warning": lambda level: WARNING_LEVELS[round(level)],
            "current": lambda speed: f"{speed / KNOT:.1f} kt",
            "flow": lambda flow: _discharge(flow, self.preferences.distance),
            "percentile": lambda share: f"at or above {100 * share:.0f} %",
            "flood": lambda level: FLOOD_LEVELS[round(level)],
            "release": lambda level: RELEASE_LEVELS[round(level)],
        }
        return others[shown_as](value)

    def bound(self, value: float, shown_as: str, worse: str) -> str:
        """Return a limit as the user reads it, never rounded to the permissive side."""
        kind = self._kind(shown_as)
        if kind is not None:
            return show_limit(value, *kind, worse)
        words = describe_bound(value, shown_as, worse, self.preferences.temperature)
        return self.value(value, shown_as) if words is None else words

    def value_beside(self, bound: float, value: float, hazard: Hazard, reached: bool) -> str:
        """Return a value as the user reads it, with the digits that show whether it is reached.

        Parameters
        ----------
        bound, value
            Of a finding.
        hazard
            Of which hazard.
        reached
            Whether the value has reached the bound.
        """
        plain, kind = self.value(value, hazard.shown_as), self._kind(hazard.shown_as)
        limit_of_it = self.limits.limits.get(hazard.weighs)
        if kind is None or limit_of_it is None or not math.isfinite(value + bound):
            return plain
        worse = limit_of_it.worse
        sign = 1.0 if worse == "higher" else -1.0
        shown, limit = (float(text.split()[0]) for text in (plain, show_limit(bound, *kind, worse)))
        as_it_is = (sign * shown >= sign * limit) == reached
        return plain if as_it_is else show_limit(value, *kind, worse)

    def _kind(self, shown_as: str) -> tuple[str, str] | None:
        """Return the kind and the user's unit of a value that has one."""
        return {
            "wind": ("speed", self.preferences.wind),
            "wind_change": ("speed", self.preferences.pace),
            "wave": ("length", self.preferences.wave),
            "distance": ("length", self.preferences.distance),
            "temperature": ("temperature", self.preferences.temperature),
            "minutes": ("duration", "min"),
        }.get(shown_as)

    def _sum(self, celsius: float) -> str:
        if self.preferences.temperature == "F":
            return f"{celsius * 1.8 + 64:.0f} °F"
        return f"{celsius:.0f} °C"

    def place(self, hazard: Hazard, place: tuple[float, float] | None) -> str:
        """Return where a point lies from the launch, or what else a hazard has to say."""
        if hazard.name == "official_warning":
            return "; ".join(self.warnings)
        if hazard.name == "forecast_missed":
            return describe_missed_forecasts(self.missed, self.preferences, self.clock.zone)
        if place is None or math.hypot(*place) < AT_THE_LAUNCH:
            return ""
        far = show(math.hypot(*place), "length", self.preferences.distance)
        return f", {far} {compass(math.degrees(math.atan2(*place)))} of the launch"

    def hour(self, time: np.datetime64) -> str:
        """Return "between 10:00 and 11:00" for the judged part of an hour, in the water's time.

        A value is the worse of those at the two ends of an hour, so its start alone would
        mislead. The day is named where the plan spans midnight.
        """
        first, last = self._part(time)
        return f"between {self.clock.time(first)} and {self.clock.time(last)}"

    def start(self, time: np.datetime64) -> str:
        """Return "at 10:00", the first judged instant of an hour."""
        return f"at {self.clock.time(self._part(time)[0])}"

    def end(self, time: np.datetime64) -> str:
        """Return "11:00", the end of an hour or of the plan in it."""
        last = to_utc(time) + HOUR
        return self.clock.time(min(last, self.plan_end) if self.plan_end else last)

    def _part(self, time: np.datetime64) -> tuple[datetime, datetime]:
        first, last = to_utc(time), to_utc(time) + HOUR
        if self.judged is None:
            return first, last
        start, until = self.judged
        return (
            start if first < start < last else first,
            until if first < until < last else last,
        )

    def limit(self, hazard: Hazard, worst: WorstHour) -> str:
        """Return the clause that states the bound, and who or what set it."""
        if not math.isfinite(worst.bound):
            return self.bare_limit(hazard, worst)
        limit = self.limits.limits[hazard.weighs]
        return self.bare_limit(hazard, worst) + self._notes(
            hazard, limit, worst.severity == Severity.NO_GO, worst
        )

    def bare_limit(self, hazard: Hazard, worst: WorstHour) -> str:
        """Return the clause that states the bound."""
        if not math.isfinite(worst.bound):
            return "no limit is set"
        limit = self.limits.limits[hazard.weighs]
        beyond_no_go = worst.severity == Severity.NO_GO
        own = by_user(limit, worst)
        whose = "your limit" if own else "the limit"
        if not beyond_no_go:
            whose = "your caution" if own else "caution"
            whose += " starts at"
        else:
            whose += _for_whom(hazard, limit, self.craft) + " is"
        below = " or less" if limit.worse == "lower" and hazard.shown_as in FIGURES else ""
        return f"{whose} {self._bound_beside(hazard, worst, worst.bound)}{below}"

    def _bound_beside(self, hazard: Hazard, worst: WorstHour, bound: float) -> str:
        """Return a limit as its reason names it: that of the swim to the shore is a distance."""
        if hazard.shown_as == "times":
            swim = possible_swim(self.from_shore, worst.value)
            return describe_swim_limit(bound, swim, self.preferences.distance)
        return self.bound(bound, hazard.shown_as, self.limits.limits[hazard.weighs].worse)

    def _notes(self, hazard: Hazard, limit: Limit, beyond_no_go: bool, worst: WorstHour) -> str:
        """Return in brackets who set the bound and what changed it."""
        default = self.limits.defaults[hazard.weighs]
        usual = default.no_go if beyond_no_go else default.marginal
        own, water = by_user(limit, worst), limit.set_at[beyond_no_go]
        notes = [f"yours for {water}" if water else "yours"] if own else []
        if usual is not None and not math.isclose(usual, worst.bound):
            first = self._bound_beside(hazard, worst, usual)
            if not own and worst.causes:
                last = self._bound_beside(hazard, worst, worst.bound)
                notes.append(chain_of_limits(first, worst.causes, last))
            else:
                notes.append(f"default {first}")
        if limit.loosened is not None:
            notes.append("looser than the default, as you chose")
        return f" ({', '.join(notes)})" if notes else ""


def by_user(limit: Limit, worst: WorstHour) -> bool:
    """Return whether the bound of an hour is the user's own, and not a default lowered below it."""
    own = limit.no_go if worst.severity == Severity.NO_GO else limit.marginal
    own = limit.no_go if own is None else own
    return limit.basis == "personal" and own is not None and math.isclose(own, worst.bound)


def chain_of_limits(first: str, causes: Sequence[str], last: str) -> str:
    """Return how a limit came about in one line, and what the user can change.

    Examples
    --------
    >>> chain_of_limits("18 mph", ["alone"], "15 mph")
    '18 mph for this craft → alone → 15 mph; you can change: company'
    """
    changeable = [CHANGEABLE_CAUSES[cause] for cause in causes if cause in CHANGEABLE_CAUSES]
    chain = " → ".join([f"{first} for this craft", *causes, last])
    return f"{chain}; you can change: {', '.join(changeable)}" if changeable else chain


def _for_whom(hazard: Hazard, limit: Limit, craft: Craft) -> str:
    if hazard.chosen_by == "craft":
        return f" for this {craft.label}" if limit.basis != "personal" else " for this craft"
    if hazard.chosen_by == "wearing":
        worn = limit.applies_to.removeprefix("wearing ")
        return " without immersion clothing" if worn == "none" else f" in a {worn}"
    return ""


def _margin(seconds: float, event: str) -> str:
    """Return how long before or after an event something is.

    Examples
    --------
    >>> _margin(1500.0, " sunset"), _margin(-600.0, " dusk"), _margin(-50e3, " dusk")
    ('25 min before sunset', '10 min after dusk', 'in the dark')
    """
    if event and seconds < -LONG_AFTER:
        return "in the dark"
    minutes = abs(seconds) / 60
    span = f"{minutes:.0f} min" if minutes < 100 else f"{minutes / 60:.0f} h"
    return f"{span} {'before' if seconds >= 0 else 'after'}{event}"


def _discharge(flow: float, distance: str) -> str:
    """Return a discharge in the unit that belongs to the user's distances."""
    return f"{flow / FOOT**3:,.0f} cfs" if distance == "mi" else f"{flow:.1f} m³/s"


def _sun(degrees: float) -> str:
    side = "below" if degrees < 0 else "above"
    return f"the sun stands {abs(degrees):.0f}° {side} the horizon"


@dataclass(frozen=True)
class WorstHour:
    """The hour that decides a hazard, and what was found in it.

    Parameters
    ----------
    severity, value, bound, time, odds
        Of that hour; a NaN value is not known.
    where
        The place of the worst value, or the headlines of the warnings in force.
    causes
        In words, what lowers the limit in that hour.
    local
        The user's rules that add to the wind behind the value, and how much. [m s⁻¹]
    warmest_water
        The warm end of an estimated water temperature; None where it is not estimated. [K]
    """

    severity: Severity
    value: float
    bound: float
    time: np.datetime64
    odds: float
    where: str
    causes: tuple[str, ...] = ()
    local: tuple[tuple[str, float], ...] = ()
    warmest_water: float | None = None


def write_reason(hazard: Hazard, context: ReasonContext, worst: WorstHour) -> str:
    """Return the reason of a finding.

    Parameters
    ----------
    hazard, context
        What is explained, and for whom.
    worst
        The hour that decides.
    """
    text = _write(hazard, context, worst, context.limit)
    if hazard.weighs in AT_COLD_END and worst.warmest_water is not None and proved(worst):
        text = f"{text.removesuffix('.')} (at the cold end of the estimated water temperature)."
    if proved(worst) and worst.severity > Severity.GO and worst.odds < SHARE_WORTH_SAYING:
        text = f"{text.removesuffix('.')} (in {100 * worst.odds:.0f} % of the forecasts)."
    return text + _with_rules(context, worst)


def _estimated(
    context: ReasonContext, warmest: float, worst: WorstHour, limit: str, brief: bool
) -> str:
    """Return the reason where the water's temperature is a range estimated from the air."""
    cold, warm = (context.value(end, "temperature") for end in (worst.value, warmest))
    if brief:
        return f"Water estimated, {cold} to {warm}; {limit}."
    said = f"The water is estimated at {cold} to {warm} from air temperature, not measured;"
    if worst.severity == Severity.MARGINAL:
        return f"{said} {limit}. Measure it."
    even = "cold" if worst.severity == Severity.GO else "warm"
    return f"{said} even at the {even} end {limit}."


def write_brief(hazard: Hazard, context: ReasonContext, worst: WorstHour) -> str:
    """Return the reason with value, limit and hour alone."""
    return _write(hazard, context, worst, context.bare_limit) + _with_rules(context, worst)


def _with_rules(context: ReasonContext, worst: WorstHour) -> str:
    """Return which of the user's rules for the place are in a value; nothing without any."""
    if not worst.local or not proved(worst):
        return ""
    added = [
        f'{context.value(more, "wind_change")} by your rule "{name}"' for name, more in worst.local
    ]
    return f" The wind includes up to {' and '.join(added)}."


def proved(worst: WorstHour) -> bool:
    """Return whether the value of an hour is known."""
    return worst.severity != Severity.UNKNOWN and not math.isnan(worst.value)


def _write(
    hazard: Hazard,
    context: ReasonContext,
    worst: WorstHour,
    limit: Callable[[Hazard, WorstHour], str],
) -> str:
    if hazard.weighs in context.limits.undeclared:
        return hazard.says_undeclared
    if not proved(worst):
        return f"{hazard.says_unknown.format(hour=context.hour(worst.time))} {hazard.remedy}"
    if hazard.weighs == "water_temperature" and worst.warmest_water is not None:
        brief = limit == context.bare_limit
        return _estimated(context, worst.warmest_water, worst, limit(hazard, worst), brief)
    says = hazard.says_within if worst.severity == Severity.GO else hazard.says
    says = NO_HEADWAY if hazard.shown_as == "part" and math.isinf(worst.value) else says
    night = hazard.shown_as in ("before_sunset", "before_dusk") and worst.value < -LONG_AFTER
    return says.format(
        value=context.value_beside(worst.bound, worst.value, hazard, worst.severity > Severity.GO),
        hour=context.hour(worst.time),
        start=context.start(worst.time),
        end=context.end(worst.time),
        at_end=context.start(worst.time) if night else f"at {context.end(worst.time)}",
        limit=limit(hazard, worst),
        where=worst.where,
        far=describe_far(context.from_shore, context.preferences.distance),
        swim=describe_swim(context.from_shore, worst.value, context.preferences.distance),
    )
