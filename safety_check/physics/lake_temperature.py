"""Surface water temperature of a lake from the air temperature of the months before."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray, IntArray

SOLAR_CONSTANT = 0.0820e6 / 60
"""Irradiance of the sun above the atmosphere at the mean distance, of [Allen1998]. [W m⁻²]"""

REFERENCE_SUN = 400.0
"""Daily insolation that the coefficient of sunshine is scaled by. [W m⁻²]"""

DENSEST = 4.0
"""Temperature at which fresh water is densest, where stratification begins. [degC]"""

THINNEST = 0.3
"""Least depth that follows the air. [m]"""

MOST_ICE = 70.0
"""Greatest store of cold in ice. [K d]"""

DEEPEST_RUN = 40.0
"""Greatest mean depth for which colder air can only give colder water. [m]"""


@dataclass(frozen=True)
class LakeCoefficients:
    """What ties the surface of a lake to the air; one set holds for all lakes.

    Parameters
    ----------
    offset, of_air, of_sun
        Heating is offset + of_air × air temperature + of_sun × insolation / 400 W m⁻².
        [K m d⁻¹, m d⁻¹, K m d⁻¹]
    loss
        How much faster warm water loses heat than the air supplies it. [m d⁻¹]
    stratified, stratified_by_depth
        The warming that thins the upper layer by a factor e is
        exp(stratified − stratified_by_depth × ln depth). [1, 1]
    mixed_by_depth
        Power of the mean depth that is mixed in spring. [1]
    ice
        How much cold the ice stores. [1]
    """

    offset: float
    of_air: float
    of_sun: float
    loss: float
    stratified: float
    stratified_by_depth: float
    mixed_by_depth: float
    ice: float


def daily_insolation(latitude: float, day_of_year: IntArray) -> FloatArray:
    """Return the mean over a day of the sunshine above the atmosphere.

    Parameters
    ----------
    latitude
        North positive. [deg]
    day_of_year : array (day,)
        1 on the first of January.

    Returns
    -------
    array (day,)
        On a horizontal plane. [W m⁻²]

    References
    ----------
    .. [Allen1998] Allen and others, Crop evapotranspiration, FAO Irrigation and Drainage
       Paper 56, 1998, eqs. 21 and 23 to 25; its example 8 is 20° S on 3 September,
       32.2 MJ m⁻² d⁻¹, which is 373 W m⁻² (from memory, not read).

    Examples
    --------
    >>> daily_insolation(-20.0, np.array([246])).round()
    array([373.])
    """
    turn = 2 * np.pi * day_of_year / 365
    nearness = 1 + 0.033 * np.cos(turn)
    declination = 0.409 * np.sin(turn - 1.39)
    north = np.radians(latitude)
    sunset = np.arccos(np.clip(-np.tan(north) * np.tan(declination), -1, 1))
    above = sunset * np.sin(north) * np.sin(declination)
    beside = np.cos(north) * np.cos(declination) * np.sin(sunset)
    mean: FloatArray = SOLAR_CONSTANT / np.pi * nearness * (above + beside)
    return mean


def surface_temperature(
    air: FloatArray, insolation: FloatArray, depth: FloatArray, by: LakeCoefficients
) -> FloatArray:
    """Return the daily mean temperature of a lake's surface.

    Parameters
    ----------
    air : array (day, ...)
        Daily mean air temperature on successive days. [degC]
    insolation : array (day, ...), broadcast against air
        From `daily_insolation`. [W m⁻²]
    depth : array (...)
        Mean depth of the lake. [m]
    by
        The coefficients; each may also be an array that broadcasts against depth.

    Returns
    -------
    array (day, ...)
        [degC]; NaN from the first day without an air temperature, and where depth is not
        positive. The first days depend on the start at 4 °C: use them from a year on.

    Notes
    -----
    The upper layer relaxes exponentially towards the temperature at which it would neither
    gain nor lose heat. The layer is the whole lake in spring and thins as it warms, as in the
    published form; below freezing the cold is stored as ice, which must melt first. Heat from
    inflows, rising deep water and wind are left out. Up to a mean depth of `DEEPEST_RUN`
    colder air on any day never gives warmer water later, as long as the water is no more than
    15 K above the temperature that the air asks for.

    References
    ----------
    .. [Piccolroaz2013] Piccolroaz, Toffolon and Majone, A simple lumped model to convert air
       temperature into surface water temperature in lakes, Hydrol. Earth Syst. Sci. 17, 2013:
       relaxation towards air and season, with a depth of reaction that falls exponentially.
    .. [Toffolon2014] Toffolon and others, Prediction of surface temperature in lakes with
       different morphology using air temperature, Limnol. Oceanogr. 59, 2014: how its
       parameters change with depth. Coefficients shared by all lakes, the sun's term and the
       store of ice are ours.

    Examples
    --------
    >>> by = LakeCoefficients(0.0634, 0.4509, 1.9564, 0.0614, 5.2433, 0.9044, 0.9226, 0.8518)
    >>> air, sun = np.full((900, 2), 12.0), np.full((900, 2), 400.0)
    >>> surface_temperature(air, sun, np.array([1.3, 10.0]), by)[[0, 30, 899]].round(1)
    array([[ 7.5,  4.6],
           [14.5, 13.6],
           [14.5, 14.5]])
    """
    rate = by.of_air + by.loss
    heating = by.offset + by.of_air * air + by.of_sun * insolation / REFERENCE_SUN
    depth = np.where(depth > 0, depth, np.nan)
    mixed = depth**by.mixed_by_depth
    thins_over = np.exp(by.stratified - by.stratified_by_depth * np.log(depth))
    heating = np.broadcast_to(heating, (len(air), *np.broadcast(heating[0], mixed).shape))
    temperature, ice = np.full(heating.shape[1:], DENSEST), np.zeros(heating.shape[1:])
    found = np.empty(heating.shape)
    for day, gain in enumerate(heating):
        warmth = np.maximum(temperature - DENSEST, 0)
        layer = np.maximum(THINNEST, mixed * np.exp(-warmth / thins_over))
        balance = gain / rate
        open_water = balance + (temperature - balance) * np.exp(-rate / layer)
        left = np.clip(ice - np.where(gain > 0, gain, by.ice * gain), 0, MOST_ICE)
        formed = np.where(open_water < 0, -by.ice * layer * open_water + 1e-6, 0.0)
        frozen = (ice > 0) | (open_water < 0)
        ice = np.where(ice > 0, left, formed)
        temperature = np.where(frozen, 0 * open_water, open_water)
        found[day] = temperature
    return found
