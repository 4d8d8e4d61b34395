"""The user's waters: add, list, show, remove."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli.options import AsJson

if TYPE_CHECKING:
    from safety_check.model.place import Launch, Water

app = typer.Typer(help="Your waters.", no_args_is_help=True, rich_markup_mode=None)

Name = Annotated[str, typer.Argument(help="What you call it.", show_default=False)]


@app.command()
def add(
    name: Name,
    file: Annotated[
        Path | None,
        typer.Option(help="GeoJSON: one polygon, launches as points.", show_default=False),
    ] = None,
    fetch: Annotated[
        str | None,
        typer.Option(
            help='Instead of a file, open water by sector: "N 800 m, E 1 mi, S 0.5 mi, W 300 m".',
            show_default=False,
        ),
    ] = None,
    depth: Annotated[
        str | None, typer.Option(help='"8 m"; deep water without it.', show_default=False)
    ] = None,
    launch: Annotated[
        list[str] | None,
        typer.Option(help='"ramp=43.201,-72.105"; may stand several times.', show_default=False),
    ] = None,
) -> None:
    """Add a water from its shoreline, or from a table of open water by sector.

    Example: safety-check water add "Heron Lake" --file heron.geojson --depth "8 m"
    """
    from safety_check import settings, water_file
    from safety_check.errors import PlanError
    from safety_check.units import parse
    from safety_check.water_add import from_geojson, from_sectors

    metres = None if depth is None else parse(depth, "length", "depth")
    launches = [_launch(each) for each in launch or []]
    if (file is None) == (fetch is None):
        raise PlanError("water add: give either --file with a shoreline, or --fetch with sectors.")
    if file is not None:
        water = from_geojson(name, file, metres, launches)
    elif len(launches) == 1 and fetch is not None:
        water = from_sectors(name, fetch, launches[0], metres)
    else:
        raise PlanError('water add --fetch: it holds for one launch. Add: --launch "ramp=LAT,LON"')
    folder = settings.load().folders.waters
    water_file.save(water, folder)
    typer.echo(f"Added {name!r}.")
    _describe(water)


def _launch(text: str) -> Launch:
    from safety_check.errors import PlanError
    from safety_check.model.place import Launch

    name, _, at = text.rpartition("=")
    try:
        latitude, longitude = (float(part) for part in at.split(","))
    except ValueError:
        raise PlanError(
            f'launch {text!r} can\'t be read. Write NAME=LATITUDE,LONGITUDE: "ramp=43.201,-72.105".'
        ) from None
    if not (name and -90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise PlanError(
            f"launch {text!r} is no named point on Earth. Write NAME=LATITUDE,LONGITUDE, latitude"
            " first."
        )
    return Launch(name.strip(), latitude, longitude)


@app.command("list")
def list_(as_json: AsJson = False) -> None:
    """List your waters.

    Example: safety-check water list
    """
    import json

    from safety_check import settings, water_file

    names = water_file.names(settings.load().folders.waters)
    if as_json:
        typer.echo(json.dumps(names, ensure_ascii=False))
    elif names:
        typer.echo("\n".join(names))
    else:
        typer.echo("No water yet. Add one with: safety-check water add NAME --file SHORE.geojson")


@app.command()
def show(name: Name, as_json: AsJson = False) -> None:
    """Show a water: launches, size, depth, what was mended in its shape.

    Example: safety-check water show "Heron Lake"
    """
    from safety_check import settings, water_file

    folder = settings.load().folders.waters
    water = water_file.load(name, folder)
    if as_json:
        typer.echo((folder / f"{water_file.slug(name)}.geojson").read_text(encoding="utf-8"))
        return
    typer.echo(water.name)
    _describe(water)


@app.command()
def remove(name: Name) -> None:
    """Remove a water.

    Example: safety-check water remove "Heron Lake"
    """
    from safety_check import settings, water_file

    water_file.remove(name, settings.load().folders.waters)
    typer.echo(f"Removed {name!r}.")


def _describe(water: Water) -> None:
    from safety_check.open_water import summary

    for line in summary(water):
        typer.echo(f"  {line}")
