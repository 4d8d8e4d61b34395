"""What a hazard is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Hazard:
    """One way in which a trip goes wrong, and the one quantity that stands for it.

    Parameters
    ----------
    name
        Ours.
    weighs
        The quantity, as `conditions` computes it and limits.toml bounds it.
    required
        True: not known is UNKNOWN. False: wanted, and not known is MARGINAL at best.
    chosen_by
        What picks the limit: "craft", "wearing", "light" or "any".
    shown_as
        How a value reads: a kind of `units`, or "share", "angle", "flag".
    says
        The sentence; `{value}`, `{hour}` and `{limit}` are filled in.
    because
        Why it is a hazard.
    blind_to
        What this hazard can't see.
    mend
        What the user can do when the quantity is not known.
    lowered_by_steps
        True where company, distance, offshore wind and cold lower the limit.
    needs_past
        True where it is weighed only if there was an earlier check to compare with.
    """

    name: str
    weighs: str
    required: bool
    chosen_by: str
    shown_as: str
    says: str
    because: str
    blind_to: str
    mend: str
    lowered_by_steps: bool = False
    needs_past: bool = False


FORECAST = "Ask another source, or try again later."
