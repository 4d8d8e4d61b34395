"""Thrust, power and drag of a craft, from the cruise speed that its owner gives."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

AIR_DENSITY = 1.225
"""Standard atmosphere at 15 °C and sea level. [kg m⁻³]"""

HARD_HOUR = 2.5
"""Power of a hard hour over the power of a cruise (judgement). [1]"""


@dataclass(frozen=True)
class Drive:
    """The power and thrust of a craft, and its drag in water and air.

    Parameters
    ----------
    power
        Sustained power, as thrust times speed. [W]
    hull_drag
        k in R = k v². [N s² m⁻²]
    drag_area
        Cd·A of hull, gear and person in the wind. [m²]
    greatest_thrust
        Sustained thrust at zero speed. [N]
    """

    power: float
    hull_drag: float
    drag_area: float
    greatest_thrust: float

    @property
    def able(self) -> bool:
        """Whether these figures can be those of a craft."""
        positive = min(self.power, self.hull_drag, self.greatest_thrust) > 0
        return positive and self.drag_area >= 0 and np.isfinite(sum(vars(self).values()))


def cruise_power(cruise_speed: float, hull_drag: float, drag_area: float) -> float:
    """Power needed for a cruise speed on flat water without wind.

    Parameters
    ----------
    cruise_speed
        [m s⁻¹]
    hull_drag
        k in R = k v². [N s² m⁻²]
    drag_area
        Cd·A in the air. [m²]

    Returns
    -------
    float
        Thrust times speed [W]; NaN for a speed that is not plausible (0 or over 10 m/s).

    Notes
    -----
    k is constant to about 1.6 m/s; above it the hull's waves raise it.

    References
    ----------
    .. [HullTables] A magazine's calculated hull drag of single sea kayaks, 3 to 6 kt
       (second-hand): as v² to about 1.6 m/s. Air drag is ρ Cd A v² / 2.

    Examples
    --------
    >>> round(cruise_power(1.25, 4.5, 0.50), 1)
    9.4
    """
    if not 0 < cruise_speed <= 10:
        return np.nan
    return (hull_drag + 0.5 * AIR_DENSITY * drag_area) * cruise_speed**3


def cruising(
    cruise_speed: float, hull_drag: float, drag_area: float, greatest_thrust: float
) -> Drive:
    """Drive of a craft whose owner knows its cruise speed.

    Parameters
    ----------
    cruise_speed
        On flat water without wind. [m s⁻¹]
    hull_drag, drag_area, greatest_thrust
        As in `Drive`.

    Notes
    -----
    With the published efficiencies of paddlers every kayak would be faster than people really
    cruise, so the owner's own speed defines the power.

    References
    ----------
    .. [HullTables] As in `cruise_power`.

    Examples
    --------
    >>> round(cruising(1.25, 4.5, 0.50, 22.0).power, 1)
    9.4
    """
    power = cruise_power(cruise_speed, hull_drag, drag_area)
    return Drive(power, hull_drag, drag_area, greatest_thrust)


def hard(drive: Drive) -> Drive:
    """Return the drive of a hard hour, under the same thrust at a standstill.

    Notes
    -----
    2.5 times the cruise is judgement.

    Examples
    --------
    >>> hard(Drive(10.0, 4.5, 0.5, 22.0)).power
    25.0
    """
    return replace(drive, power=HARD_HOUR * drive.power)
