"""Values for the pages of the limits: of a craft, a water, or a craft on a water."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from safety_check.assess.verdict import reason_context
from safety_check.errors import PlanError
from safety_check.report.limits import LimitRow, limit_rows
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.settings import Settings
from safety_check.units import KINDS, Preferences
from safety_check.use_cases.own_units import at_own_waters
from safety_check.waters import files
from safety_check.web import own_labels
from safety_check.web.form_fields import parted

OF_ALL = ""


@dataclass(frozen=True)
class Whose:
    """For which craft and on which water limits are shown and set; empty for all of them."""

    craft: str
    water: str

    def page(self, quantity: str = "") -> str:
        """Return the address of all limits, or of one."""
        path = "/limits/one" if quantity else "/limits"
        said = {"craft": self.craft, "water": self.water, "quantity": quantity}
        return f"{path}?{urlencode({name: text for name, text in said.items() if text})}"


def limits(settings: Settings, whose: Whose) -> dict[str, Any]:
    """Return all limits that hold."""
    whose = _someones(settings, whose)
    rows, craft, note = _rows(settings, whose)
    return _choices(settings, whose) | {
        "shown": craft,
        "rows": [(row, whose.page(row.quantity)) for row in rows if row.kind],
        "others": [row for row in rows if not row.kind],
        "note": note,
    }


def _rows(settings: Settings, whose: Whose) -> tuple[tuple[LimitRow, ...], str, str]:
    """Return the rows of a craft on a water, the name of the craft, and a note on units."""
    water = files.load(whose.water, settings.folders.waters) if whose.water else None
    there = settings.at_water(water) if water else at_own_waters(settings)
    name = whose.craft or _usual_craft(settings)
    context = reason_context(there, there.craft(name), water=water)
    return limit_rows(context), name, there.preferences.note


def _someones(settings: Settings, whose: Whose) -> Whose:
    """Return whose limits are meant where neither a craft nor a water is named."""
    return whose if whose.craft or whose.water else Whose(_usual_craft(settings), OF_ALL)


def _usual_craft(settings: Settings) -> str:
    """Return the craft whose limits are shown where none is chosen."""
    try:
        return settings.craft_name(None)
    except PlanError:
        return next(iter([*settings.user.craft, *load_craft_classes()]))


def _choices(settings: Settings, whose: Whose) -> dict[str, Any]:
    classes = load_craft_classes()
    own = [(name, name) for name in settings.user.craft]
    waters = [(name, name) for name in files.names(settings.folders.waters)]
    return {
        "labels": own_labels.LIMIT,
        "whose": whose,
        "crafts": [
            (OF_ALL, "every craft, on one water"),
            *own,
            *((name, kind.label) for name, kind in classes.items()),
        ],
        "waters": [(OF_ALL, "every water"), *waters],
    }


def limit(
    settings: Settings, whose: Whose, quantity: str, given: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """Return the form of one limit.

    Raises
    ------
    PlanError
        Where no such limit can be set for that craft.
    """
    whose = _someones(settings, whose)
    rows, _, _ = _rows(settings, whose)
    row = next((row for row in rows if row.quantity == quantity and row.kind), None)
    if row is None:
        raise PlanError(
            f"{quantity[:60]!r} is not a limit that can be set. Choose one of the list."
        )
    kind = str(row.kind)
    unit = _usual_unit(row, at_own_waters(settings).preferences)
    own = next(
        (
            one
            for one in settings.user.limit
            if (one.craft or "", one.water or "", one.quantity)
            == (whose.craft, whose.water, quantity)
        ),
        None,
    )
    value = parted("marginal", (own and own.marginal) or "", unit)
    value |= parted("no_go", (own and own.no_go) or "", unit)
    value["loosen"] = "yes" if own and own.loosen else ""
    return {
        "labels": own_labels.LIMIT,
        "whose": whose,
        "row": row,
        "set": own is not None,
        "units": KINDS[kind],
        "back": whose.page(),
        "value": value | {"loosen": ""} | dict(given) if given is not None else value,
    }


def _usual_unit(row: LimitRow, prefer: Preferences) -> str:
    """Return the unit that a form proposes for a limit."""
    usual = {
        "wind limit": prefer.wind,
        "speed": "kt" if "sea_water" in row.quantity else prefer.pace,
        "temperature": prefer.temperature,
        "flow": "m3/s" if prefer.distance == "km" else "cfs",
    }
    distance = prefer.distance if row.quantity == "visibility_in_air" else prefer.wave
    return usual.get(str(row.kind), distance)
