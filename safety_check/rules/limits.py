"""Which limit holds for this craft and paddler, and where it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.errors import ConfigError, PlanError
from safety_check.model.craft import Craft, Paddler
from safety_check.model.verdict import Limit
from safety_check.physics.wind import lowered_by_beaufort
from safety_check.settings.limits import ReductionEntry, require_order
from safety_check.settings.spelling import suggest_spelling
from safety_check.settings.user_file import LimitTable
from safety_check.units import parse

REDUCTION_CAUSES = {  # the fact that lowers the wind limits, in words
    "alone": "alone",
    "distance_from_shore": "far from shore",
    "open_water_downwind": "the wind blows off the shore",
    "water_temperature": "cold water",
}
CHANGEABLE_CAUSES = {"alone": "company"}  # what the user can change about a cause
KINDS = {"m s-1": "speed", "m": "length", "K": "temperature"}


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
) -> Limits:
    """Return the limits that hold, personal ones over the defaults.

    Raises
    ------
    ConfigError
        Where a personal limit names an unknown quantity, is in the wrong order, or
        loosens a default without saying so.
    """
    keys, undeclared = _keys(craft, paddler, night)
    ours = {quantity: limit for (quantity, whom), limit in defaults.items() if whom in keys}
    own = {
        table.quantity: personal_limit(table, ours)
        for table in personal
        if table.craft == craft.name
    }
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


def personal_limit(table: LimitTable, defaults: Mapping[str, Limit]) -> Limit:
    """Return a user's own limit, refused where it loosens a default without saying so."""
    default = defaults.get(table.quantity)
    if default is None:
        raise PlanError(
            f"settings.toml, limit ({table.quantity}, {table.craft}): {table.quantity!r} is not a"
            f" quantity with a limit.{suggest_spelling(table.quantity, sorted(defaults))}"
            f" The quantities are {', '.join(sorted(defaults))}."
        )
    no_go = _bound(table.no_go, default, "no_go")
    marginal = _bound(table.marginal, default, "marginal")
    if table.marginal is None:
        marginal = _tighter(marginal, no_go, default.worse)
    try:
        require_order(marginal, no_go, default.worse)
    except ValueError as trouble:
        raise ConfigError(
            f"settings.toml, limit ({table.quantity}, {table.craft}): {trouble}."
        ) from trouble
    own = replace(
        default,
        applies_to=table.craft,
        marginal=marginal,
        no_go=no_go,
        basis="personal",
        source="your own settings",
    )
    return _declared_loose(own, default, table)


def _declared_loose(own: Limit, default: Limit, table: LimitTable) -> Limit:
    if not looser(own, default):
        return own
    if not table.loosen:
        raise ConfigError(
            f"settings.toml, limit ({table.quantity}, {table.craft}): it is looser than the"
            " default. Confirm it with --loosen (loosen = true in the file), and every report will"
            " repeat it; or choose a stricter value."
        )
    return replace(own, loosened=default)


def looser(own: Limit, default: Limit) -> bool:
    """Return whether a limit permits anything that the default does not."""
    return any(
        _tighter(mine, theirs, default.worse) != mine
        for mine, theirs in ((own.marginal, default.marginal), (own.no_go, default.no_go))
    )


def _tighter(one: float | None, other: float | None, worse: str) -> float | None:
    if one is None or other is None:
        return one if other is None else other
    return min(one, other) if worse == "higher" else max(one, other)


def _bound(text: str | None, default: Limit, field: str) -> float | None:
    if text is None:
        return getattr(default, field)  # type: ignore[no-any-return]
    kind = KINDS.get(default.unit)
    if kind is None:
        raise PlanError(f"{default.quantity}: this limit cannot be changed.")
    return parse(text, kind, f"{default.quantity} {field}")


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
