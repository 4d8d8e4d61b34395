"""Which limit holds for this craft and paddler, and where it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError
from safety_check.model.craft import Craft, Paddler
from safety_check.model.verdict import Limit
from safety_check.physics.wind import lowered_by_beaufort
from safety_check.rules.personal_limits import own_limits
from safety_check.settings.limits import ReductionEntry
from safety_check.settings.user_file import LimitTable

REDUCTION_CAUSES = {  # the fact that lowers the wind limits, in words
    "alone": "alone",
    "distance_from_shore": "far from shore",
    "open_water_downwind": "the wind blows off the shore",
    "water_temperature": "cold water",
}
CHANGEABLE_CAUSES = {"alone": "company"}  # what the user can change about a cause


@dataclass(frozen=True)
class Limits:
    """The limits of one craft and one paddler.

    Parameters
    ----------
    limits
        Quantity → limit; a quantity without one is not weighed for this paddler, or
        what would choose its limit has not been declared.
    defaults
        The same without the user's own.
    undeclared
        Quantities whose limit can't be chosen, since the paddler has not said.
    """

    limits: Mapping[str, Limit]
    defaults: Mapping[str, Limit]
    undeclared: frozenset[str]


def choose_limits(
    craft: Craft,
    paddler: Paddler,
    defaults: Mapping[tuple[str, str], Limit],
    personal: Iterable[LimitTable],
    night: bool = False,
    water: str = "",
) -> Limits:
    """Return the limits that hold on a water, personal ones over the defaults.

    Raises
    ------
    ConfigError
        Where a personal limit names an unknown quantity, is in the wrong order, or
        loosens a default without saying so.
    """
    keys, undeclared = _keys(craft, paddler, night)
    ours = {quantity: limit for (quantity, whom), limit in defaults.items() if whom in keys}
    own = own_limits(personal, craft.name, water, ours)
    missing = {quantity for (quantity, whom) in defaults if whom.split()[0] in undeclared}
    return Limits(ours | own, ours, frozenset(missing - ours.keys()))


def _keys(craft: Craft, paddler: Paddler, night: bool) -> tuple[set[str], set[str]]:
    keys, undeclared = {"any", craft.kind}, set()
    if paddler.wearing is None:
        undeclared.add("wearing")
    else:
        keys.add(f"wearing {paddler.wearing}")
    if paddler.light is None:
        undeclared.add("light")
    else:
        keys.add(f"light {'yes' if paddler.light else 'no'}")
    if paddler.light and night:
        keys.add("light yes at night")
    return keys, undeclared


# -- reductions of the wind limits --------------------------------------------------------


def total_reduction(
    reductions: Iterable[ReductionEntry], facts: Mapping[str, FloatArray], greatest: float
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Return by how many Beaufort numbers the wind limits fall, in all and by cause.

    Parameters
    ----------
    reductions
        As limits.toml lists them.
    facts
        Quantity → array that broadcasts to (member, hour), in the reduction's unit.
    greatest
        The most that all together lower a limit. [Beaufort numbers]

    Returns
    -------
    array, dict
        The sum, and name → part, all broadcast to (member, hour). [Beaufort numbers]
        A fact that is not known counts as true: it lowers the limit.
    """
    total: FloatArray = np.zeros(())
    parts: dict[str, FloatArray] = {}
    for entry in reductions:
        fact = facts[entry.when]
        spared = fact <= entry.above if entry.above is not None else fact > _required(entry.below)
        part = np.where(spared, 0.0, entry.beaufort)
        parts[entry.when] = parts.get(entry.when, np.zeros(())) + part
        total = total + part
    return np.minimum(total, greatest), parts


def _required(bound: float | None) -> float:
    if bound is None:
        raise ConfigError("limits.toml, a reduction has neither above nor below. Add one of them.")
    return bound


def bounds_after_reduction(
    limits: Limits, quantity: str, reductions: FloatArray | None
) -> tuple[FloatArray, FloatArray]:
    """Return the marginal and the no-go bound of a quantity as arrays.

    A personal limit stays as the user set it, but never above the lowered default,
    unless the user loosened it explicitly.

    Parameters
    ----------
    limits
        The limits that hold.
    quantity
        What is bounded.
    reductions
        By how many Beaufort numbers this limit falls; None where it is never lowered.

    Returns
    -------
    array, array
        In the limit's unit; infinite where a level is never reached.
    """
    limit = limits.limits[quantity]
    own = _as_arrays(limit)
    if reductions is None or limit.loosened is not None:
        return own
    default = _as_arrays(limits.defaults[quantity])
    moved = [lowered_by_beaufort(bound, reductions) for bound in default]
    return np.minimum(own[0], moved[0]), np.minimum(own[1], moved[1])


def _as_arrays(limit: Limit) -> tuple[FloatArray, FloatArray]:
    never = np.inf if limit.worse == "higher" else -np.inf
    no_go = never if limit.no_go is None else limit.no_go
    marginal = no_go if limit.marginal is None else limit.marginal
    return np.asarray(marginal, dtype=float), np.asarray(no_go, dtype=float)
