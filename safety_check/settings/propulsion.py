"""Derive a craft's propulsion from the cruise speed that its owner knows."""

from __future__ import annotations

import math

from safety_check.errors import ConfigError
from safety_check.model.craft import Craft, with_article
from safety_check.physics.drive import AIR_DENSITY, Drive, cruising
from safety_check.units import MILE_PER_HOUR

ABSURD = 2.0  # times the thrust that the class can hold at a standstill (judgement)
FASTEST = 10.0  # m/s, of a motor; faster hulls do not follow the drag law assumed here


def derive_drive(craft: Craft) -> Drive:
    """Return the propulsion of a craft.

    Raises
    ------
    ConfigError
        For a cruise speed that no person could hold.

    Notes
    -----
    A motor's greatest thrust is at least the thrust at cruise; a person's is that of the class.
    """
    trouble = explain_refusal(craft)
    if trouble:
        raise ConfigError(f"craft {craft.name!r}, {trouble}")
    greatest = craft.greatest_thrust
    if craft.propulsion == "motor":
        greatest = max(greatest, _thrust(craft))
    return cruising(craft.cruise_speed, craft.hull_drag, craft.drag_area, greatest)


def explain_refusal(craft: Craft) -> str:
    """Return why a craft's figures are not plausible; nothing where they are."""
    if not (craft.cruise_speed > 0 and craft.hull_drag > 0 and craft.greatest_thrust > 0):
        return "its cruise speed, hull drag and thrust must be greater than zero. Correct them."
    if craft.propulsion == "motor" and craft.cruise_speed <= FASTEST:
        return ""
    if craft.propulsion != "motor" and _thrust(craft) <= ABSURD * craft.greatest_thrust:
        return ""
    most = craft.cruise_speed * math.sqrt(ABSURD * craft.greatest_thrust / _thrust(craft))
    most = FASTEST if craft.propulsion == "motor" else most
    return (
        f"cruise_speed = {craft.cruise_speed / MILE_PER_HOUR:.1f} mph: no paddler can hold that for"
        f" hours in {with_article(craft.label)}; the most accepted is"
        f" {most / MILE_PER_HOUR:.1f} mph. Give"
        ' the speed that you can hold in calm water, for example "2.5 mph".'
    )


def _thrust(craft: Craft) -> float:
    """Return the thrust that the cruise speed needs [N]."""
    return (craft.hull_drag + AIR_DENSITY / 2 * craft.drag_area) * craft.cruise_speed**2
