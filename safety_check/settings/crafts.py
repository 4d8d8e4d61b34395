"""The shipped craft classes, and the user's own craft built on one."""

from __future__ import annotations

import re
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
_BAND = re.compile(r"(\d+\.?\d*|\.\d+)\s*(?:-|–|to)\s*(\d+\.?\d*|\.\d+)\s*(\D.*)")
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


class TrollTable(Strict):
    """[troll] of crafts.toml: the band where the user gave none. [m s⁻¹]."""

    slow: float = Field(gt=0)
    fast: float = Field(gt=0)
    basis: Basis
    source: str
    since: date
    checked: date


class CraftsFile(Strict):
    """crafts.toml."""

    units: dict[str, str]
    troll: TrollTable
    craft: dict[str, CraftClass]


def load_craft_classes() -> dict[str, CraftClass]:
    """Return the shipped craft classes by name."""
    return _crafts_file().craft


def load_troll_band() -> TrollTable:
    """Return the trolling speeds used where the user gave none."""
    return _crafts_file().troll


@cache
def _crafts_file() -> CraftsFile:
    return toml_file.read(shipped_file("crafts.toml"), CraftsFile)


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
    troll: str | None = None

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
            try:
                require_sound(text, QUANTITIES[name], name)
            except PlanError as trouble:
                raise ValueError(str(trouble)) from trouble
        return text

    @field_validator("troll")
    @classmethod
    def _band(cls, text: str | None) -> str | None:
        if text is not None:
            try:
                parse_band(text)
            except PlanError as trouble:
                raise ValueError(str(trouble)) from trouble
        return text

    @model_validator(mode="after")
    def _sustained(self) -> CraftTable:
        trouble = explain_refusal(build_craft("", self.kind, self))
        if trouble:
            raise ValueError(trouble)
        return self


def parse_band(text: str) -> tuple[float, float]:
    """Return the slowest and the fastest speed of "1.0-2.0 mph", or of one speed. [m s⁻¹].

    Raises
    ------
    PlanError
        Where it is not such a band, or not a plausible speed of a small craft.

    Examples
    --------
    >>> parse_band("1.0-2.0 mph"), parse_band("3 km/h")
    ((0.44704, 0.89408), (0.8333333333333334, 0.8333333333333334))
    """
    found = _BAND.fullmatch(text.strip())
    ends = (f"{found[1]} {found[3]}", f"{found[2]} {found[3]}") if found else (text, text)
    slow, fast = (units.parse(one, "speed", "troll") for one in ends)
    if not 0 < slow <= fast <= GREATEST["speed"]:
        raise PlanError(
            f"{text[:40]!r}: give the slower speed first, both greater than zero and at most"
            f' {GREATEST["speed"]:g} m/s, for example "1.0-2.0 mph".',
            field="troll",
        )
    return slow, fast


def require_sound(text: str, kind: str, field: str) -> None:
    """Raise PlanError where a text is not a plausible figure of a small craft."""
    value = units.parse(text, kind, field)
    if not 0 < value <= GREATEST[kind]:
        raise PlanError(
            f"{text!r}: it must be greater than zero and at most {GREATEST[kind]:g} in SI units.",
            field=field,
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
    band = load_troll_band()
    own_band = own.troll if own else None
    figures["troll"] = parse_band(own_band) if own_band else (band.slow, band.fast)
    return Craft(name=name, kind=kind, **figures)
