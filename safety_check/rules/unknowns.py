"""List what is not known, how that affects the verdict, and what the user can do."""

from __future__ import annotations

import numpy as np

from safety_check.model.verdict import Severity, Unknown
from safety_check.model.weather import Briefing, SourceFailure
from safety_check.rules.engine import WeighedHazard, Weighing
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.reasons import ReasonContext

NOT_MADE = "none of the forecasts gives it, so it is not part of this verdict"


def best_possible(briefing: Briefing) -> Severity:
    """Return the best severity an hour can have, given the sources that did not answer."""
    return max((_cost(failure) for failure in briefing.silences), default=Severity.GO)


def _cost(failure: SourceFailure) -> Severity:
    return Severity.MARGINAL if failure.applies else Severity.GO


def unknown_from_failure(failure: SourceFailure) -> Unknown:
    """Return what a source that did not answer leaves unknown."""
    remedy = "Without it the verdict cannot be GO." if failure.applies else ""
    return Unknown(failure.source, failure.reason, remedy, _cost(failure))


def list_unknown(
    weighing: Weighing, trip: np.ndarray, context: ReasonContext
) -> tuple[Unknown, ...]:
    """Return what is not known in the trip's hours, whether or not it decides."""
    found = []
    for weighed in weighing.hazards:
        missing = _missing(weighed, trip)
        if missing.any():
            share = float(weighing.weights[missing.any(axis=1)].sum())
            hours = trip[missing.any(axis=0)]
            found.append(_one_unknown(weighed, hours, share, weighing, context))
    return (*found, *_not_made(weighing))


def _not_made(weighing: Weighing) -> list[Unknown]:
    """Return quantities that by design no forecast here gives; they do not lower the verdict."""
    weighed = {one.hazard.name for one in weighing.hazards}
    return [
        Unknown(hazard.quantity_label, NOT_MADE, "", Severity.GO)
        for hazard in HAZARDS
        if hazard.only_where_made and hazard.name not in weighed
    ]


def _missing(weighed: WeighedHazard, trip: np.ndarray) -> np.ndarray:
    unknown = np.isnan(weighed.value[:, trip]) | np.isnan(weighed.marginal[:, trip])
    return unknown & (weighed.counted[:, None] | ~weighed.counted.any())


def _one_unknown(
    weighed: WeighedHazard,
    hours: np.ndarray,
    share: float,
    weighing: Weighing,
    context: ReasonContext,
) -> Unknown:
    first = context.start(weighing.time[hours[0]]).removeprefix("at ")
    why = f"not known from {first} to {context.end(weighing.time[hours[-1]])}"
    if share < 1 - 1e-9:
        why += f" in {100 * share:.0f} % of the forecasts"
    hazard = weighed.hazard
    remedy = hazard.remedy
    if hazard.weighs in context.limits.undeclared:
        why, remedy = "your limit cannot be chosen", hazard.says_undeclared
    severity = Severity.UNKNOWN if hazard.required else Severity.MARGINAL
    return Unknown(hazard.quantity_label, why, remedy, severity)
