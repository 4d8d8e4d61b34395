"""Values for the pages about a water: what was found, and what is known of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from safety_check.model.place import Water
from safety_check.model.water_estimate import EXCLUSIONS
from safety_check.report.local_rules import describe_rule
from safety_check.settings.settings import Settings
from safety_check.units import Preferences, in_unit, show
from safety_check.use_cases.find_waters import Candidates
from safety_check.waters import files
from safety_check.waters.open_water import describe_size
from safety_check.web import water_labels
from safety_check.web.own_views import water_page
from safety_check.web.session import Session

UNITS = {
    "elevation_unit": "ft",
    "drive_unit": "min",
    "mean_depth_unit": "ft",
    "dries_unit": "ft",
}


def add(given: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the forms that add a water."""
    return {
        "labels": water_labels.ADD,
        "value": dict.fromkeys(water_labels.ADD, "") | dict(given or {}),
    }


def found(
    session: Session, key: str, candidates: Candidates, given: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """Return the form that chooses a water of those found, and names it."""
    first = candidates.options[0]
    unit = session.settings().preferences.wave
    if candidates.near:
        unit = _units(session.settings(), candidates.near).wave
    value = {"choice": "0", "name": first.name, "depth": "", "depth_unit": unit, "kind": ""}
    return {
        "labels": water_labels.FOUND,
        "key": key,
        "options": [(str(number), one.title) for number, one in enumerate(candidates.options)],
        "notes": candidates.notes,
        "kinds": water_labels.KINDS,
        "depth_units": water_labels.DEPTH_UNITS,
        "value": value | {"replace": ""} | dict(given or {}),
    }


def _units(settings: Settings, place: tuple[float, float]) -> Preferences:
    return replace(settings, place=place).preferences


def water(
    session: Session, name: str, given: Mapping[str, str] | None = None, facts: bool = True
) -> dict[str, Any]:
    """Return what is known of a water, and the forms that say more.

    `given` is what was typed before an error, in the form of its facts or in that of a rule.
    """
    settings = session.settings()
    known = files.load(name, settings.folders.waters)
    prefer = settings.at_water(known).preferences
    return {
        "labels": water_labels.FACTS | water_labels.RULE,
        "water": known,
        "page": water_page(known.name),
        "size": describe_size(known) if known.shoreline else "",
        "depth": "" if known.depth is None else show(known.depth, "length", prefer.wave),
        "rules": [(rule.name, describe_rule(rule, prefer)) for rule in known.rules],
        "launches": [("", "none"), *((one.name, one.name) for one in known.launches)],
        "wind_units": water_labels.WIND_UNITS,
        "kinds": water_labels.KINDS,
        "depths": water_labels.DEPTHS,
        "depth_units": water_labels.DEPTH_UNITS,
        "drive_units": water_labels.DRIVE_UNITS,
        "exclusions": [(field, EXCLUSIONS[one]) for field, one in water_labels.EXCLUDED.items()],
        "value": _values(known, prefer, given or {}, facts and given is not None),
    }


def _values(
    known: Water, prefer: Preferences, given: Mapping[str, str], refused: bool
) -> dict[str, str]:
    """Return the values of the forms; of refused facts what is not ticked was not sent."""
    before = _blank() if refused else _facts(known, prefer)
    return before | {"add_wind_unit": prefer.pace} | dict(given)


def _blank() -> dict[str, str]:
    names = ("kind", "bar", "dam", "elevation", "drive", "estimate", "depth", "mean_depth")
    others = ("launch", "dries", *water_labels.RULE, *water_labels.EXCLUDED)
    return dict.fromkeys([*names, *others], "") | UNITS


def _facts(known: Water, prefer: Preferences) -> dict[str, str]:
    basis, unit = known.estimate, prefer.wave
    said = {
        "kind": known.kind or "",
        "bar": "yes" if known.bar else "",
        "dam": "yes" if known.dam else "",
        "elevation": _in(known.elevation, "length", unit),
        "elevation_unit": unit,
        "drive": _in(known.drive, "duration", "min"),
        "estimate": "yes" if basis else "",
        "depth": basis.depth if basis else "",
        "mean_depth": _in(basis.mean_depth if basis else None, "length", unit),
        "mean_depth_unit": unit,
        "dries_unit": unit,
    }
    ruled_out = (basis.excluded if basis else None) or ()
    ticked = {field: "yes" for field, one in water_labels.EXCLUDED.items() if one in ruled_out}
    return _blank() | said | ticked


def _in(value: float | None, kind: str, unit: str) -> str:
    return "" if value is None else f"{round(in_unit(value, kind, unit), 1):g}"
