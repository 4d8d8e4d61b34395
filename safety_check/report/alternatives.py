"""What would make a trip better, in words."""

from __future__ import annotations

from collections.abc import Callable

from safety_check.model.local_clock import LocalClock
from safety_check.model.plan import Plan
from safety_check.model.verdict import Alternative, Severity, Verdict
from safety_check.units import Preferences, show, show_radius

NOTHING = (
    "No change to the plan makes this trip better on this day. For other days and waters:"
    " safety-check outlook."
)
TITLE = {
    Severity.MARGINAL: "What would make it a GO",
    Severity.UNKNOWN: "What would make it better",
    Severity.NO_GO: "What would make it better",
}


def alternative_lines(verdict: Verdict, preferences: Preferences) -> list[str]:
    """Return a sentence for each alternative; nothing for a GO, or where not asked for.

    Where too little is known, the trip gets better only by finding it out: the reasons say how.
    """
    if verdict.severity == Severity.GO or verdict.alternatives is None:
        return []
    told = [_line(one, verdict.plan, preferences) for one in verdict.alternatives]
    return told or ([] if verdict.severity == Severity.UNKNOWN else [NOTHING])


def _line(one: Alternative, plan: Plan, preferences: Preferences) -> str:
    reason = f": {one.reason}" if one.reason else "."
    return f"{one.severity} {change_in_words(one, plan, preferences)}{reason}"


def change_in_words(one: Alternative, plan: Plan, preferences: Preferences) -> str:
    """Return what changes, such as "from 06:00 to 09:00" or "in a wetsuit"."""
    return WORDS[one.kind](one.plan, plan, preferences)


def _time(changed: Plan, plan: Plan, _: Preferences) -> str:
    clock = LocalClock.of(plan)
    hours = (changed.end - changed.start).total_seconds() / 3600
    return f"from {clock.span(changed.start, changed.end)} ({hours:.0f} h)"


def _from_shore(changed: Plan, _: Plan, preferences: Preferences) -> str:
    return f"within {show_radius(changed.from_shore, preferences.small_distance)} of the shore"


def _reach(changed: Plan, _: Plan, preferences: Preferences) -> str:
    return f"within {show_radius(changed.reach, preferences.distance)} of the launch"


def _water(changed: Plan, _: Plan, __: Preferences) -> str:
    drive = show(changed.water.drive or 0.0, "duration", "min")
    return f"on {changed.water.name}, {changed.launch.name} ({drive} to drive)"


WORDS: dict[str, Callable[[Plan, Plan, Preferences], str]] = {
    "time": _time,
    "from_shore": _from_shore,
    "reach": _reach,
    "launch": lambda changed, plan, _: (
        f"from {changed.launch.name}, by the forecast for {plan.launch.name}"
    ),
    "water": _water,
    "company": lambda *_: "in company",
    "wearing": lambda changed, *_: f"in a {changed.paddler.wearing}",
    "craft": lambda changed, *_: f"with {changed.craft.name}",
}
