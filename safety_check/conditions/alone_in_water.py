"""Alone in the water: time until you are ashore or helped, and time that you survive."""

from __future__ import annotations

import numpy as np

from safety_check.model.craft import Paddler
from safety_check.settings.rescue import RescueTable

ALONE_IN_WATER = "time_in_water_share"


def time_in_water_share(
    paddler: Paddler, from_shore: float, water_temperature: float, table: RescueTable
) -> float:
    """Return the time until ashore or helped as a share of the time that the water allows.

    Parameters
    ----------
    paddler
        What is not declared counts as absent: no means to call, no practice, no suit, alone.
    from_shore
        The farthest distance from the shore on the trip. [m]
    water_temperature
        NaN where it is not known. [K]
    table
        The figures of rescue.toml.

    Returns
    -------
    float
        0 in company [1]; NaN where the water temperature is not known.

    Notes
    -----
    It grows with the distance until help is faster than the swim, and with colder water. Still
    water is assumed: wind and waves count in other hazards.
    """
    if paddler.company == "group":
        return 0.0
    needs = from_shore / table.swim.speed
    if paddler.means_to_call:
        needs = min(needs, table.help.arrives_after)
    return needs / time_in_water(paddler, water_temperature, table)


def time_in_water(paddler: Paddler, water_temperature: float, table: RescueTable) -> float:
    """Return how long a paddler lasts in the water [s]; NaN where its temperature is."""
    bare = np.exp(np.interp(water_temperature, table.lasts.water, np.log(table.lasts.time)))
    clothing = {
        "wetsuit": table.wearing.wetsuit,
        "drysuit": table.wearing.drysuit,
    }.get(paddler.wearing or "", table.wearing.none)
    practice = table.self_rescue.lengthens if paddler.self_rescue else 1.0
    return float(bare) * clothing * practice
