"""If the return fails: offshore wind, and the swim to the shore."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.coefficients import Coefficients
from safety_check.model.craft import Paddler
from safety_check.model.place import OpenWater
from safety_check.physics.leeway import Leeway
from safety_check.physics.swim import swimming_time, time_to_shore
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.limits import SwimTable
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict

SWIMMER = "person_vertical_pfd_3"


@dataclass(frozen=True)
class Swimmer:
    """A paddler in the water.

    Parameters
    ----------
    from_shore : array (..., hour)
        Farthest from the nearest shore that the trip can be in each hour. [m]
    water_temperature : array (..., hour)
        NaN where it is not known. [K]
    paddler
        Company, practice and means to call; what is not declared counts as absent.
    swim
        How a person in the water moves, and what else decides how long it takes.
    """

    from_shore: FloatArray
    water_temperature: FloatArray
    paddler: Paddler
    swim: SwimTable


# -- what is weighed -------------------------------------------------------------------------


def quantities(
    wind: FloatArray,
    offshore: FloatArray,
    downwind: FloatArray,
    swimmer: Swimmer,
    coefficients: Coefficients,
) -> dict[str, FloatArray]:
    """Return the quantities of being adrift that the rules weigh.

    Parameters
    ----------
    wind : array (member, hour)
        The worse end of each hour. [m s⁻¹]
    offshore : array (member, hour)
        How far the wind is an offshore wind, 0 to 1, as `offshore_share` gives it. [1]
    downwind : array (member, hour)
        Open water downwind of the launch. [m]
    swimmer
        Who may have to swim, in what, and how far from the shore.
    coefficients
        How an offshore wind grows with the distance from the shore.

    Notes
    -----
    The time in the water is the shorter of the swim and the drift to the shore, as a share of
    the time for which a swimmer has strength in this water. Alone it is longer without practice
    in climbing back aboard, and without a means to call for help.
    """
    swim = swimmer.swim
    water = np.broadcast_to(swimmer.water_temperature[..., None, :], wind.shape)
    from_shore = swimmer.from_shore[..., None, :]
    needs = time_to_shore(from_shore, wind, downwind, swim.speed, swim.lost_to_wind, swim.drift)
    grade = coefficients.grades["offshore_wind_speed", "distance_from_shore"]
    off = offshore * grade.share(from_shore)
    return {
        "offshore_wind_speed": np.where(off == 0, 0.0, wind * off),
        "swim_to_shore_share": needs * _lack_of_help(swimmer) / swimming_time(water),
    }


def _lack_of_help(swimmer: Swimmer) -> float:
    """Return the time in the water relative to someone alone with practice and a phone. [1]."""
    paddler, swim = swimmer.paddler, swimmer.swim
    if paddler.company == "group":
        return 1 / swim.reach_in_company
    practice = 1.0 if paddler.self_rescue else swim.without_practice
    call = 1.0 if paddler.means_to_call else swim.without_call
    return practice * call


def offshore_share(
    direction: FloatArray, water: OpenWater, coefficients: Coefficients
) -> FloatArray:
    """Return how far a wind is an offshore wind that carries a craft away from the launch.

    The distance from the shore is not counted: it differs from hour to hour.

    Parameters
    ----------
    direction : array of any shape
        From which the wind blows. [deg true]
    water
        The open water at the launch.
    coefficients
        How an offshore wind is graded.

    Returns
    -------
    array
        0 for an onshore wind or a near lee shore, 1 for a fully offshore wind [1]; NaN where the
        direction is NaN.
    """
    upwind, downwind = _open_water_towards(direction, water), downwind_water(direction, water)
    both = upwind + downwind
    facts: dict[str, FloatArray] = {
        "open_water_downwind": downwind,
        "share_of_open_water_upwind": upwind / np.where(both > 0, both, np.inf),
    }
    share: FloatArray = np.ones(())
    for (danger, name), grade in coefficients.grades.items():
        if danger == "offshore_wind_speed" and name in facts:
            share = share * grade.share(facts[name])
    return share


def downwind_water(direction: FloatArray, water: OpenWater) -> FloatArray:
    """Return the open water downwind of the launch [m]; NaN where the direction is not known."""
    return _open_water_towards(direction + 180, water)


def _open_water_towards(bearing: FloatArray, water: OpenWater) -> FloatArray:
    known = np.isfinite(bearing)
    step = 360 / len(water.bearings)
    at = np.round(np.where(known, bearing, 0.0) / step).astype(int) % len(water.bearings)
    at_launch = water.fetch[..., 0]
    there = np.take_along_axis(at_launch, at.reshape(*at_launch.shape[:-1], -1), axis=-1)
    return np.where(known, there.reshape(at.shape), np.nan)


# -- the table of leeway ---------------------------------------------------------------------


class Row(Strict):
    """One [leeway.…] of leeway.toml, as printed."""

    label: str
    row: str
    downwind: list[float]
    right: list[float]
    left: list[float]


class Source(Strict):
    """[source] of leeway.toml."""

    title: str
    basis: Basis
    checked: date


class LeewayFile(Strict):
    """leeway.toml."""

    units: dict[str, str | list[str]]
    source: Source
    leeway: dict[str, Row]


@cache
def load_leeways() -> dict[str, Leeway]:
    """Return the published leeway of each kind of object."""
    rows = toml_file.read(shipped_file("leeway.toml"), LeewayFile).leeway
    return {name: Leeway.printed(row.downwind, row.right, row.left) for name, row in rows.items()}
