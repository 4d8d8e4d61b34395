"""Bring an error to the field of the form that it concerns, in the words of a form."""

from __future__ import annotations

from collections.abc import Mapping

from safety_check.errors import SafetyCheckError

WHOLE = ""  # the name of the form itself, for what concerns no single field
NAMED_OTHERWISE = {  # what an error names → the field of a form; else both have the same name
    "water_temp": ("water_temperature",),
    "launch": ("point", "places"),
    "water": ("place", "places"),
    "place": ("places",),
    "from": ("wind_from",),
    "wind_speed": ("wind",),
    "class": ("kind",),
}


def at_fields(trouble: SafetyCheckError, labels: Mapping[str, str]) -> dict[str, str]:
    """Return what is wrong by the name of the field, without its label.

    Parameters
    ----------
    trouble
        The error.
    labels
        The labels of the form, by field; an error of any other field concerns the whole form.

    Examples
    --------
    >>> from safety_check.errors import PlanError
    >>> at_fields(PlanError("'5' has no unit.", field="--from-shore"), {"from_shore": "Shore"})
    {'from_shore': "'5' has no unit."}
    >>> at_fields(PlanError("'5' has no unit.", field="--depth"), {"from_shore": "Shore"})
    {'': "Depth: '5' has no unit."}
    """
    named = name_of(trouble.field)
    found = [name for name in (named, *NAMED_OTHERWISE.get(named, ())) if name in labels]
    return {found[0]: _sentence(trouble.fault)} if found else {WHOLE: in_words(trouble)}


def name_of(field: str) -> str:
    """Return the last word of what an error names, as forms name their fields.

    Examples
    --------
    >>> name_of("--from-shore"), name_of("settings.toml, limit (gust, my kayak), no_go")
    ('from_shore', 'no_go')
    """
    return field.split()[-1].lstrip("-").replace("-", "_") if field.strip() else ""


def in_words(trouble: SafetyCheckError) -> str:
    """Return an error without any option of the command line."""
    named = name_of(trouble.field).replace("_", " ").capitalize()
    return f"{named}: {trouble.fault}" if named else _sentence(trouble.fault)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
