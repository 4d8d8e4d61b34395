"""The limits of a craft on a water: each in words, with where it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from safety_check.model.verdict import Limit
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.rules.personal_limits import kind_of_limit
from safety_check.rules.reasons import ReasonContext

if TYPE_CHECKING:
    from safety_check.settings.limits import PracticeEntry

YES_OR_NO = ("flag", "declared")  # they have levels, not figures


@dataclass(frozen=True)
class LimitRow:
    """A limit as a table shows it.

    Parameters
    ----------
    quantity, label
        Its name here, and in everyday words.
    bounds, default
        What holds, and what would hold without the user's own.
    source
        Where it comes from, in words.
    kind
        The kind of its unit, as `units.parse` takes it; None where it cannot be changed.
    own, loosened
        Whether it is the user's own, and looser than the default.
    worse
        "higher" or "lower": the direction of danger.
    rationale
        Why it is weighed.
    """

    quantity: str
    label: str
    bounds: str
    default: str
    source: str
    kind: str | None
    own: bool
    loosened: bool
    worse: str
    rationale: str


def limit_rows(context: ReasonContext) -> tuple[LimitRow, ...]:
    """Return the limits that hold for a craft, each quantity once, in the order of the hazards."""
    hazards: dict[str, Hazard] = {}
    for hazard in HAZARDS:
        if hazard.weighs in context.limits.limits:
            hazards.setdefault(hazard.weighs, hazard)
    return tuple(_row(hazard, context) for hazard in hazards.values())


def _row(hazard: Hazard, context: ReasonContext) -> LimitRow:
    limit = context.limits.limits[hazard.weighs]
    default = context.limits.defaults[hazard.weighs]
    return LimitRow(
        quantity=hazard.weighs,
        label=hazard.quantity_label,
        bounds=bounds_in_words(hazard, limit, context),
        default=bounds_in_words(hazard, default, context),
        source=f"{limit.basis.replace('_', ' ')}: {limit.source}",
        kind=kind_of_limit(default),
        own=limit.basis == "personal",
        loosened=limit.loosened is not None,
        worse=limit.worse,
        rationale=hazard.rationale,
    )


def bounds_in_words(hazard: Hazard, limit: Limit | PracticeEntry, context: ReasonContext) -> str:
    """Return the bounds of a limit in the user's units."""
    worse = context.limits.limits[hazard.weighs].worse
    levels = {"caution": limit.marginal, "no-go": limit.no_go}
    said = [
        f"{level} from {context.bound(bound, hazard.shown_as, worse)}"
        for level, bound in levels.items()
        if bound is not None
    ]
    if not said:
        return "no bound: it only has to be known"
    if hazard.shown_as == "warning":
        return "caution or no-go, by the kind of warning"
    if hazard.shown_as in YES_OR_NO:
        return ", ".join(said).replace(" from ", " if ")
    return f"{', '.join(said)}; {worse} is worse"
