"""What the user has loosened, in sentences that every verdict repeats."""

from __future__ import annotations

from safety_check.model.verdict import Limit
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.reasons import ReasonContext
from safety_check.settings.user_file import DEFAULT_TOLERANCE

SHOWN_AS = {hazard.weighs: hazard for hazard in HAZARDS}


def describe_loosened(context: ReasonContext, tolerance: float) -> tuple[str, ...]:
    """Return a sentence for each limit, and for the tolerance, looser than the default.

    Parameters
    ----------
    context
        The limits that hold, and the units of the user.
    tolerance
        The share of the forecasts that decides an hour.
    """
    limits = context.limits.limits
    sentences = [
        _describe_limit(limit, limit.loosened, context)
        for limit in limits.values()
        if limit.loosened is not None
    ]
    if tolerance > DEFAULT_TOLERANCE:
        sentences.append(
            f"You raised the share of the forecasts that decides to {100 * tolerance:.0f} %; the"
            f" default is {100 * DEFAULT_TOLERANCE:.0f} %. A danger in fewer of them does not"
            " count."
        )
    return tuple(sentences)


def _describe_limit(own: Limit, default: Limit, context: ReasonContext) -> str:
    hazard = SHOWN_AS[own.quantity]
    levels = (("caution", own.marginal, default.marginal), ("no-go", own.no_go, default.no_go))
    changed = [
        f"{level} {_bound(mine, own, context)} (default {_bound(theirs, own, context)})"
        for level, mine, theirs in levels
        if mine != theirs
    ]
    return f"You loosened the limit for {hazard.quantity_label}: {', '.join(changed)}."


def _bound(bound: float | None, limit: Limit, context: ReasonContext) -> str:
    if bound is None:
        return "never"
    shown_as = SHOWN_AS[limit.quantity].shown_as
    return f"from {context.bound(bound, shown_as, limit.worse)}"
