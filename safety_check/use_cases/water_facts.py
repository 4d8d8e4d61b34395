"""Store what the user says of a water: all of it or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from safety_check.errors import PlanError
from safety_check.model.place import HIGHEST, LOWEST, Water
from safety_check.model.water_estimate import DEPTH_CLASSES, EXCLUSIONS, EstimateBasis
from safety_check.units import parse
from safety_check.use_cases.water_movement import MovementWords, with_movement
from safety_check.use_cases.water_notes import read_drive_time
from safety_check.waters import files
from safety_check.waters.add import DEEPEST

NOTHING = "none"
NOT_SAID = MovementWords()


@dataclass(frozen=True)
class FactWords:
    """What the user says of a water, in words; None where nothing was said.

    Parameters
    ----------
    elevation
        Height of its surface above sea level: "1200 ft"; "-50 m" is below it.
    drive
        How long the user drives to it: "45 min".
    movement
        Whether and how it moves.
    estimate
        Whether its temperature may be estimated.
    depth, excluded
        For the estimate: how deep it is, and what rules an estimate out.
    """

    elevation: str | None = None
    drive: str | None = None
    movement: MovementWords = NOT_SAID
    estimate: bool | None = None
    depth: str | None = None
    excluded: Sequence[str] | None = None

    @property
    def anything(self) -> bool:
        """Whether anything was said."""
        return self != FactWords()


def set_facts(name: str, said: FactWords, folder: Path) -> Water:
    """Store what the user says of a water; return the water as it is now.

    Raises
    ------
    PlanError
        Where a part cannot be used; nothing is changed then.
    """

    def edit(water: Water) -> Water:
        water = replace(water, estimate=_basis(water, said))
        if said.elevation is not None:
            water = replace(water, elevation=_elevation(said.elevation))
        if said.drive is not None:
            water = replace(water, drive=read_drive_time(said.drive))
        return with_movement(water, said.movement) if said.movement.anything else water

    return files.change(name, folder, edit)


def _elevation(text: str) -> float:
    below = text.strip().startswith(("-", "−"))
    metres = parse(text.strip().lstrip("-−"), "length", "elevation")
    metres = -metres if below else metres
    if not LOWEST <= metres <= HIGHEST:
        raise PlanError(
            f"{text!r}: no water on Earth lies at {metres:.0f} m. Give the height of its surface"
            " above sea level.",
            field="--elevation",
        )
    return metres


def _basis(water: Water, said: FactWords) -> EstimateBasis | None:
    """Return what allows an estimate; earlier answers hold where no new one is given."""
    allowed = water.estimate is not None if said.estimate is None else said.estimate
    if not allowed:
        if said.depth is not None or said.excluded is not None:
            raise PlanError(
                "depth and exclusions belong to an estimate of the water temperature. Allow it"
                " first.",
                field="estimate",
                remedy="Add --estimate to --depth and --excluded.",
            )
        return None
    basis = water.estimate or EstimateBasis()
    if said.depth is not None:
        kind, metres = _depth(said.depth)
        basis = replace(basis, depth=kind, mean_depth=metres)
    if said.excluded is not None:
        unknown = set(said.excluded) - EXCLUSIONS.keys() - {NOTHING}
        if unknown:
            raise PlanError(
                f"{min(unknown)!r}: give {', '.join(EXCLUSIONS)} or none; may be repeated.",
                field="--excluded",
            )
        basis = replace(basis, excluded=tuple(one for one in said.excluded if one != NOTHING))
    _require_declared(basis)
    return basis


def _require_declared(basis: EstimateBasis) -> None:
    """Raise where the depth is not declared, or whether anything rules an estimate out."""
    if not basis.depth and basis.mean_depth is None:
        raise PlanError(
            'say how deep the water is: pond, reservoir, "not deep" or its mean depth ("8 m").',
            field="--depth",
        )
    if basis.excluded is None:
        reasons = ", ".join(f'"{name}" if {why.split(",")[0]}' for name, why in EXCLUSIONS.items())
        raise PlanError(
            f"say what rules an estimate out: none if nothing does, {reasons}. Nothing was"
            " changed.",
            field="--excluded",
            remedy="Where nothing does: --excluded none.",
        )


def _depth(depth: str) -> tuple[str, float | None]:
    """Return a class of depth, or a mean depth. [m]."""
    if depth.strip().casefold() in DEPTH_CLASSES:
        return depth.strip().casefold(), None
    metres = parse(depth, "length", "mean depth")
    if not 0 < metres < DEEPEST:
        raise PlanError(
            f"{depth!r}: no water has this mean depth. Give one that is greater than zero and less"
            f" than {DEEPEST:.0f} m, for example 8 m.",
            field="--depth",
        )
    return "", metres
