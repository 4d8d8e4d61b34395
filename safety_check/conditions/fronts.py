"""Weather that changes within the trip: wind shifts and increases, falling pressure, thunder."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.conditions.ensemble import Ensemble
from safety_check.units import KNOT

SHIFTS_COUNT_FROM = 10 * KNOT  # m/s; lighter winds change direction without a front
THREE_HOURS = 3


def quantities(members: Ensemble, first: int) -> dict[str, FloatArray]:
    """Return the signs of a front or a squall that the rules weigh.

    Parameters
    ----------
    members
        The forecasts; the hours before the first one show how the pressure has changed.
    first
        Which instant begins the first hour; three more lie before it.

    Returns
    -------
    dict
        Name → array (..., member, hour): turn of the wind within the hour [deg], rise of its
        speed [m s⁻¹], fall of the pressure over the three hours that end with it [Pa], and
        chance of thunder [1]; NaN where a forecast does not give what is needed.

    Notes
    -----
    A turn counts where the stronger end of the hour has 10 kt or more.
    """
    said = members.quantities
    wind, direction = said["wind_speed"][..., first:], said["wind_from_direction"][..., first:]
    stronger = np.maximum(wind[..., :-1], wind[..., 1:])
    turn = np.abs((np.diff(direction, axis=-1) + 180) % 360 - 180)
    pressure = said["air_pressure_at_mean_sea_level"]
    fall = pressure[..., first - THREE_HOURS + 1 : -THREE_HOURS] - pressure[..., first + 1 :]
    thunder = said["probability_of_thunder"][..., first:]
    return {
        "wind_shift": np.select(
            [stronger < SHIFTS_COUNT_FROM, stronger >= SHIFTS_COUNT_FROM], [0.0, turn], np.nan
        ),
        "wind_rise": np.maximum(np.diff(wind, axis=-1), 0.0),
        "pressure_fall": np.maximum(fall, 0.0),
        "probability_of_thunder": np.maximum(thunder[..., :-1], thunder[..., 1:]),
    }
