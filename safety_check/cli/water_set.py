"""The command that says more about a water that is already stored."""

from __future__ import annotations

from typing import Annotated

import typer

Name = Annotated[str, typer.Argument(help="Your name for it.", show_default=False)]


def set_(
    name: Name,
    elevation: Annotated[
        str,
        typer.Option(
            help='Height of its surface above sea level: "1200 ft"; "-50 m" is below it.',
            show_default=False,
        ),
    ],
) -> None:
    """Say how high a water lies; air temperatures for another height do not count.

    Example: safety-check water set "Heron Lake" --elevation "1200 ft"
    """
    from dataclasses import replace

    from safety_check.errors import PlanError
    from safety_check.model.place import HIGHEST, LOWEST
    from safety_check.settings.settings import load_settings
    from safety_check.units import parse
    from safety_check.waters import files
    from safety_check.waters.open_water import summary

    folder = load_settings().folders.waters
    below = elevation.strip().startswith(("-", "−"))
    metres = parse(elevation.strip().lstrip("-−"), "length", "elevation")
    metres = -metres if below else metres
    if not LOWEST <= metres <= HIGHEST:
        raise PlanError(
            f"--elevation {elevation!r}: no water on Earth lies at {metres:.0f} m. Give the height"
            " of its surface above sea level."
        )
    water = replace(files.load(name, folder), elevation=metres)
    files.save(water, folder)
    typer.echo("\n".join([water.name, *(f"  {line}" for line in summary(water))]))
