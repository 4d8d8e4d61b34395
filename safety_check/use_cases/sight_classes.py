"""Which classes of wind, direction and water temperature make a difference to a verdict."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

import numpy as np

from safety_check.beaufort import highest_wind
from safety_check.conditions.ensemble import WIND
from safety_check.model.sight_table import WindClass
from safety_check.model.verdict import Severity
from safety_check.units import BEAUFORT, Preferences, kelvin, parse
from safety_check.use_cases.launch_observation import (
    STATES,
    LaunchObservation,
    greatest_wind,
    least_sign,
    observed_values,
)
from safety_check.use_cases.planning import COLDEST
from safety_check.use_cases.sight_case import Sighting, SightJudge

POINTS = tuple(45.0 * number for number in range(8))  # deg true: N, NE … NW
NUMBERS = {"mph": 1.0, "kt": 1.0, "km/h": 2.0, "m/s": 0.5}  # the step of the winds that are tried
STRONGEST = 17.2  # m/s, a gale; from here on nothing finer is told apart
LIGHT = (1.6, 3.4)  # m/s, where Beaufort 2 and 3 begin
TEMPERATURES = {"F": (30.0, 90.0, 2.0), "C": (-1.0, 32.0, 1.0), "K": (272.0, 305.0, 1.0)}
GUST_FACTOR = 1.4  # as of the limits: a gust with its wind is judged as this wind with its gust
ROUNDED = 1e-9


def wind_classes(judge: SightJudge, at: datetime, prefer: Preferences) -> tuple[WindClass, ...]:
    """Return the classes of wind: not looked at, by how the water looks, and by numbers.

    Parameters
    ----------
    judge, at
        Judges what is seen, and when it is seen to find where the verdict changes.
    prefer
        The unit in which a wind is entered.
    """
    tried = _winds(prefer.wind)
    wanted = {next(wind for wind in tried if wind >= light) for light in LIGHT}

    def severity(index: int) -> Severity:
        return judge(at, Sighting(WindClass(wind=tried[index]))).severity

    wanted |= {tried[index] for index in last_of_each_level(severity, len(tried))}
    numbers = [*sorted(wanted), greatest_wind()]
    factors = [(wind, GUST_FACTOR * wind) for wind in numbers[:-1]]
    gusty = [*factors, (greatest_wind(), greatest_wind())]
    return (
        WindClass(),
        *(_of_state(state) for state in STATES),
        *(WindClass(wind=wind) for wind in numbers),
        *(WindClass(wind=wind, gust=gust) for wind, gust in gusty),
    )


def _of_state(state: str) -> WindClass:
    seen = LaunchObservation.of_state(state)
    wind = observed_values(seen)[WIND]
    return WindClass(state, wind, sign=least_sign(WIND, wind, seen))


def _winds(unit: str) -> list[float]:
    if unit == BEAUFORT:
        return [highest_wind(force) for force in range(1, 8)]
    step = NUMBERS[unit]
    most = int(np.ceil(STRONGEST / parse(f"{step} {unit}", "speed", "")))
    return [parse(f"{step * number:g} {unit}", "speed", "") for number in range(1, most + 1)]


def water_classes(judge: SightJudge, at: datetime, unit: str) -> tuple[float | None, ...]:
    """Return the classes of water: not measured, then the coldest of each, the warmest first.

    Parameters
    ----------
    judge, at
        As for `wind_classes`.
    unit
        The unit in which a temperature is entered.
    """
    low, high, step = TEMPERATURES[unit]
    entered = judge.case.plan.water_temperature
    tried = [COLDEST, *(kelvin(number, unit) for number in np.arange(low, high + step, step))]
    warm_enough = [one for one in tried if entered is None or one < entered]
    warmest_first = warm_enough[::-1]

    def severity(index: int) -> Severity:
        return judge(at, Sighting(water=warmest_first[index])).severity

    chosen = [warmest_first[index] for index in last_of_each_level(severity, len(warmest_first))]
    return (None, *dict.fromkeys([*chosen, COLDEST]))


def last_of_each_level(severity: Callable[[int], Severity], count: int) -> list[int]:
    """Return the last index of each severity but the worst; severities never fall.

    Only the ends of spans that differ are judged again in their middle.

    Examples
    --------
    >>> levels = [Severity.GO] * 5 + [Severity.MARGINAL, Severity.NO_GO]
    >>> last_of_each_level(levels.__getitem__, len(levels))
    [4, 5]
    """
    found: list[int] = []

    def split(first: int, last: int) -> None:
        if severity(first) == severity(last):
            return
        if last - first == 1:
            found.append(first)
            return
        middle = (first + last) // 2
        split(first, middle)
        split(middle, last)

    if count:
        split(0, count - 1)
    return found


def at_least_as_bad(
    winds: Sequence[WindClass], directions: int, waters: Sequence[float | None], *, entered: bool
) -> np.ndarray:
    """Return which class of observation is at least as bad as which, in every respect.

    Parameters
    ----------
    winds, waters
        The classes.
    directions
        How many there are: not looked at first, then each, then any of them last.
    entered
        Whether the plan names the temperature of the water: then a lower one counts beside it.
        Otherwise a measured one takes the place of what was assumed.

    Returns
    -------
    array (class, class)
        True where the second is at least as bad as the first, by wind, direction and water.
    """
    wind = np.array([-1.0 if one.wind is None else one.wind for one in winds])
    gust = np.maximum([-1.0 if one.gust is None else one.gust for one in winds], wind)
    windier = (wind[:, None] <= wind) & (gust[:, None] <= gust)
    number = np.arange(directions)
    turned = (number[:, None] == number) | (number[:, None] == 0) | (number == directions - 1)
    cold = np.array([np.inf if one is None else one for one in waters])
    colder = cold[:, None] >= cold
    if not entered:
        colder[0, 1:] = False
    return np.kron(np.kron(windier, turned), colder).astype(bool)
