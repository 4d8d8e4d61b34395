"""The shipped craft classes, and the user's own craft built on one."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any, Literal

from pydantic import Field, ValidationInfo, field_validator, model_validator

from safety_check import units
from safety_check.errors import PlanError
from safety_check.model.craft import Craft
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.propulsion import explain_refusal
from safety_check.settings.sourced import Basis
from safety_check.settings.spelling import suggest_spelling
from safety_check.settings.toml_file import Strict

QUANTITIES = {"cruise_speed": "speed", "length": "length", "beam": "length"}
GREATEST = {"speed": 10.0, "length": 20.0}  # m/s, m; no small craft is faster or longer


class CraftClass(Strict):
    """One craft class of crafts.toml; the file lists the units."""

    label: str
    propulsion: Literal["paddle", "pedal", "oars", "fins", "motor"]
    cruise_speed: float = Field(gt=0, le=10)
    hull_drag: float = Field(gt=0)
    drag_area: float = Field(gt=0)
    greatest_thrust: float = Field(gt=0)
    length: float = Field(gt=0)
    beam: float = Field(gt=0)
    leeway: str
    fails_by: str
    basis: Basis
    source: str
    since: date


class CraftsFile(Strict):
    """crafts.toml."""

    units: dict[str, str]
    craft: dict[str, CraftClass]


@cache
def load_craft_classes() -> dict[str, CraftClass]:
    """Return the shipped craft classes by name."""
    return toml_file.read(shipped_file("crafts.toml"), CraftsFile).craft


def require_class(kind: str) -> None:
    """Raise PlanError where a craft class is not known."""
    if kind not in load_craft_classes():
        known = list(load_craft_classes())
        raise PlanError(
            f"craft class {kind!r} is not known.{suggest_spelling(kind, known)} The classes are"
            f" {', '.join(known)}."
        )


class CraftTable(Strict):
    """[craft.NAME]: the user's own boat."""

    kind: str = Field(alias="class")
    cruise_speed: str | None = None
    length: str | None = None
    beam: str | None = None

    @field_validator("kind")
    @classmethod
    def _known(cls, kind: str) -> str:
        if kind not in load_craft_classes():
            raise ValueError(
                f"no such craft class; the classes are {', '.join(load_craft_classes())}"
            )
        return kind

    @field_validator(*QUANTITIES)
    @classmethod
    def _sound(cls, text: str | None, field: ValidationInfo) -> str | None:
        name = field.field_name or ""
        if text is not None:
            require_sound(text, QUANTITIES[name], name)
        return text

    @model_validator(mode="after")
    def _sustained(self) -> CraftTable:
        trouble = explain_refusal(build_craft("", self.kind, self))
        if trouble:
            raise ValueError(trouble)
        return self


def require_sound(text: str, kind: str, field: str) -> None:
    """Raise ValueError where a text is not a plausible figure of a small craft."""
    try:
        value = units.parse(text, kind, field)
    except PlanError as trouble:
        raise ValueError(str(trouble)) from trouble
    if not 0 < value <= GREATEST[kind]:
        raise ValueError(
            f"{field} must be greater than zero and at most {GREATEST[kind]:g} in SI units"
        )


def build_craft(name: str, kind: str, own: CraftTable | None) -> Craft:
    """Return a craft: the figures of its class, replaced where the user gave their own."""
    figures: dict[str, Any] = load_craft_classes()[kind].model_dump(
        exclude={"basis", "source", "since"}
    )
    for key, unit_kind in QUANTITIES.items():
        text = getattr(own, key, None)
        if text is not None:
            figures[key] = units.parse(text, unit_kind, key)
    return Craft(name=name, kind=kind, **figures)
