"""Effort needed to hold a trolling speed on each heading in wind."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.drive import AIR_DENSITY, Drive
from safety_check.physics.paddling import against_and_abeam, wave_factor


def effort_to_hold(
    speed: float,
    wind_speed: FloatArray,
    wind_from_direction: FloatArray,
    course: FloatArray,
    drive: Drive,
) -> FloatArray:
    """Power that holds a speed through the water, such as a trolling speed, over the drive's own.

    Parameters
    ----------
    speed
        To be held. [m s⁻¹]
    wind_speed : array, such as (member, hour)
        Ten metres up. [m s⁻¹]
    wind_from_direction, course : array, broadcast against wind_speed
        Where the wind comes from, where the craft goes to. [deg true]
    drive
        Of a cruise, so that 1 means the effort of cruising and 2.5 a hard hour.

    Returns
    -------
    array
        [1]; zero or less where the wind alone drives it that fast and it must be slowed,
        infinite where it needs more thrust than there is; NaN as in
        `speed_through_water`, and for a speed that is not positive.

    Notes
    -----
    In waves the craft needs the power of `speed / wave_factor` on flat water, as on the way home
    in `speed_made_good`.

    References
    ----------
    .. [HullTables] The balance of `speed_through_water`, solved for the power.

    Examples
    --------
    >>> sit_on_top = Drive(9.4, 4.5, 0.50, 22.0)
    >>> towards = np.array([0.0, 90.0, 180.0])
    >>> effort_to_hold(0.75, np.array(5.0), np.array(0.0), towards, sit_on_top).round(2)
    array([1.  , 0.43, 0.06])
    """
    against, abeam = against_and_abeam(wind_speed, wind_from_direction, course)
    if not (drive.able and speed > 0):
        return np.full(against.shape, np.nan)
    pushed = speed / wave_factor(wind_speed)
    along = against + pushed
    wind_drag = 0.5 * AIR_DENSITY * drive.drag_area * along * np.hypot(along, abeam)
    thrust = drive.hull_drag * pushed**2 + wind_drag
    return np.where(thrust > drive.greatest_thrust, np.inf, thrust * pushed / drive.power)
