"""Choose the units of a report by the country of the launch, where the user has set none."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Literal

from safety_check.settings import toml_file
from safety_check.settings.countries import countries_near
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict
from safety_check.settings.user_file import UnitsTable
from safety_check.units import Preferences

OTHER = {"wind": "Bft", "wave": "ft", "distance": "nmi", "temperature": "F"}  # an example each


class CommonUnits(Sourced):
    """[elsewhere] of units.toml."""

    wind: Literal["mph", "kt", "km/h", "m/s", "Bft"]
    wave: Literal["ft", "m"]
    distance: Literal["mi", "km", "nmi"]
    temperature: Literal["F", "C"]

    def names(self) -> dict[str, str]:
        """Return the unit of each quantity."""
        return {quantity: getattr(self, quantity) for quantity in UnitsTable.model_fields}


class CountryUnits(CommonUnits):
    """One [[units]] of units.toml."""

    countries: list[str]


class UnitsFile(Strict):
    """units.toml."""

    elsewhere: CommonUnits
    units: list[CountryUnits]
    names: dict[str, str]


@cache
def load_units() -> UnitsFile:
    """Return the shipped units by country."""
    return toml_file.read(shipped_file("units.toml"), UnitsFile)


def choose_units(own: UnitsTable, latitude: float, longitude: float) -> Preferences:
    """Return the units for a launch: the user's own, and else those of its country.

    Examples
    --------
    >>> choose_units(UnitsTable(), 52.4, 9.3).wind
    'km/h'
    >>> choose_units(UnitsTable(wind="Bft"), 44.9, -99.6)
    Preferences(wind='Bft', wave='ft', distance='mi', temperature='F', note='')
    """
    mine = own.model_dump(exclude_none=True)
    if len(mine) == len(UnitsTable.model_fields):
        return Preferences(**mine)
    countries = countries_near(latitude, longitude)
    file = load_units()
    listed = (table for table in file.units if countries and countries[0] in table.countries)
    theirs = next(listed, file.elsewhere).names()
    chosen = Preferences(**(theirs | mine))
    if chosen == Preferences(**mine):  # as where no place is known: nothing that may surprise
        return chosen
    where = f"in {file.names.get(countries[0], countries[0])}" if countries else "far from land"
    followed = {quantity: unit for quantity, unit in theirs.items() if quantity not in mine}
    return replace(chosen, note=_note(followed, where))


def _note(followed: dict[str, str], where: str) -> str:
    *others, last = (f"°{unit}" if unit in "CF" else unit for unit in followed.values())
    units = f"{', '.join(others)} and {last}" if others else last
    quantity = next(iter(followed))
    return (
        f"Units: {units}, because the water is {where}. Change them with, for example:"
        f" safety-check settings set units.{quantity} {OTHER[quantity]}"
    )
