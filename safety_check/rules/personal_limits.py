"""The user's own limits: of a craft, of a water, or of a craft on a water."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from safety_check.errors import ConfigError, PlanError
from safety_check.model.verdict import Limit
from safety_check.settings.limits import require_order
from safety_check.settings.spelling import suggest_spelling
from safety_check.settings.user_file import LimitTable
from safety_check.units import parse

WINDS = ("wind_speed", "wind_speed_of_gust", "offshore_wind_speed")
KINDS = {"m s-1": "speed", "m": "length", "K": "temperature", "m3 s-1": "flow"}


def own_limits(
    personal: Iterable[LimitTable], craft: str, water: str, defaults: Mapping[str, Limit]
) -> dict[str, Limit]:
    """Return the user's own limits that hold for a craft on a water, by quantity.

    Of the limit of the craft and that of the water the stricter bounds count. A limit of a
    water for all craft that is looser than the default of this craft changes nothing for it,
    unless it was loosened.

    Raises
    ------
    ConfigError, PlanError
        As for `personal_limit`.
    """
    found: dict[str, Limit] = {}
    for table in personal:
        if _holds(table, craft, water):
            own, before = personal_limit(table, defaults), found.get(table.quantity)
            default = defaults[table.quantity]
            found[table.quantity] = own if before is None else _both(before, own, default)
    return found


def _holds(table: LimitTable, craft: str, water: str) -> bool:
    """Return whether a limit is for a craft and a water, whatever the capitals of its name."""
    of_water = table.water is None or table.water.casefold() == water.casefold()
    return of_water and table.craft in (None, craft)


def whose(table: LimitTable) -> str:
    """Return what a limit is for: "my kayak", "Orvel Lake" or "my kayak at Orvel Lake"."""
    return " at ".join(filter(None, (table.craft, table.water)))


def _both(one: Limit, other: Limit, default: Limit) -> Limit:
    """Return the stricter of two own limits, bound by bound."""
    both = replace(one, **_stricter_bounds(one, other))
    if both.applies_to != other.applies_to:
        both = replace(both, applies_to=f"{one.applies_to}; {other.applies_to}")
    return replace(both, loosened=default if looser(both, default) else None)


def _stricter_bounds(one: Limit, other: Limit) -> dict[str, Any]:
    """Return the stricter bounds of two limits, and the water that sets each."""
    bounds = {
        level: _tighter(getattr(one, level), getattr(other, level), one.worse)
        for level in ("marginal", "no_go")
    }
    set_at = tuple(
        (one if bound == getattr(one, level) else other).set_at[place]
        for place, (level, bound) in enumerate(bounds.items())
    )
    return {**bounds, "set_at": set_at}


def personal_limit(table: LimitTable, defaults: Mapping[str, Limit]) -> Limit:
    """Return a user's own limit, refused where it loosens a default without saying so."""
    default = defaults.get(table.quantity)
    if default is None:
        raise PlanError(
            f"{table.quantity!r} is not a quantity with a"
            f" limit.{suggest_spelling(table.quantity, sorted(defaults))} The quantities are"
            f" {', '.join(sorted(defaults))}.",
            field=f"{_of(table)}, quantity",
        )
    no_go = _bound(table.no_go, default, "no_go")
    marginal = _bound(table.marginal, default, "marginal")
    if table.marginal is None:
        marginal = _tighter(marginal, no_go, default.worse)
    try:
        require_order(marginal, no_go, default.worse)
    except ValueError as trouble:
        said = f"{_said(table.no_go)} for a no-go and {_said(table.marginal)} for a caution"
        raise ConfigError(
            f"{said}: a no-go cannot be reached before the caution. Change one of them.",
            field=f"{_of(table)}, no_go",
        ) from trouble
    own = replace(
        default,
        applies_to=whose(table),
        marginal=marginal,
        no_go=no_go,
        basis="personal",
        source="your own settings",
        set_at=(table.water or "", table.water or ""),
    )
    return _declared_loose(own, default, table)


def _said(text: str | None) -> str:
    return "the default" if text is None else repr(text)


def _of(table: LimitTable) -> str:
    return f"settings.toml, limit ({table.quantity}, {whose(table)})"


def _declared_loose(own: Limit, default: Limit, table: LimitTable) -> Limit:
    if not looser(own, default):
        return own
    if not table.loosen and table.craft is None:
        return replace(own, **_stricter_bounds(own, default))
    if not table.loosen:
        raise ConfigError(
            "this is looser than the default. Confirm it, and every report will repeat it; or"
            " choose a stricter value.",
            field=f"{_of(table)}, loosen",
            remedy="To confirm it: --loosen, or loosen = true in the file.",
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
    kind = kind_of_limit(default)
    if kind is None:
        raise PlanError("this limit cannot be changed.", field=f"{default.quantity} quantity")
    return parse(text, kind, f"{default.quantity} {field}")


def kind_of_limit(default: Limit) -> str | None:
    """Return the kind of unit that a limit is written in; None where it cannot be changed."""
    return "wind limit" if default.quantity in WINDS else KINDS.get(default.unit)
