"""The command that adds facts about a stored water."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from safety_check.model.place import Water
    from safety_check.model.water_estimate import EstimateBasis

Name = Annotated[str, typer.Argument(help="Your name for it.", show_default=False)]


def set_(
    name: Name,
    elevation: Annotated[
        str | None,
        typer.Option(
            help='Height of its surface above sea level: "1200 ft"; "-50 m" is below it.',
            show_default=False,
        ),
    ] = None,
    drive: Annotated[
        str | None,
        typer.Option(help='How long you drive to it: "45 min".', show_default=False),
    ] = None,
    estimate: Annotated[
        bool | None,
        typer.Option(
            "--estimate/--no-estimate",
            help="Whether its temperature may be estimated from the air where nobody measured it.",
            show_default=False,
        ),
    ] = None,
    depth: Annotated[
        str | None,
        typer.Option(
            help='For the estimate: pond, reservoir, deep, "not deep", or the mean depth ("8 m").',
            show_default=False,
        ),
    ] = None,
    excluded: Annotated[
        list[str] | None,
        typer.Option(
            help="What rules out an estimate: dam (below one), melt (glacier, snow, springs), sea"
            ' (connected with it), "great lake", or none; may be repeated.',
            show_default=False,
        ),
    ] = None,
) -> None:
    """Say how high a water lies, how far you drive, and whether its temperature may be estimated.

    Air temperatures for another height do not count. A check of another water may offer one that
    has its drive time. An estimate is a range, with a cold end that decides; it needs the
    elevation and the depth, and you must say whether anything rules it out.

    Example: safety-check water set "Orvel Lake" --elevation "1200 ft"
    """
    from dataclasses import replace

    from safety_check.cli.water_notes import print_notes
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.water_notes import set_drive
    from safety_check.waters import files
    from safety_check.waters.open_water import summary

    if all(value is None for value in (elevation, drive, estimate, depth, excluded)):
        raise PlanError(
            "water set: give --elevation, --drive, --estimate, --depth or --excluded; nothing was"
            " changed."
        )
    folder = load_settings().folders.waters
    basis = _basis(files.load(name, folder), estimate, depth, excluded)
    if elevation is not None:
        _set_elevation(name, elevation, folder)
    if drive is not None:
        set_drive(name, drive, folder)
    water = files.load(name, folder)
    if basis != water.estimate:
        water = replace(water, estimate=basis)
        files.change(water, folder)
    typer.echo("\n".join([water.name, *(f"  {line}" for line in summary(water))]))
    print_notes(name)


def _set_elevation(name: str, elevation: str, folder: Path) -> None:
    from dataclasses import replace

    from safety_check.errors import PlanError
    from safety_check.model.place import HIGHEST, LOWEST
    from safety_check.units import parse
    from safety_check.waters import files

    below = elevation.strip().startswith(("-", "−"))
    metres = parse(elevation.strip().lstrip("-−"), "length", "elevation")
    metres = -metres if below else metres
    if not LOWEST <= metres <= HIGHEST:
        raise PlanError(
            f"--elevation {elevation!r}: no water on Earth lies at {metres:.0f} m. Give the height"
            " of its surface above sea level."
        )
    files.change(replace(files.load(name, folder), elevation=metres), folder)


def _basis(
    water: Water, estimate: bool | None, depth: str | None, excluded: list[str] | None
) -> EstimateBasis | None:
    """Return what allows an estimate; earlier answers hold where no new one is given."""
    from dataclasses import replace

    from safety_check.errors import PlanError
    from safety_check.model.water_estimate import EXCLUSIONS, EstimateBasis

    allowed = water.estimate is not None if estimate is None else estimate
    if not allowed:
        if depth is not None or excluded is not None:
            raise PlanError(
                "water set: --depth and --excluded belong to an estimate of the water temperature."
                " Add --estimate to allow it."
            )
        return None
    basis = water.estimate or EstimateBasis()
    if depth is not None:
        kind, metres = _depth(depth)
        basis = replace(basis, depth=kind, mean_depth=metres)
    if excluded is not None:
        unknown = set(excluded) - EXCLUSIONS.keys() - {"none"}
        if unknown:
            raise PlanError(
                f"--excluded {min(unknown)!r}: give {', '.join(EXCLUSIONS)} or none; may be"
                " repeated."
            )
        basis = replace(basis, excluded=tuple(one for one in excluded if one != "none"))
    if not basis.depth and basis.mean_depth is None:
        raise PlanError(
            'water set --estimate: say how deep the water is: --depth pond, reservoir, "not deep"'
            ' or its mean depth ("8 m").'
        )
    return basis


def _depth(depth: str) -> tuple[str, float | None]:
    """Return a class of depth, or a mean depth. [m]."""
    from safety_check.model.water_estimate import DEPTH_CLASSES
    from safety_check.units import parse

    if depth.strip().casefold() in DEPTH_CLASSES:
        return depth.strip().casefold(), None
    return "", parse(depth, "length", "mean depth")
