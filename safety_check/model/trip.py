"""A logged trip."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Trip:
    """One logged trip, or one that was called off.

    Parameters
    ----------
    id
        Its number in the history; 0 until it is saved.
    logged, start
        When it was written down; when it began or would have. UTC.
    water, launch, craft
        Names.
    time_zone
        The water's.
    went
        False where it was called off.
    wind_speed, wind_speed_of_gust
        As met [m s⁻¹]; NaN where it was not told.
    wave_height
        As met [m]; NaN where it was not told.
    beaufort
        The number that the paddler's words stand for; None where the wind was told
        as a speed. The speed above is then the middle of that number.
    comfort
        From 1 (afraid) to 5 (at ease); None where it was not told.
    notes
        The paddler's own.
    check
        The check that it followed, by its number in the history.
    """

    id: int
    logged: datetime
    start: datetime
    water: str
    launch: str
    time_zone: str
    craft: str
    went: bool
    wind_speed: float = float("nan")
    wind_speed_of_gust: float = float("nan")
    wave_height: float = float("nan")
    beaufort: int | None = None
    comfort: int | None = None
    notes: str = ""
    check: int | None = None
