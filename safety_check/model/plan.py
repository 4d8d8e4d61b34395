"""A planned trip: water, launch, craft, paddler, times."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from safety_check.arrays import FloatArray
from safety_check.model.craft import Craft, Paddler
from safety_check.model.place import Launch, Water


@dataclass(frozen=True)
class Plan:
    """A planned trip.

    Parameters
    ----------
    water, launch, craft, paddler
        Where, in what, and who.
    start, end
        Launch and return, time-zone-aware UTC.
    reach
        How far from the launch the trip may go where no route is given. [m]
    route : array (point, 2) or None
        Longitude, latitude of the way out, the launch not repeated. [deg]
    water_temperature
        As the user entered it [K]; None where a source must supply it.
    from_shore
        How far from the shore the trip goes at most; infinite where it was not given. [m]
    reach_assumed
        True where the user gave neither a reach nor a route.
    night
        True where the user says that the trip is meant to be in the dark.
    """

    water: Water
    launch: Launch
    craft: Craft
    paddler: Paddler
    start: datetime
    end: datetime
    reach: float
    route: FloatArray | None = None
    water_temperature: float | None = None
    night: bool = False
    from_shore: float = math.inf
    reach_assumed: bool = False
