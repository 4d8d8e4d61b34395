"""Turn the forms about a water into the words of the use cases."""

from __future__ import annotations

from collections.abc import Mapping

from safety_check.model.place import LocalRule
from safety_check.units import parse
from safety_check.use_cases.water_facts import NOTHING, FactWords
from safety_check.use_cases.water_movement import MovementWords
from safety_check.use_cases.water_notes import read_rule
from safety_check.web import water_labels
from safety_check.web.form_fields import with_units


def depth(form: Mapping[str, str]) -> float | None:
    """Return the depth of a form [m]; None where it is empty."""
    text = with_units(form).get("depth", "").strip()
    return parse(text, "length", "depth") if text else None


def facts(form: Mapping[str, str]) -> FactWords:
    """Return what a form says of a water; an empty field is not said anew."""
    said = {name: text.strip() for name, text in with_units(form).items() if text.strip()}
    allowed = "estimate" in form
    ruled_out = [one for field, one in water_labels.EXCLUDED.items() if field in form]
    moves = MovementWords(
        said.get("kind"), "bar" in form, "dam" in form, said.get("launch"), said.get("dries")
    )
    return FactWords(
        elevation=said.get("elevation"),
        drive=said.get("drive"),
        movement=moves,
        estimate=allowed,
        depth=said.get("mean_depth", said.get("depth")) if allowed else None,
        excluded=(ruled_out or [NOTHING]) if allowed else None,
    )


def rule(form: Mapping[str, str]) -> LocalRule:
    """Return the local rule of a form."""
    said = {name: text.strip() for name, text in with_units(form).items() if text.strip()}
    return read_rule(
        said.get("name", ""), said.get("add_wind", ""), said.get("hours"), said.get("wind_from")
    )
