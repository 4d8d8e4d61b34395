"""What a hazard is."""

from __future__ import annotations

from dataclasses import dataclass

CHECK_AGAIN = "Check again later, or give a saved forecast with --forecast."
WEARING_UNDECLARED = (
    "Say what you wear in the water: safety-check paddler set --wearing none (or wetsuit,"
    " drysuit). Until then this limit cannot be chosen."
)
LIGHT_UNDECLARED = (
    "Say whether you carry a light: safety-check paddler set --light yes (or no). Until then"
    " this limit cannot be chosen."
)
DECLARED = ("wearing", "light")  # a limit chosen by these needs the paddler's declaration
SENTENCES = ("says", "says_within", "says_unknown", "remedy", "rationale", "limitations")


@dataclass(frozen=True, kw_only=True)
class Hazard:
    """One way in which a trip can go wrong, and the quantity that measures it.

    Every field is required, so that nothing is forgotten when a hazard is added.

    Parameters
    ----------
    name
        Our name for it.
    weighs
        The quantity, as `conditions` computes it and limits.toml bounds it.
    lacking
        The forecast variables without which the quantity cannot be computed. A model that by
        design never gives one of them does not count for this hazard.
    required
        True: a value that is not known is UNKNOWN. False: it is MARGINAL at best.
    chosen_by
        What picks the limit: "craft", "wearing", "light" or "any".
    shown_as
        How a value reads: a key of `ReasonContext.value`.
    lowered_by_reductions
        True where going alone lowers the limit.
    needs_past
        True where it is weighed only if there was an earlier check to compare with.
    only_where_made
        What happens where by design none of the forecasts gives what is needed. True: the
        hazard does not apply. False: the quantity is not known.
    quantity_label
        The quantity in everyday words, for lists.
    says
        The reason where a limit is passed; `{value}`, `{hour}`, `{limit}` and `{where}` are
        filled in.
    says_within
        The reason where the value stays within its limits; filled in likewise.
    says_unknown
        The reason where the quantity is not known; `{hour}` is filled in.
    says_undeclared
        What to say where the limit cannot be chosen, since the paddler has not declared what
        chooses it; empty where nothing needs declaring.
    remedy
        What the user can do when the quantity is not known.
    rationale
        Why it is a hazard.
    limitations
        What this hazard cannot see.

    Raises
    ------
    ValueError
        Where a text is missing.
    """

    name: str
    weighs: str
    lacking: tuple[str, ...]
    required: bool
    chosen_by: str
    shown_as: str
    lowered_by_reductions: bool
    needs_past: bool
    only_where_made: bool
    quantity_label: str
    says: str
    says_within: str
    says_unknown: str
    says_undeclared: str
    remedy: str
    rationale: str
    limitations: str

    def __post_init__(self) -> None:
        """Refuse a hazard with a text missing."""
        texts = ("name", "weighs", "quantity_label", *SENTENCES)
        missing = [field for field in texts if not getattr(self, field).strip()]
        if (self.chosen_by in DECLARED) != bool(self.says_undeclared):
            missing.append("says_undeclared")
        if missing:
            raise ValueError(f"hazard {self.name!r}: {', '.join(missing)} is missing.")
