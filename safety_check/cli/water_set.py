"""The command that adds facts about a stored water."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from safety_check.model.place import Water
    from safety_check.model.water_estimate import EstimateBasis

Name = Annotated[str, typer.Argument(help="Your name for it.", show_default=False)]

Kind = Annotated[
    str | None,
    typer.Option(
        help="Whether it moves: still, tidal, flowing, or both.",
        show_default=False,
    ),
]
app = typer.Typer(help="Your waters.", no_args_is_help=True, rich_markup_mode=None)


@app.command("set")
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
    kind: Kind = None,
    bar: Annotated[
        bool | None,
        typer.Option(
            "--bar/--no-bar",
            help="Whether a bar, a race or an inlet is near: NO-GO on the ebb.",
            show_default=False,
        ),
    ] = None,
    dam: Annotated[
        bool | None,
        typer.Option(
            "--dam/--no-dam",
            help="Whether a dam upstream can release water.",
            show_default=False,
        ),
    ] = None,
    launch: Annotated[
        str | None,
        typer.Option("--launch", help="The launch that --dries is about.", show_default=False),
    ] = None,
    dries: Annotated[
        str | None,
        typer.Option(
            help='The tide at which that launch falls dry: "0.5 m", as the tide table counts it.',
            show_default=False,
        ),
    ] = None,
) -> None:
    """Say what a water is: its height, drive and movement, and whether it may be estimated.

    Air temperatures for another height do not count. A check of another water may offer one that
    has its drive time. An estimate of its temperature is a range, with a cold end that decides;
    it needs the elevation and the depth, and you must say whether anything rules it out. Where a
    water is tidal, its tide and current must be known; where it flows, its level.

    Example: safety-check water set "Orvel Lake" --elevation "1200 ft"
    """
    from dataclasses import replace

    from safety_check.cli.water_notes import print_notes
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.water_movement import MovementWords, set_movement
    from safety_check.use_cases.water_notes import set_drive
    from safety_check.waters import files
    from safety_check.waters.open_water import summary

    moves = MovementWords(kind, bar, dam, launch, dries)
    others = (elevation, drive, estimate, depth, excluded)
    if all(value is None for value in others) and not moves.anything:
        raise PlanError(
            "water set: give --elevation, --drive, --kind, --bar, --dam, --dries, --estimate,"
            " --depth or --excluded; nothing was changed."
        )
    folder = load_settings().folders.waters
    basis = _basis(files.load(name, folder), estimate, depth, excluded)
    if elevation is not None:
        _set_elevation(name, elevation, folder)
    if drive is not None:
        set_drive(name, drive, folder)
    if moves.anything:
        set_movement(name, moves, folder)
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
    _require_declared(basis)
    return basis


def _require_declared(basis: EstimateBasis) -> None:
    """Raise where the depth is not declared, or whether anything rules an estimate out."""
    from safety_check.errors import PlanError
    from safety_check.model.water_estimate import EXCLUSIONS

    if not basis.depth and basis.mean_depth is None:
        raise PlanError(
            'water set --estimate: say how deep the water is: --depth pond, reservoir, "not deep"'
            ' or its mean depth ("8 m").'
        )
    if basis.excluded is None:
        reasons = ", ".join(f'"{name}" if {why.split(",")[0]}' for name, why in EXCLUSIONS.items())
        raise PlanError(
            "water set --estimate: say what rules an estimate out: --excluded none if nothing does,"
            f" {reasons}. Nothing was changed."
        )


def _depth(depth: str) -> tuple[str, float | None]:
    """Return a class of depth, or a mean depth. [m]."""
    from safety_check.model.water_estimate import DEPTH_CLASSES
    from safety_check.units import parse

    if depth.strip().casefold() in DEPTH_CLASSES:
        return depth.strip().casefold(), None
    return "", parse(depth, "length", "mean depth")
