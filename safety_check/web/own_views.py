"""Values for the pages of what the user says once: what is missing, paddler, contact, craft."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any
from urllib.parse import quote, urlencode

from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.settings import Settings
from safety_check.units import Preferences
from safety_check.use_cases.own_units import at_own_waters
from safety_check.use_cases.readiness import Lack, find_lacks
from safety_check.waters import files
from safety_check.web import own_labels
from safety_check.web.form_fields import parted
from safety_check.web.session import Session

PADDLER_PAGE = "/paddler"
CRAFT_UNITS = {
    "cruise_speed": ("mph", "km/h", "kt", "m/s"),
    "troll": ("mph", "km/h", "kt", "m/s"),
    "length": ("ft", "m", "in"),
    "beam": ("in", "ft", "m"),
}


def own(session: Session) -> dict[str, Any]:
    """Return all that the user has said, and what keeps every check from being a GO."""
    settings, waters = session.settings(), session.waters()
    user = settings.user
    classes = load_craft_classes()
    return {
        "lacks": [(lack, _page_of(lack)) for lack in find_lacks(settings, waters)],
        "waters": [(water, water_page(water.name)) for water in waters],
        "crafts": [
            (name, classes[craft.kind].label, name == _default(settings), craft_page(name))
            for name, craft in user.craft.items()
        ],
        "paddler": [(label, said) for _, label, said in _declared(settings)],
        "contact": [
            (label, text)
            for key, label in own_labels.CONTACT.items()
            if (text := getattr(user.contact, key))
        ],
        "own_limits": len(user.limit),
    }


def _default(settings: Settings) -> str | None:
    own = list(settings.user.craft)
    return settings.user.default_craft or (own[0] if len(own) == 1 else None)


def _page_of(lack: Lack) -> str:
    if lack.about == "paddler":
        return PADDLER_PAGE
    return water_page(lack.water) if lack.water else "/waters/add"


def water_page(name: str) -> str:
    """Return the address of a water's page."""
    return f"/water/{quote(files.slug(name), safe='')}"


def ramp_page(name: str) -> str:
    """Return the address of the page that points out a ramp of a water."""
    return f"{water_page(name)}/ramp"


def craft_page(name: str) -> str:
    """Return the address of a craft's page."""
    return f"/craft?{urlencode({'craft': name})}"


def _declared(settings: Settings) -> list[tuple[str, str, str]]:
    """Return what the paddler declared: key, label and words."""
    said = asdict(settings.paddler)
    keys = {True: "yes", False: "no"}
    return [
        (key, label, own_labels.words_for(key).get(keys.get(said[key], said[key]), "not said"))
        for key, label in own_labels.PADDLER.items()
    ]


def paddler(settings: Settings, given: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the form of what the paddler brings; `given` is what was typed before an error."""
    said = {True: "yes", False: "no", None: own_labels.NOT_SAID}
    declared = asdict(settings.paddler)
    value = {key: said.get(declared[key], declared[key]) for key in own_labels.PADDLER}
    return {
        "labels": own_labels.PADDLER,
        "choices": {
            key: [(own_labels.NOT_SAID, "not said"), *own_labels.words_for(key).items()]
            for key in own_labels.PADDLER
        },
        "value": value | dict(given or {}),
    }


def contact(settings: Settings, given: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the form of the shore contact and the user's own."""
    value = {key: getattr(settings.user.contact, key) for key in own_labels.CONTACT}
    return {"labels": own_labels.CONTACT, "value": value | dict(given or {})}


def craft(settings: Settings, name: str, given: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the form of a craft: one of the user's, or a new one where the name is not known."""
    known = settings.user.craft.get(name)
    prefer = at_own_waters(settings).preferences
    units = _craft_units(prefer)
    value = {"name": name if known else "", "kind": known.kind if known else ""}
    for key, unit in units.items():
        value |= parted(key, (getattr(known, key) if known else None) or "", unit)
    value |= _band(value.pop("troll"))
    first = not settings.user.craft
    value["default"] = "yes" if first or (known and name == _default(settings)) else ""
    return {
        "labels": own_labels.CRAFT,
        "known": name if known else "",
        "classes": [(key, kind.label) for key, kind in load_craft_classes().items()],
        "units": CRAFT_UNITS,
        "value": value | {"default": ""} | dict(given) if given else value,
    }


def _craft_units(prefer: Preferences) -> dict[str, str]:
    small = prefer.distance == "km"
    return {
        "cruise_speed": prefer.pace,
        "troll": prefer.pace,
        "length": "m" if small else "ft",
        "beam": "m" if small else "in",
    }


def _band(text: str) -> dict[str, str]:
    """Return the two numbers of a band such as "1.0-2.0"."""
    slow, _, fast = text.replace("–", "-").partition("-")
    return {"troll": slow.strip(), "troll_fast": fast.strip()}
