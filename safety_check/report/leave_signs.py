"""The signs that it is time to leave the water, for a terminal, a page and a float plan."""

from __future__ import annotations

import math
from collections.abc import Sequence

from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity, Verdict
from safety_check.report.advice import round_down
from safety_check.units import Preferences, compass, show_limit

LEAVE_TITLE = "Leave the water now if you see or feel"
SKY = "Thunder, a flash, or a dark line of cloud."


def leave_lines(verdict: Verdict, preferences: Preferences) -> list[str]:
    """Return a sentence for each sign; nothing for a trip that should not begin."""
    signs = verdict.leave_signs
    if signs is None or verdict.severity > Severity.MARGINAL:
        return []
    clock = LocalClock.of(verdict.plan)
    time = clock.time(round_down(signs.by))
    late = f"You have not turned back by {time}." if signs.turn_back else f"It is {time}."
    return [*figures(verdict, preferences), *_direction(signs.offshore), SKY, late]


def figures(verdict: Verdict, preferences: Preferences) -> list[str]:
    """Return the wind, gusts and waves that make a trip worse, as one sentence if any is known."""
    signs = verdict.leave_signs
    if signs is None:
        return []
    values = [
        ("Wind", signs.wind, "speed", preferences.wind),
        ("gusts", signs.gust, "speed", preferences.wind),
        ("waves", signs.wave, "length", preferences.wave),
    ]
    parts = [
        f"{name} of {show_limit(value, kind, unit)}"
        for name, value, kind, unit in values
        if not math.isnan(value)
    ]
    if not parts:
        return []
    more = ", or whitecaps" if signs.whitecaps else ""
    return [f"{', '.join(parts)} or more{more}."]


def _direction(offshore: Sequence[float]) -> list[str]:
    if not offshore:
        return []
    names = [compass(bearing) for bearing in offshore]
    last = f" or {names[-1]}" if len(names) > 1 else names[-1]
    return [f"A wind from {', '.join(names[:-1])}{last}: here it blows off the shore."]
