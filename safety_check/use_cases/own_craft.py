"""Add, change and remove the user's own craft."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from safety_check.errors import PlanError
from safety_check.settings.crafts import (
    QUANTITIES,
    CraftTable,
    build_craft,
    parse_band,
    require_class,
    require_sound,
)
from safety_check.settings.edit import edit_settings, replace_limits
from safety_check.settings.propulsion import explain_refusal
from safety_check.settings.spelling import suggest_spelling
from safety_check.waters.geojson import LONGEST_NAME, describe

FIGURES = ("cruise_speed", "length", "beam", "troll")


def add_craft(name: str, kind: str, figures: Mapping[str, str | None], default: bool) -> None:
    """Store a craft, in place of one of the same name.

    Parameters
    ----------
    name
        What the user calls it.
    kind
        Its craft class.
    figures
        The user's own, by a name of `FIGURES`, each with a unit; one that is missing or None is
        that of the class.
    default
        Whether a check uses it when no craft is named.

    Raises
    ------
    PlanError, ConfigError
        Where the name, the class or a figure cannot be used; nothing is changed then.
    """
    if not name.strip() or describe(name, LONGEST_NAME) != name:
        raise PlanError(
            f"{name[: 2 * LONGEST_NAME]!r} is not valid for a craft: use one line of at most"
            f" {LONGEST_NAME} printable characters. Choose another.",
            field="name",
        )
    require_class(kind)
    given = {key: text for key in FIGURES if (text := figures.get(key)) is not None}
    _require_plausible(kind, given)

    def edit(document: Any) -> None:
        document.setdefault("craft", {})[name] = {"class": kind, **given}
        if default:
            document["default_craft"] = name

    edit_settings(edit)


def _require_plausible(kind: str, figures: Mapping[str, str]) -> None:
    """Refuse figures that no such craft has, each by its name."""
    for key, text in figures.items():
        if key in QUANTITIES:
            require_sound(text, QUANTITIES[key], key)
        else:
            parse_band(text)
    table: dict[str, Any] = {"kind": kind, **figures}
    craft = build_craft("", kind, CraftTable.model_construct(**table))
    if trouble := explain_refusal(craft):
        raise PlanError(trouble.partition(": ")[2] or trouble, field="cruise_speed")


def remove_craft(name: str) -> None:
    """Remove a craft and its limits.

    Raises
    ------
    PlanError
        Where the user has no such craft.
    """

    def edit(document: Any) -> None:
        own = document.get("craft", {})
        if name not in own:
            raise PlanError(
                f"you have no craft {name!r}.{suggest_spelling(name, list(own))}",
                remedy="See: safety-check craft list",
            )
        del own[name]
        if document.get("default_craft") == name:
            del document["default_craft"]
        kept = [limit for limit in document.get("limit", []) if limit.get("craft") != name]
        if "limit" in document and len(kept) != len(document["limit"]):
            replace_limits(document, kept)

    edit_settings(edit)
