"""Store what the user says of a water's movement, and propose what it may be."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

from safety_check.errors import PlanError
from safety_check.model.place import Water, WaterKind
from safety_check.settings.launches import load_sea
from safety_check.units import parse
from safety_check.waters import files
from safety_check.waters.movement import GREATEST_TIDE
from safety_check.waters.nearness import say_if_by_sea

NONE = "none"
KINDS = ", ".join(WaterKind)
MEANINGS = (
    "still: a lake or reservoir; tidal: the tide reaches it; flowing: a river; both: a river that"
    " the tide reaches"
)


@dataclass(frozen=True)
class MovementWords:
    """What the user says of a water's movement, in words; None where nothing was said.

    Parameters
    ----------
    kind
        A word of `WaterKind`.
    bar, dam
        Whether a bar, race or inlet is near, and a dam upstream.
    launch, dries
        A launch, and the height of the tide at which it falls dry: "0.5 m", or "none".
    """

    kind: str | None = None
    bar: bool | None = None
    dam: bool | None = None
    launch: str | None = None
    dries: str | None = None

    @property
    def anything(self) -> bool:
        """Whether anything was said."""
        return self != MovementWords()


def with_movement(water: Water, said: MovementWords) -> Water:
    """Return a water with what the user says of its movement.

    Raises
    ------
    PlanError
        Where a word can't be read, or --launch and --dries are not given together.
    """
    if said.kind is not None:
        water = replace(water, kind=read_kind(said.kind, "--kind"))
    if said.bar is not None:
        water = replace(water, bar=said.bar)
    if said.dam is not None:
        water = replace(water, dam=said.dam)
    return _with_dries(water, said)


def read_kind(text: str, field: str) -> WaterKind:
    """Return what a water is, as the user says it.

    Examples
    --------
    >>> read_kind(" Tidal ", "--kind")
    <WaterKind.TIDAL: 'tidal'>
    """
    try:
        return WaterKind(text.strip().casefold())
    except ValueError:
        raise PlanError(f"{text!r}: give {KINDS} ({MEANINGS}).", field=field) from None


def _with_dries(water: Water, said: MovementWords) -> Water:
    if said.launch is None and said.dries is None:
        return water
    if said.launch is None or said.dries is None:
        raise PlanError(
            'water set: --launch and --dries belong together: --launch ramp --dries "0.5 m" says'
            " that the ramp falls dry when the tide is 0.5 m above the datum of its tide table."
        )
    chosen = files.launch_named(water, said.launch)
    if chosen not in water.launches:
        raise PlanError(
            f"water set --launch {said.launch!r}: name a launch of {water.name}; a point has no"
            " place in its file."
        )
    dried = replace(chosen, dries=_height(said.dries))
    launches = tuple(dried if launch == chosen else launch for launch in water.launches)
    return replace(water, launches=launches)


def _height(text: str) -> float | None:
    if text.strip().casefold() == NONE:
        return None
    below = text.strip().startswith(("-", "−"))
    metres = parse(text.strip().lstrip("-−"), "length", "--dries")
    if not (math.isfinite(metres) and metres <= GREATEST_TIDE):
        raise PlanError(
            f"{text!r}: no tide is so high. Give the height of the tide at which the launch"
            ' falls dry, as the tide table counts it: "0.5 m", or none.',
            field="--dries",
        )
    return -metres if below else metres


def propose_kind(water: Water, cache: Path, flowing: bool = False) -> str:
    """Return why a water may move, in words; empty where nothing speaks for it.

    Parameters
    ----------
    water
        With its launches.
    cache
        Where the nearness of the sea is stored.
    flowing
        Whether the map says that it flows.
    """
    reasons = []
    if any(say_if_by_sea(water, launch, cache).by_sea for launch in water.launches):
        far = load_sea().within / 1000
        reasons.append(f"the sea is within {far:.0f} km of a launch, so it may be tidal")
    if flowing:
        reasons.append("the map says that it flows")
    return "; ".join(reasons)
