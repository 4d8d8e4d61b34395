"""Units by the country of the water: what is chosen, what the user set, and what is said."""

from __future__ import annotations

import pytest

from safety_check.settings import unit_choice
from safety_check.settings.countries import _outlines
from safety_check.settings.unit_choice import choose_units, load_units
from safety_check.settings.user_file import UnitsTable
from safety_check.units import KINDS, Preferences

PLACES = {  # wind, wave, distance, temperature
    "Lower Saxony": ((52.46, 9.33), ("km/h", "m", "km", "C")),
    "a lake in Ontario": ((45.0, -79.4), ("km/h", "m", "km", "C")),
    "Lough Neagh": ((54.6, -6.4), ("mph", "m", "mi", "C")),
    "a Norwegian fjord": ((60.4, 5.8), ("m/s", "m", "km", "C")),
    "a Swedish archipelago": ((59.3, 18.8), ("m/s", "m", "km", "C")),
    "Baja California": ((32.4, -116.9), ("km/h", "m", "km", "C")),
    "the open Pacific": ((-49.7, -130.1), ("km/h", "m", "km", "C")),
}
AMERICAN = {
    "South Dakota": (44.9, -99.6),
    "Detroit": (42.35, -83.0),
    "San Diego Bay": (32.68, -117.15),
    "Florida Bay": (25.0, -80.7),
    "Kodiak": (57.8, -152.4),
    "Oahu": (21.3, -157.9),
    "Puerto Rico": (18.45, -66.1),
    "Guam": (13.44, 144.66),
    "Pago Pago": (-14.28, -170.69),
}


@pytest.mark.parametrize("place", PLACES)
def test_a_water_speaks_in_the_units_of_its_country(place):
    where, expected = PLACES[place]
    chosen = choose_units(UnitsTable(), *where)

    assert (chosen.wind, chosen.wave, chosen.distance, chosen.temperature) == expected
    assert "because the water is" in chosen.note


@pytest.mark.parametrize("place", AMERICAN)
def test_a_water_of_the_united_states_speaks_as_before_and_says_nothing_more(place):
    assert choose_units(UnitsTable(), *AMERICAN[place]) == Preferences()


def test_what_was_chosen_is_said_with_the_command_that_changes_it():
    assert choose_units(UnitsTable(), 52.46, 9.33).note == (
        "Units: km/h, m, km and °C, because the water is in Germany. Change them with, for example:"
        " safety-check settings set units.wind Bft"
    )
    assert choose_units(UnitsTable(wind="Bft", wave="m", distance="km"), 52.46, 9.33).note == (
        "Units: °C, because the water is in Germany. Change them with, for example:"
        " safety-check settings set units.temperature F"
    )
    assert "because the water is far from land" in choose_units(UnitsTable(), -49.7, -130.1).note


def test_what_the_user_set_comes_first():
    chosen = choose_units(UnitsTable(wind="kt"), 52.46, 9.33)

    assert (chosen.wind, chosen.wave) == ("kt", "m")


def test_a_user_who_set_all_units_needs_no_country(monkeypatch):
    monkeypatch.setattr(unit_choice, "countries_near", None)
    own = UnitsTable(wind="mph", wave="ft", distance="mi", temperature="F")

    assert choose_units(own, 52.46, 9.33) == Preferences()


def test_every_country_has_a_name_and_is_listed_once():
    file = load_units()
    outlined = {code for codes in _outlines().names for code in str(codes).split()}
    listed = [code for table in file.units for code in table.countries]

    assert outlined <= file.names.keys()
    assert set(listed) <= file.names.keys()
    assert len(listed) == len(set(listed))


@pytest.mark.parametrize("table", [*load_units().units, load_units().elsewhere], ids=str)
def test_every_unit_chosen_is_a_known_one(table):
    assert table.wind in KINDS["wind"]
    assert {table.wave, table.distance} <= set(KINDS["length"])
    assert table.temperature in KINDS["temperature"]
