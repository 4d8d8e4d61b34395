"""The user's settings, as a check reads them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from safety_check.errors import PlanError
from safety_check.model.craft import Craft, Paddler
from safety_check.model.place import Launch, Water
from safety_check.settings import toml_file
from safety_check.settings.crafts import build_craft, load_craft_classes
from safety_check.settings.folders import Folders, find_folders
from safety_check.settings.spelling import suggest_spelling
from safety_check.settings.user_file import UnitsTable, UserSettings
from safety_check.units import Preferences


@dataclass(frozen=True)
class Settings:
    """All that a check needs to know about the user."""

    folders: Folders
    user: UserSettings
    place: tuple[float, float] | None = None

    def at(self, launch: Launch) -> Settings:
        """Return these settings for a launch: units that are not set follow its country."""
        return replace(self, place=(launch.latitude, launch.longitude))

    def at_water(self, water: Water) -> Settings:
        """Return these settings for a water, by its first launch."""
        return self.at(water.launches[0]) if water.launches else self

    @property
    def preferences(self) -> Preferences:
        """The units that the user reads; without a choice and a place those of the US."""
        if self.place is None:
            return Preferences(**self.user.units.model_dump(exclude_none=True))
        return _units_at(*self.place, self.user.units)

    @property
    def paddler(self) -> Paddler:
        """What the person brings, as declared so far."""
        return Paddler(**self.user.paddler.model_dump())

    def craft_name(self, asked: str | None) -> str:
        """Return the name of the craft: the one asked for, the default, or the only one."""
        own = list(self.user.craft)
        name = asked or self.user.default_craft or (own[0] if len(own) == 1 else None)
        if name is None:
            raise PlanError(
                "which craft? Name one.",
                field="--craft",
                remedy='To add yours: safety-check craft add "my craft"'
                f" --class {next(iter(load_craft_classes()))} (see safety-check craft list)",
            )
        return name

    def craft(self, name: str) -> Craft:
        """Return a craft by name: one of the user's, or a bare class."""
        own = self.user.craft.get(name)
        kind = own.kind if own else name
        if kind not in load_craft_classes():
            known = [*self.user.craft, *load_craft_classes()]
            raise PlanError(
                f"{name!r} is not known.{suggest_spelling(name, known)}",
                field="craft",
                remedy=f'Add it with: safety-check craft add "{name}" --class'
                f" {next(iter(load_craft_classes()))}",
            )
        return build_craft(name, kind, own)


@cache
def _units_at(latitude: float, longitude: float, own: UnitsTable) -> Preferences:
    from safety_check.settings.unit_choice import choose_units  # outlines, only for a water

    return choose_units(own, latitude, longitude)


def load_settings(home: Path | None = None) -> Settings:
    """Return the user's settings, checked, or those in another home folder."""
    where = find_folders(home)
    return Settings(where, toml_file.read(where.settings_file, UserSettings))
