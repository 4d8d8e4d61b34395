"""A value against its own limits as a bar: where it ends, and where the limits stand.

This module computes only positions on the bar: value and limits come from the finding.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from safety_check.arrays import to_utc
from safety_check.model.verdict import Finding, HourVerdict
from safety_check.report.hour_limits import bounds_of

LENGTH = 100.0
ANCHOR = 60.0  # where the last limit stands in every bar
CAUTION = 40.0  # where caution stands, for values that have no natural zero
RATIOS = ("distance",)  # shown so, a lower value may be worse, and still has a natural zero
SPANS = {  # what is drawn as an empty bar: this much to spare, for limits without a second bound
    "spare": 3600.0,
    "before_sunset": 3600.0,
    "before_dusk": 3600.0,
    "temperature": 10.0,
    "temperature_sum": 20.0,
    "angle": 10.0,
}


@dataclass(frozen=True)
class ReasonBar:
    """A bar in hundredths of its length.

    Parameters
    ----------
    value
        Where the value stands, at the end of the bar if it lies beyond.
    caution, no_go
        Where the limits stand; None where that level is never reached or lies beyond the bar.
    beyond
        Whether the value lies beyond the end of the bar.
    share
        How much of the limit that is met first the value uses; None where neither is counted
        from a natural zero. [1]
    nearness
        The same for any value, to sort by: 1 at the limit.
    """

    value: float
    caution: float | None
    no_go: float | None
    beyond: bool
    share: float | None
    nearness: float

    @property
    def parts(self) -> list[tuple[str, float, float]]:
        """The stretches of the bar: their level, where they begin, and how long they are."""
        first = min(edge for edge in (self.caution, self.no_go, LENGTH) if edge is not None)
        no_go = LENGTH if self.no_go is None else self.no_go
        edges = (("go", 0.0, first), ("marginal", first, no_go), ("no-go", no_go, LENGTH))
        return [
            (level, start, round(min(end, self.value) - start, 1))
            for level, start, end in edges
            if min(end, self.value) > start
        ]


def draw_bar(finding: Finding, shown_as: str, hours: Sequence[HourVerdict]) -> ReasonBar | None:
    """Return the bar of a finding; None where it has no number or no limit.

    Parameters
    ----------
    finding
        Its value, and the bound that it met or would meet first.
    shown_as
        How its hazard shows values.
    hours
        The hours of the trip, with the bounds that held in each.
    """
    caution, no_go = _bounds(finding, hours)
    known = [bound for bound in (caution, no_go) if bound is not None]
    if math.isnan(finding.value) or not known or finding.limit is None:
        return None
    worse = 1.0 if finding.limit.worse == "higher" else -1.0
    natural = worse > 0 or shown_as in RATIOS
    if natural and shown_as not in SPANS and min(known) > 0:
        place = _from_zero(known[-1], worse)
    else:
        natural, place = False, _from_span(known, worse, shown_as)
    at, first = place(finding.value), place(known[0])
    return ReasonBar(
        value=round(min(max(at, 0.0), LENGTH), 1),
        caution=_on_bar(caution, place),
        no_go=_on_bar(no_go, place),
        beyond=at > LENGTH,
        share=at / first if natural else None,
        nearness=at / first,
    )


def _bounds(finding: Finding, hours: Sequence[HourVerdict]) -> tuple[float | None, float | None]:
    """Return the caution and the no-go bound that held where the finding's own bound held."""
    limit = finding.limit
    if limit is None:
        return None, None
    times = {to_utc(time) for time in finding.hours}
    for hour in hours:
        held = bounds_of(hour, finding.quantity)
        if hour.time in times and finding.bound in held:
            caution, no_go = (bound if math.isfinite(bound) else None for bound in held)
            return (None if caution == no_go else caution), no_go
    return limit.marginal, limit.no_go


def _from_zero(anchor: float, worse: float) -> Callable[[float], float]:
    """Return places in proportion to the value, or to its inverse where lower is worse."""

    def place(value: float) -> float:
        if worse > 0:
            return ANCHOR * value / anchor
        return ANCHOR * anchor / value if value > 0 else math.inf

    return place


def _from_span(known: Sequence[float], worse: float, shown_as: str) -> Callable[[float], float]:
    """Return places by how far a value is from the last limit."""
    last = known[-1]
    step = abs(last - known[0]) / (ANCHOR - CAUTION)
    step = step or SPANS.get(shown_as, abs(last) or 1.0) / ANCHOR

    def place(value: float) -> float:
        return ANCHOR + worse * (value - last) / step

    return place


def _on_bar(bound: float | None, place: Callable[[float], float]) -> float | None:
    if bound is None:
        return None
    at = place(bound)
    return round(at, 1) if 0 <= at <= LENGTH else None
