"""What cold water does to a person in it: shock, lost strength, time, and distance swum.

All of it takes flotation for granted. Times are context for a reader, never a permission:
water temperature alone decides.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.units import ZERO_CELSIUS

MINUTE = 60.0

COLDEST_WATER, WARMEST_WATER = 271.0, 313.0
"""Nobody floats in colder or warmer water outdoors. [K]"""

SHOCK_BEGINS, SHOCK_FULL = 25.0, 15.0
"""Water in which breathing begins to be affected, and in which the shock is at its full. [°C]"""

SAR_EDGES = np.array([32.5, 40.0, 50.0, 60.0, 70.0, 80.0])
"""Warm ends of the rows of the search and rescue table, each in the colder row. [°F]"""

SAR_EXHAUSTION = MINUTE * np.array(
    [[0, 15], [15, 30], [30, 60], [60, 120], [120, 420], [180, 720], [np.inf, np.inf]]
)
SAR_SURVIVAL = MINUTE * np.array(
    [[15, 45], [30, 90], [60, 180], [60, 360], [120, 2400], [180, np.inf], [np.inf, np.inf]]
)

HALF_SURVIVE_CELSIUS = np.array([5.0, 10.0, 15.0])
HALF_SURVIVE_TIME = MINUTE * np.array([60.0, 120.0, 360.0])

WARM_SWIM = 400.0
"""Half of what novices swam at 10 °C (806.5 m), rounded down (judgement). [m]"""

COLD_SWIM = 600.0 * 0.3
"""Ten minutes of useful movement at 0.3 m/s (judgement). [m]"""


@dataclass(frozen=True)
class Stage:
    """One stage of immersion.

    Parameters
    ----------
    name
        In words.
    ends
        Time in the water by which it has killed whom it kills. [s]
    kills_by
        How.
    """

    name: str
    ends: float
    kills_by: str


STAGES = (
    Stage("cold shock", 5 * MINUTE, "gasping under water, heart"),
    Stage("swimming failure", 30 * MINUTE, "loss of strength, drowning"),
    Stage("hypothermia", np.inf, "cooling of the core, drowning"),
)


def stage(time_in_water: float) -> Stage:
    """Stage of immersion that a person is in.

    Parameters
    ----------
    time_in_water
        [s]; an unknown time counts as the last stage.

    Notes
    -----
    A fourth, collapse at or after rescue, has no time of its own. The usual saying is one
    minute to get the breathing back, ten of useful movement, an hour before consciousness goes.

    References
    ----------
    .. [Brooks2003] Brooks, Survival in Cold Waters, Transport Canada TP 13822, 2003,
       executive summary.

    Examples
    --------
    >>> stage(600.0).name
    'swimming failure'
    """
    return STAGES[int(np.searchsorted([stage.ends for stage in STAGES[:-1]], time_in_water))]


def cold_shock(water_temperature: FloatArray) -> FloatArray:
    """How much of the full cold shock sudden immersion brings.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    array
        0 from 25 °C, 1 at 15 °C and below [1]; NaN where the water is unknown or no
        water on earth.

    Notes
    -----
    It peaks between 10 and 15 °C; that it is no milder in colder water, and a straight
    line between, is judgement. Five short immersions halve it in a person.

    References
    ----------
    .. [Tipton1989] Tipton, The initial responses to cold-water immersion in man, Clin. Sci.
       77, 1989: onset below about 25 °C (from memory, not read); peak at 10 to 15 °C (his
       statements, second-hand).

    Examples
    --------
    >>> cold_shock(np.array([300.0, 293.15, 278.0]))
    array([0. , 0.5, 1. ])
    """
    share = (SHOCK_BEGINS - _celsius(water_temperature)) / (SHOCK_BEGINS - SHOCK_FULL)
    return np.clip(share, 0.0, 1.0)


def exhaustion_time(water_temperature: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Least and most time to exhaustion or unconsciousness.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    least, most : array
        [s]; infinite in water over 80 °F, NaN as in `cold_shock`.

    Notes
    -----
    Hypothermia in calm water only: no shock, no swimming failure, no waves in the face.

    References
    ----------
    .. [SARTable] US Search and Rescue Task Force, expected survival time in cold water
       (second-hand; three copies agree).

    Examples
    --------
    >>> [time.item() for time in exhaustion_time(np.array(283.15))]
    [1800.0, 3600.0]
    """
    return _tabled(water_temperature, SAR_EXHAUSTION)


def expected_survival_time(water_temperature: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Least and most expected survival time of the search and rescue table.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    least, most : array
        [s]; infinite where the table says indefinite, NaN as in `cold_shock`.

    References
    ----------
    .. [SARTable] US Search and Rescue Task Force, expected survival time in cold water
       (second-hand; three copies agree).

    Examples
    --------
    >>> [time.item() for time in expected_survival_time(np.array(283.15))]
    [3600.0, 10800.0]
    """
    return _tabled(water_temperature, SAR_SURVIVAL)


def survival_time_hayward1975(water_temperature: FloatArray) -> FloatArray:
    """Time until the core of an average adult, afloat and still in light clothes, is at 30 °C.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    array
        [s]; NaN outside 0 to 20 °C.

    Notes
    -----
    Swimming or treading water shortens it by about a third (from memory). Its pole at 23 °C
    is why it must not be asked above 20.

    References
    ----------
    .. [Hayward1975] Hayward, Eckerson and Collis, Can. J. Physiol. Pharmacol. 53, 1975:
       t = 15 + 7.2 / (0.0785 - 0.0034 T) min (formula second-hand; memory agrees).

    Examples
    --------
    >>> (survival_time_hayward1975(np.array([283.15, 295.0])) / 60).round(1)
    array([176.8,   nan])
    """
    celsius = _celsius(water_temperature)
    celsius = np.where((celsius >= 0) & (celsius <= 20), celsius, np.nan)
    return MINUTE * (15 + 7.2 / (0.0785 - 0.0034 * celsius))


def survival_time(water_temperature: FloatArray) -> FloatArray:
    """Time that half of the people may survive: the smaller of two published figures.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]

    Returns
    -------
    array
        [s]; NaN outside 0 to 20 °C.

    Notes
    -----
    Golden and Tipton give three points, joined here by straight lines in the logarithm.
    Below the coldest their time falls in proportion to Hayward's, and above the
    warmest Hayward's alone, by then the smaller, is left (both judgement).

    References
    ----------
    .. [Hayward1975] As in `survival_time_hayward1975`.
    .. [Tipton2018] Half survive 1 h at 5 °C, 2 h at 10 °C, 6 h at 15 °C: M. Tipton, public
       answer, 2018, after Golden and Tipton.

    Examples
    --------
    >>> (survival_time(np.array([278.15, 283.15, 288.15])) / 60).round(1)
    array([ 60. , 120. , 276.8])
    """
    still = survival_time_hayward1975(water_temperature)
    coldest = np.array(HALF_SURVIVE_CELSIUS[0] + ZERO_CELSIUS)
    in_proportion = HALF_SURVIVE_TIME[0] * still / survival_time_hayward1975(coldest)
    celsius = _celsius(water_temperature)
    between = np.exp(np.interp(celsius, HALF_SURVIVE_CELSIUS, np.log(HALF_SURVIVE_TIME)))
    half = np.where(celsius < HALF_SURVIVE_CELSIUS[0], in_proportion, between)
    return np.where(celsius > HALF_SURVIVE_CELSIUS[-1], still, np.minimum(still, half))


def swim_distance(water_temperature: FloatArray, against_the_wind: BoolArray) -> FloatArray:
    """Distance that a person in a life jacket can plan to swim after a capsize.

    Parameters
    ----------
    water_temperature : array of any shape
        [K]
    against_the_wind : array, broadcast against water_temperature
        Whether the shore lies against wind and chop.

    Returns
    -------
    array
        [m]: 400 from 10 °C, 180 below, none against wind and chop; NaN as in `cold_shock`.

    Notes
    -----
    From trials in still flumes (judgement): 800 to 1500 m in 10 to 14 °C before the arms
    fail, novices 806.5 ± 189.1 m at 10 °C; half of it, and in colder water only the ten
    minutes in which hands still work. Beyond it, a swim is no plan.

    References
    ----------
    .. [Ducharme2007] Ducharme and Lounsbury, Self-rescue swimming in cold water, 2007
       (abstract).
    .. [Lounsbury2005] Lounsbury, thesis, 2005: novices and experts at 10 °C (abstract).

    Examples
    --------
    >>> swim_distance(np.array([288.0, 280.0, 288.0]), np.array([False, False, True]))
    array([400., 180.,   0.])
    """
    celsius = _celsius(water_temperature)
    reach = np.select([celsius >= 10, celsius < 10], [WARM_SWIM, COLD_SWIM], default=np.nan)
    return np.where(against_the_wind, 0.0 * reach, reach)


def fahrenheit_sum(air_temperature: FloatArray, water_temperature: FloatArray) -> FloatArray:
    """Air plus water temperature, as the rule of 120 °F adds them.

    Parameters
    ----------
    air_temperature, water_temperature : arrays, broadcast against each other
        [K]

    Returns
    -------
    array
        [°F]; NaN where an input is NaN or the water no water on earth.

    Notes
    -----
    No science stands behind the rule, and it calls 53 °F water safe under 75 °F air. So a
    sum below 120 may tighten a limit on the water; a sum above it may relax none.

    References
    ----------
    .. [NCCWS] National Center for Cold Water Safety, on the rule of 120.

    Examples
    --------
    >>> fahrenheit_sum(np.array([297.039]), np.array([284.817])).round(1)
    array([128.])
    """
    air = (air_temperature - ZERO_CELSIUS) * 1.8 + 32
    return air + _celsius(water_temperature) * 1.8 + 32


def _tabled(water_temperature: FloatArray, column: FloatArray) -> tuple[FloatArray, FloatArray]:
    fahrenheit = _celsius(water_temperature) * 1.8 + 32
    row = np.searchsorted(SAR_EDGES, np.where(np.isnan(fahrenheit), 0.0, fahrenheit))
    least, most = column[row, 0], column[row, 1]
    known = ~np.isnan(fahrenheit)
    return np.where(known, least, np.nan), np.where(known, most, np.nan)


def _celsius(water_temperature: FloatArray) -> FloatArray:
    """Degrees Celsius; NaN where nobody could float in it."""
    liquid = (water_temperature >= COLDEST_WATER) & (water_temperature <= WARMEST_WATER)
    return np.where(liquid, water_temperature, np.nan) - ZERO_CELSIUS
