"""A requested check, in the user's words."""

from __future__ import annotations

from dataclasses import dataclass

MOVEMENT = ("current", "high_water", "gauge", "release")  # what a user may say of moving water


@dataclass(frozen=True)
class PlanRequest:
    """A requested check, in words; None where nothing was given.

    Parameters
    ----------
    water, launch, craft
        Names; a saved plan may stand for the water.
    start, hours, end
        When, and how long ("4h", "4:30"; a number is hours) or until when.
    reach
        How far from the launch, with a unit.
    water_temperature
        As measured, with a unit.
    as_of
        The time of the check, where it is not now.
    night
        Whether the trip is planned in the dark.
    from_shore
        How far from the shore it goes at most, with a unit.
    life_jacket, wearing, company, light
        The paddler's settings that differ on this trip.
    route
        The way out, "LAT,LON; LAT,LON" or a GeoJSON file; then no reach is asked for.
    warnings, read_at
        "none" where the user has read that no official warning is in force, and when.
    current, high_water, gauge, release
        What the user says of the current, of high and low water, of a river's gauge, and of
        releases from a dam.
    saved_plan
        The saved plan that completed it; empty where there was none.
    """

    water: str | None = None
    launch: str | None = None
    craft: str | None = None
    start: str | None = None
    hours: float | str | None = None
    end: str | None = None
    reach: str | None = None
    water_temperature: str | None = None
    as_of: str | None = None
    night: bool = False
    from_shore: str | None = None
    life_jacket: str | None = None
    wearing: str | None = None
    company: str | None = None
    light: bool | None = None
    route: str | None = None
    warnings: str | None = None
    read_at: str | None = None
    current: str | None = None
    high_water: str | None = None
    gauge: str | None = None
    release: str | None = None
    saved_plan: str = ""

    @property
    def says_movement(self) -> bool:
        """Whether anything is said of the movement of the water."""
        return any(getattr(self, name) for name in MOVEMENT)
