"""Set and reset the user's own limits: of a craft, of a water, or of a craft on a water."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from safety_check.assess.verdict import require_sound_limit
from safety_check.errors import PlanError
from safety_check.settings.edit import edit_settings, replace_limit, replace_limits
from safety_check.settings.settings import Settings, load_settings
from safety_check.waters import files

SHORT = {
    "wind": "wind_speed",
    "gust": "wind_speed_of_gust",
    "gusts": "wind_speed_of_gust",
    "waves": "sea_surface_wave_significant_height",
    "wave": "sea_surface_wave_significant_height",
    "gauge": "river_gauge_height",
    "discharge": "river_discharge",
    "current": "sea_water_speed",
}


@dataclass(frozen=True)
class LimitWords:
    """A limit as the user says it.

    Parameters
    ----------
    quantity
        A quantity with a limit, or its short name.
    craft, water
        For which craft, on which water; None for all. Not both are None.
    marginal, no_go
        From which value on, with a unit; None for the default. Not both are None.
    loosen
        Whether the user confirms a limit that is looser than the default.
    """

    quantity: str
    craft: str | None = None
    water: str | None = None
    marginal: str | None = None
    no_go: str | None = None
    loosen: bool = False

    @property
    def name(self) -> str:
        """The quantity's full name."""
        return SHORT.get(self.quantity, self.quantity)


def set_limit(said: LimitWords, settings: Settings) -> LimitWords:
    """Store a limit; return it with its full names.

    Raises
    ------
    PlanError, ConfigError
        Where it is not allowed, with the reason; nothing is changed then.
    """
    if said.marginal is None and said.no_go is None:
        raise PlanError(
            "give a caution, a no-go, or both; nothing was changed.",
            field="marginal",
            remedy="The options are --marginal and --no-go.",
        )
    craft, water = whose_limit(said.craft, said.water, settings)
    if said.name.startswith("river_") and water is None:
        raise PlanError(
            f"{said.quantity}: a gauge belongs to one river. Name the water; nothing was changed.",
            field="water",
            remedy="Add --water NAME.",
        )
    words = {"craft": craft, "water": water, "quantity": said.name, "marginal": said.marginal,
             "no_go": said.no_go}  # fmt: skip
    table: dict[str, Any] = {key: word for key, word in words.items() if word}
    table |= {"loosen": True} if said.loosen else {}

    def edit(document: Any) -> None:
        require_sound_limit(load_settings(), table)
        replace_limit(document, craft, said.name, [table], water)

    edit_settings(edit)
    return LimitWords(said.name, craft, water, said.marginal, said.no_go, said.loosen)


def whose_limit(
    craft: str | None, water: str | None, settings: Settings
) -> tuple[str | None, str | None]:
    """Return craft and water of a limit, the water as its file spells it."""
    if craft is None and water is None:
        raise PlanError(
            "whose limit? Name a craft, a water, or both; nothing was changed.",
            remedy="The options are --craft and --water.",
        )
    folder = settings.folders.waters
    return craft, None if water is None else files.load(water, folder).name


def reset_limits(craft: str | None, water: str | None, quantity: str | None) -> tuple[str, ...]:
    """Remove own limits of a craft, of a water or of both; return their quantities.

    Parameters
    ----------
    craft, water
        Exactly as they were set.
    quantity
        One limit, or its short name; None removes all of them.

    Raises
    ------
    PlanError
        Where there is none.
    """
    if craft is None and water is None:
        raise PlanError(
            "whose limit? Name a craft, a water, or both; nothing was changed.",
            remedy="The options are --craft and --water.",
        )
    name = quantity and SHORT.get(quantity, quantity)
    gone: list[str] = []

    def edit(document: Any) -> None:
        kept: list[Any] = []
        for limit in document.get("limit", []):
            same = limit.get("craft") == craft and limit.get("water") == water
            if same and name in (None, limit.get("quantity")):
                gone.append(str(limit["quantity"]))
            else:
                kept.append(limit)
        replace_limits(document, kept)

    edit_settings(edit)
    if not gone:
        whom = describe_whose(craft, water)
        raise PlanError(
            f"{whom} has no personal limit{f' for {name}' if name else ''}.",
            remedy="See: safety-check limits show",
        )
    return tuple(gone)


def describe_whose(craft: str | None, water: str | None) -> str:
    """Return what a limit is for, quoted.

    Examples
    --------
    >>> describe_whose("my kayak", "Orvel Lake")
    "'my kayak' on 'Orvel Lake'"
    """
    return " on ".join(repr(name) for name in (craft, water) if name)
