"""The command that says more about a water that is already stored."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

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
) -> None:
    """Say how high a water lies, or how long you drive to it.

    Air temperatures for another height do not count. A check of another water may offer one that
    has its drive time.

    Example: safety-check water set "Heron Lake" --elevation "1200 ft"
    """
    from safety_check.cli.water_notes import print_notes
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.water_notes import set_drive
    from safety_check.waters import files
    from safety_check.waters.open_water import summary

    if elevation is None and drive is None:
        raise PlanError("water set: give --elevation, --drive, or both; nothing was changed.")
    folder = load_settings().folders.waters
    if elevation is not None:
        _set_elevation(name, elevation, folder)
    if drive is not None:
        set_drive(name, drive, folder)
    water = files.load(name, folder)
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
    files.save(replace(files.load(name, folder), elevation=metres), folder)
