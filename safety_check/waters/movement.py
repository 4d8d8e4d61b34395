"""What a water's file says about its movement: still, tidal or flowing, and what is special."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from safety_check.model.place import Launch, Water, WaterKind

GREATEST_TIDE = 20.0  # m; no tide on Earth is higher
IN_WORDS = {
    WaterKind.STILL: "still",
    WaterKind.TIDAL: "tidal",
    WaterKind.FLOWING: "flowing",
    WaterKind.BOTH: "tidal and flowing",
}
SAY_IT = "say it with water set --kind still, tidal, flowing or both"
NOT_SAID = f"not said; {SAY_IT}"
COUNTS_AS_TIDAL = f"not said; near the sea, so it counts as tidal; {SAY_IT}"


def read_kind(own: Mapping[str, Any]) -> WaterKind | None:
    """Return whether a water moves; None in files that do not say.

    Raises
    ------
    ValueError
        For any other word: without it a check could be too mild.
    """
    said = own.get("kind")
    return None if said is None else WaterKind(said)


def read_mark(own: Mapping[str, Any], name: str) -> bool:
    """Return a yes-or-no mark of a water's file, "bar" or "dam"; False where it has none."""
    said = own.get(name, False)
    if not isinstance(said, bool):
        raise ValueError(f"{name} = {said!r}")
    return said


def with_dries(
    launches: Sequence[Launch], features: Sequence[Mapping[str, Any]]
) -> tuple[Launch, ...]:
    """Return launches with the height at which each falls dry, as their features say."""
    points = [feature for feature in features if feature["geometry"]["type"] == "Point"]
    return tuple(
        replace(launch, dries=_height(point["properties"].get("dries_m")))
        for launch, point in zip(launches, points, strict=True)
    )


def _height(said: Any) -> float | None:
    if said is None:
        return None
    if not (math.isfinite(float(said)) and abs(float(said)) <= GREATEST_TIDE):
        raise ValueError(f"dries_m = {said!r}")
    return float(said)


def keep_movement(water: Water, before: Water) -> Water:
    """Return a water with what was said about the movement of the one that it replaces."""
    dry = {launch.name: launch.dries for launch in before.launches}
    launches = tuple(
        replace(launch, dries=dry.get(launch.name)) if launch.dries is None else launch
        for launch in water.launches
    )
    return replace(
        water,
        launches=launches,
        kind=water.kind or before.kind,
        bar=water.bar or before.bar,
        dam=water.dam or before.dam,
    )


def movement_as_json(water: Water) -> dict[str, Any]:
    """Return what a water's file says about its movement."""
    return {"kind": water.kind and water.kind.value, "bar": water.bar, "dam": water.dam}


def describe_movement(water: Water) -> list[str]:
    """Return what is said about a water's movement in a few lines for a person."""
    not_said = COUNTS_AS_TIDAL if water.by_sea else NOT_SAID
    lines = [f"movement: {not_said if water.kind is None else IN_WORDS[water.kind]}"]
    if water.bar:
        lines.append("marked: a bar, race or inlet near the launch")
    if water.dam:
        lines.append("marked: a dam upstream")
    return lines
