"""The tables of settings.toml, the user's own file."""

from __future__ import annotations

from typing import Literal, get_args

from pydantic import Field, model_validator

from safety_check.errors import PlanError
from safety_check.settings.crafts import CraftTable
from safety_check.settings.toml_file import Strict


class UnitsTable(Strict):
    """[units]: the units that the user reads; one that is not set follows the water's country."""

    wind: Literal["mph", "kt", "km/h", "m/s", "Bft"] | None = None
    wave: Literal["ft", "m"] | None = None
    distance: Literal["mi", "km", "nmi"] | None = None
    temperature: Literal["F", "C"] | None = None


LifeJacket = Literal["worn", "carried", "none"]
Clothing = Literal["none", "wetsuit", "drysuit"]
Company = Literal["alone", "group"]
PADDLER_CHOICES: dict[str, tuple[str, ...]] = {
    "life_jacket": get_args(LifeJacket),
    "wearing": get_args(Clothing),
    "company": get_args(Company),
}


class PaddlerTable(Strict):
    """[paddler]: what the person brings."""

    life_jacket: LifeJacket | None = None
    wearing: Clothing | None = None
    company: Company | None = None
    light: bool | None = None
    sound_signal: bool | None = None
    means_to_call: bool | None = None
    self_rescue: bool | None = None
    within_capacity: bool | None = None


def require_choice(name: str, word: str) -> None:
    """Refuse a word that no one can declare for a key of [paddler] with a choice of words.

    Raises
    ------
    PlanError
        With the words to choose from.
    """
    choices = PADDLER_CHOICES.get(name, (word,))
    if word not in choices:
        raise PlanError(
            f"{word!r} is not one of the options. Give {', '.join(choices[:-1])} or {choices[-1]}.",
            field=f"--{name}".replace("_", "-"),
        )


class LimitTable(Strict):
    """[[limit]]: a limit of the user's own for one craft, for one water, or for both together."""

    craft: str | None = None
    water: str | None = None
    quantity: str
    marginal: str | None = None
    no_go: str | None = None
    loosen: bool = False

    @model_validator(mode="after")
    def _of_something(self) -> LimitTable:
        if self.craft is None and self.water is None:
            raise ValueError("it names neither a craft nor a water. Add craft or water")
        return self


class SavedPlan(Strict):
    """[plan.NAME]: a trip that is checked by its name; every part but the water may be left out.

    `start` is the usual clock time. What the paddler wears and brings overrides [paddler].
    """

    water: str
    launch: str | None = None
    craft: str | None = None
    start: str | None = None
    hours: str | None = None
    reach: str | None = None
    from_shore: str | None = None
    route: str | None = None
    night: bool = False
    life_jacket: LifeJacket | None = None
    wearing: Clothing | None = None
    company: Company | None = None
    light: bool | None = None


DEFAULT_TOLERANCE = 0.1  # one forecast in ten decides


class OddsTable(Strict):
    """[odds]: the share of the forecasts that decides, and how they are calibrated first.

    `dressing` shifts and widens every run of every model by the errors of such forecasts, and
    `local_correction` by their errors at this launch; `may_improve` lets the latter lower and
    narrow them too. Where winds are widened, twice the `tolerance` decides. Without an ensemble
    or past days there are no odds, and the limits' own margin covers the error;
    `lone_runs` widens single runs there too. `loosen` confirms a tolerance above the default.
    """

    tolerance: float = Field(default=DEFAULT_TOLERANCE, ge=0.01, le=0.5)
    loosen: bool = False
    dressing: bool = True
    local_correction: bool = True
    may_improve: bool = False
    lone_runs: bool = False

    @model_validator(mode="after")
    def _confirmed(self) -> OddsTable:
        if self.tolerance > DEFAULT_TOLERANCE and not self.loosen:
            raise ValueError(
                f"tolerance = {self.tolerance:g} is looser than the default"
                f" {DEFAULT_TOLERANCE:g}. Confirm it with --loosen (loosen = true in the file),"
                " and every report will repeat it"
            )
        return self


class ContactTable(Strict):
    """[contact]: for services that ask for one, and for the float plan.

    On a terminal the program asks once for `email`; an empty one says that the user gives none.
    `emergency_name` and `emergency_phone` belong to the shore contact; `vehicle` is the one
    parked at the launch; `colours` are those of craft and clothing, as seen from far away.
    """

    email: str = ""
    name: str = ""
    phone: str = ""
    emergency_name: str = ""
    emergency_phone: str = ""
    vehicle: str = ""
    colours: str = ""


class NotifyTable(Strict):
    """[notify]: where a watch sends notices; empty sends none."""

    to: str = ""


class UserSettings(Strict):
    """settings.toml, the user's own file."""

    default_craft: str | None = None
    units: UnitsTable = UnitsTable()
    paddler: PaddlerTable = PaddlerTable()
    craft: dict[str, CraftTable] = Field(default_factory=dict)
    limit: list[LimitTable] = Field(default_factory=list)
    plan: dict[str, SavedPlan] = Field(default_factory=dict)
    odds: OddsTable = OddsTable()
    contact: ContactTable = ContactTable()
    notify: NotifyTable = NotifyTable()
    services: dict[str, str] = Field(default_factory=dict)
