"""Shipped config and the user's own file, validated."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationInfo, field_validator, model_validator

from safety_check import units
from safety_check.errors import PlanError
from safety_check.model.craft import Craft, Paddler
from safety_check.model.verdict import Limit
from safety_check.settings import toml_file
from safety_check.settings.propulsion import explain_refusal
from safety_check.settings.toml_file import Strict
from safety_check.units import Preferences

Basis = Literal["published", "common_practice", "judgement"]


# -- where things are ----------------------------------------------------------------------


@dataclass(frozen=True)
class Folders:
    """Where the user's own files, the store and the cache are."""

    config: Path
    data: Path
    cache: Path

    @property
    def settings_file(self) -> Path:
        """The user's settings."""
        return self.config / "settings.toml"

    @property
    def waters(self) -> Path:
        """One GeoJSON file a water."""
        return self.config / "waters"


def folders() -> Folders:
    """Return the platform's folders, or those under `SAFETY_CHECK_HOME`."""
    home = os.environ.get("SAFETY_CHECK_HOME")
    if home:
        root = Path(home).expanduser()
        return Folders(config=root, data=root / "data", cache=root / "cache")
    from platformdirs import PlatformDirs

    dirs = PlatformDirs("safety-check", appauthor=False)
    return Folders(dirs.user_config_path, dirs.user_data_path, dirs.user_cache_path)


def shipped_file(name: str) -> Path:
    """Return a file of the shipped config: in the wheel when installed, else in the checkout."""
    package = Path(__file__).parents[1]
    inside = package / "config"
    return (inside if inside.exists() else package.parent / "config") / name


# -- shipped config ------------------------------------------------------------------------


class CraftClass(Strict):
    """One craft class of crafts.toml; units stand in the file's own table."""

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


class LimitEntry(Strict):
    """One [[limit]] of limits.toml."""

    quantity: str
    applies_to: list[str]
    unit: str
    worse: Literal["higher", "lower"]
    marginal: float | None = None
    no_go: float | None = None
    basis: Basis
    source: str
    since: date
    checked: date

    @model_validator(mode="after")
    def _ordered(self) -> LimitEntry:
        require_order(self.marginal, self.no_go, self.worse)
        return self


class ReductionEntry(Strict):
    """One [[step]] of limits.toml: what lowers the wind limits, and by how much."""

    when: str
    above: float | None = None
    below: float | None = None
    unit: str
    beaufort: float = Field(ge=0)
    basis: Basis
    source: str
    since: date
    checked: date


class GreatestReduction(Strict):
    """[greatest_fall] of limits.toml: the most that all steps together lower a limit."""

    beaufort: float = Field(ge=0)
    basis: Basis
    source: str
    since: date
    checked: date


class LimitsFile(Strict):
    """limits.toml."""

    limit: list[LimitEntry]
    step: list[ReductionEntry]
    greatest_fall: GreatestReduction


def require_order(marginal: float | None, no_go: float | None, worse: str) -> None:
    """Raise ValueError where the no-go bound would be reached before the marginal one."""
    if marginal is None or no_go is None:
        return
    if (no_go < marginal) if worse == "higher" else (no_go > marginal):
        side = "below" if worse == "higher" else "above"
        raise ValueError(
            f"no_go = {no_go:g} lies {side} marginal = {marginal:g}; a no-go limit can't be"
            " reached before the marginal one: change one of the two"
        )


@cache
def craft_classes() -> dict[str, CraftClass]:
    """Return the shipped craft classes by name."""
    return toml_file.read(shipped_file("crafts.toml"), CraftsFile).craft


@cache
def _limits_file() -> LimitsFile:
    return toml_file.read(shipped_file("limits.toml"), LimitsFile)


@cache
def default_limits() -> dict[tuple[str, str], Limit]:
    """Return the newest shipped limit for each (quantity, applies_to)."""
    return newest(_limits_file().limit)


def newest(entries: Sequence[LimitEntry]) -> dict[tuple[str, str], Limit]:
    """Return the limit with the latest `since` for each (quantity, applies_to)."""
    return {
        (entry.quantity, whom): Limit(**{**entry.model_dump(), "applies_to": whom})
        for entry in sorted(entries, key=lambda each: each.since)
        for whom in entry.applies_to
    }


@cache
def load_reductions() -> tuple[ReductionEntry, ...]:
    """Return what lowers the wind limits."""
    return tuple(_limits_file().step)


# -- the user's own file -------------------------------------------------------------------


class UnitsTable(Strict):
    """[units]: what the user reads in."""

    wind: Literal["mph", "kt", "km/h", "m/s"] = "mph"
    wave: Literal["ft", "m"] = "ft"
    distance: Literal["mi", "km", "nmi"] = "mi"
    temperature: Literal["F", "C"] = "F"


class PaddlerTable(Strict):
    """[paddler]: what the person brings."""

    life_jacket: Literal["worn", "carried", "none"] | None = None
    wearing: Literal["none", "wetsuit", "drysuit"] | None = None
    company: Literal["alone", "group"] | None = None
    light: bool | None = None
    sound_signal: bool | None = None
    means_to_call: bool | None = None
    self_rescue: bool | None = None


class CraftTable(Strict):
    """[craft.NAME]: the user's own boat."""

    kind: str = Field(alias="class")
    cruise_speed: str | None = None
    length: str | None = None
    beam: str | None = None

    @field_validator("kind")
    @classmethod
    def _known(cls, kind: str) -> str:
        if kind not in craft_classes():
            raise ValueError(f"no such craft class; the classes are {', '.join(craft_classes())}")
        return kind

    @field_validator("cruise_speed", "length", "beam")
    @classmethod
    def _sound(cls, text: str | None, field: ValidationInfo) -> str | None:
        kind = "speed" if field.field_name == "cruise_speed" else "length"
        if text is not None:
            require_sound(text, kind, field.field_name or "")
        return text

    @model_validator(mode="after")
    def _kept_up(self) -> CraftTable:
        trouble = explain_refusal(_craft("", self.kind, self))
        if trouble:
            raise ValueError(trouble)
        return self


class LimitTable(Strict):
    """[[limit]]: a limit of the user's own for one craft."""

    craft: str
    quantity: str
    marginal: str | None = None
    no_go: str | None = None
    loosen: bool = False


class OddsTable(Strict):
    """[odds]: what share of the forecasts decides, and what is done to them before.

    `dressing` widens them by how such forecasts err, `local_correction` by how they erred at
    this launch; `may_improve` lets the latter lower and narrow them too. A model of a single
    run tells no spread and is taken as it came, for the limits have a margin of their own;
    `lone_runs` widens it too.
    """

    tolerance: float = Field(default=0.1, ge=0.01, le=0.5)
    dressing: bool = True
    local_correction: bool = True
    may_improve: bool = False
    lone_runs: bool = False


class ContactTable(Strict):
    """[contact]: for services that ask who calls, and for the float plan.

    `emergency_name` and `emergency_phone` are of whoever waits ashore; `vehicle` is what stands
    at the launch; `colours` is what craft and clothing look like from far off.
    """

    email: str = ""
    name: str = ""
    phone: str = ""
    emergency_name: str = ""
    emergency_phone: str = ""
    vehicle: str = ""
    colours: str = ""


class NotifyTable(Strict):
    """[notify]: where a watch sends notices; nowhere until the user says so."""

    to: str = ""


class UserSettings(Strict):
    """settings.toml, the user's own file."""

    default_craft: str | None = None
    units: UnitsTable = UnitsTable()
    paddler: PaddlerTable = PaddlerTable()
    craft: dict[str, CraftTable] = Field(default_factory=dict)
    limit: list[LimitTable] = Field(default_factory=list)
    odds: OddsTable = OddsTable()
    contact: ContactTable = ContactTable()
    notify: NotifyTable = NotifyTable()
    services: dict[str, str] = Field(default_factory=dict)


GREATEST = {"speed": 10.0, "length": 20.0}  # m/s, m; no small craft is faster or longer


def require_sound(text: str, kind: str, field: str) -> None:
    """Raise ValueError where a text is no figure of a small craft."""
    try:
        value = units.parse(text, kind, field)
    except PlanError as trouble:
        raise ValueError(str(trouble)) from trouble
    if not 0 < value <= GREATEST[kind]:
        raise ValueError(f"{field} must be more than nothing and at most {GREATEST[kind]:g} in SI")


@dataclass(frozen=True)
class Settings:
    """All that a check needs to know of the user."""

    folders: Folders
    user: UserSettings

    @property
    def preferences(self) -> Preferences:
        """The units that the user reads in."""
        return Preferences(**self.user.units.model_dump())

    @property
    def paddler(self) -> Paddler:
        """What the person brings, as declared so far."""
        return Paddler(**self.user.paddler.model_dump())

    def craft_name(self, asked: str | None) -> str:
        """Return the craft that is meant: the one named, the default, or the only one."""
        own = list(self.user.craft)
        name = asked or self.user.default_craft or (own[0] if len(own) == 1 else None)
        if name is None:
            raise PlanError(
                "which craft? Name one with --craft, or add yours: safety-check craft add"
                f' "my craft" --class {next(iter(craft_classes()))} (see safety-check craft list)'
            )
        return name

    def craft(self, name: str) -> Craft:
        """Return a craft by name: one of the user's, or a bare class."""
        own = self.user.craft.get(name)
        kind = own.kind if own else name
        if kind not in craft_classes():
            known = [*self.user.craft, *craft_classes()]
            raise PlanError(
                f"craft {name!r} is not known.{nearest(name, known)} Add it with: safety-check"
                f' craft add "{name}" --class {next(iter(craft_classes()))}'
            )
        return _craft(name, kind, own)


def load() -> Settings:
    """Return the user's settings, checked."""
    where = folders()
    return Settings(where, toml_file.read(where.settings_file, UserSettings))


def _craft(name: str, kind: str, own: CraftTable | None) -> Craft:
    figures: dict[str, Any] = craft_classes()[kind].model_dump(exclude={"basis", "source", "since"})
    for key, unit_kind in (("cruise_speed", "speed"), ("length", "length"), ("beam", "length")):
        text = getattr(own, key, None)
        if text is not None:
            figures[key] = units.parse(text, unit_kind, key)
    return Craft(name=name, kind=kind, **figures)


def nearest(name: str, known: list[str]) -> str:
    """Return " Did you mean …?" for the nearest known name, or nothing."""
    from difflib import get_close_matches

    folded = {each.casefold(): each for each in known}
    close = get_close_matches(name.casefold(), folded, n=1, cutoff=0.5)
    return f" Did you mean {folded[close[0]]!r}?" if close else ""


def edit_settings(edit: Any) -> UserSettings:
    """Apply an edit to the user's file, comments kept, and write it only if it is sound.

    Parameters
    ----------
    edit
        A function that takes the open TOML document and changes it.
    """
    path = folders().settings_file
    document = toml_file.edit(path)
    edit(document)
    new = toml_file.validate(document.unwrap(), UserSettings, path.name)
    toml_file.save(path, document.as_string())
    return new


@cache
def greatest_reduction() -> float:
    """Return the most that all steps together lower a wind limit, in Beaufort numbers."""
    return _limits_file().greatest_fall.beaufort


def require_class(kind: str) -> None:
    """Raise PlanError where a craft class is not known."""
    if kind not in craft_classes():
        known = list(craft_classes())
        raise PlanError(
            f"craft class {kind!r} is not known.{nearest(kind, known)} The classes are"
            f" {', '.join(known)}."
        )


def replace_limits(document: Any, tables: Sequence[Any]) -> None:
    """Put limit tables in place of those that an open settings document has."""
    import tomlkit

    limits = tomlkit.aot()
    for table in tables:
        limits.append(table)
    document.pop("limit", None)
    if tables:
        document["limit"] = limits


def typed(text: str) -> str | float | bool:
    """Return a value as TOML would read it bare; a text where it is none.

    Examples
    --------
    >>> typed("0.2"), typed("true"), typed("kt")
    (0.2, True, 'kt')
    """
    if text in ("true", "false"):
        return text == "true"
    try:
        return float(text)
    except ValueError:
        return text
