"""Add, list, show and remove the user's own craft."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from safety_check.cli import complete
from safety_check.cli.options import AsJson

app = typer.Typer(help="Your own craft.", no_args_is_help=True, rich_markup_mode=None)

Name = Annotated[str, typer.Argument(help="Your name for it.", show_default=False)]
OwnName = Annotated[
    str,
    typer.Argument(
        metavar="NAME",
        help="Your name for it.",
        show_default=False,
        autocompletion=complete.crafts,
    ),
]


@app.command()
def add(
    name: Name,
    kind: Annotated[str, typer.Option("--class", help="Its craft class; see craft list.")],
    cruise: Annotated[
        str | None,
        typer.Option(
            "--cruise", help='Speed you can hold for hours in calm: "2.5 mph".', show_default=False
        ),
    ] = None,
    length: Annotated[str | None, typer.Option(help='"12 ft".', show_default=False)] = None,
    beam: Annotated[str | None, typer.Option(help='"33 in".', show_default=False)] = None,
    troll: Annotated[
        str | None,
        typer.Option(help='Speeds that you troll at: "1.0-2.0 mph".', show_default=False),
    ] = None,
    default: Annotated[bool, typer.Option(help="Use it when no craft is named.")] = True,
) -> None:
    """Add a craft, or change one.

    Example: safety-check craft add "my kayak" --class sit-on-top-kayak --cruise "2.7 mph"
    """
    from safety_check.model.craft import with_article
    from safety_check.settings.crafts import load_craft_classes
    from safety_check.use_cases.own_craft import add_craft

    figures = {"cruise_speed": cruise, "length": length, "beam": beam, "troll": troll}
    add_craft(name, kind, figures, default)
    typer.echo(f"Added {name!r}, {with_article(load_craft_classes()[kind].label)}.")


@app.command("list")
def list_(as_json: AsJson = False) -> None:
    """List your craft, then the classes.

    Example: safety-check craft list
    """
    import json

    from safety_check.settings.crafts import load_craft_classes
    from safety_check.settings.settings import load_settings

    own = load_settings().user.craft
    classes = load_craft_classes()
    if as_json:
        typer.echo(
            json.dumps(
                {
                    "craft": {name: craft.kind for name, craft in own.items()},
                    "classes": {name: craft_class.label for name, craft_class in classes.items()},
                },
                indent=2,
                ensure_ascii=False,
            )
        )
        return
    for name, craft in own.items():
        typer.echo(f"{name}: {classes[craft.kind].label}")
    if not own:
        typer.echo(
            "You have not added a craft yet. Add one with: safety-check craft add NAME --class …"
        )
    typer.echo("\nClasses:")
    for name, each_class in classes.items():
        typer.echo(f"  {name:22} {each_class.label}")


@app.command("show")
def show_(name: OwnName, as_json: AsJson = False) -> None:
    """Show a craft's figures, their origin and how this class usually fails.

    Example: safety-check craft show sit-on-top-kayak
    """
    import json
    from dataclasses import asdict

    from safety_check.settings.crafts import load_craft_classes
    from safety_check.settings.settings import load_settings
    from safety_check.units import in_unit, show_pace
    from safety_check.use_cases.own_units import at_own_waters

    loaded = at_own_waters(load_settings())
    craft = loaded.craft(name)
    if as_json:
        typer.echo(json.dumps(asdict(craft), indent=2, ensure_ascii=False))
        return
    origin = load_craft_classes()[craft.kind]
    prefer = loaded.preferences
    typer.echo(f"{craft.name}: {craft.label}")
    typer.echo(f"  cruises at     {show_pace(craft.cruise_speed, prefer.pace)} in calm water")
    slow, fast = (f"{in_unit(speed, 'speed', prefer.pace):.1f}" for speed in craft.troll)
    typer.echo(f"  trolls at      {slow} to {fast} {prefer.pace}")
    typer.echo(f"  length, beam   {craft.length:.1f} m, {craft.beam:.2f} m")
    typer.echo(f"  hull drag      {craft.hull_drag:g} N per (m/s)²")
    typer.echo(f"  drag area      {craft.drag_area:g} m² in the wind")
    typer.echo(f"  thrust         {craft.greatest_thrust:g} N that you can hold for long")
    typer.echo(f"  how it fails   {craft.fails_by}")
    typer.echo(f"  figures        {origin.basis.replace('_', ' ')}: {origin.source}")


@app.command()
def remove(name: OwnName) -> None:
    """Remove a craft and its limits from your settings.

    Example: safety-check craft remove "my kayak"
    """
    from safety_check.use_cases.own_craft import remove_craft

    remove_craft(name)
    typer.echo(f"Removed {name!r}.")


@app.command()
def measure(
    name: OwnName,
    track: Annotated[
        Path | None,
        typer.Option(help="A GPX track with times, out and back.", show_default=False),
    ] = None,
    trip: Annotated[
        int | None,
        typer.Option(help="Or a logged trip with its track, by its number.", show_default=False),
    ] = None,
    wind: Annotated[
        str | None,
        typer.Option(
            help='The wind during it: "9 mph"; that of the logged trip if omitted.',
            show_default=False,
        ),
    ] = None,
    wind_from: Annotated[
        str | None,
        typer.Option("--from", help="Where it came from: NW, or degrees.", show_default=False),
    ] = None,
    save: Annotated[bool, typer.Option("--save", help="Store what makes your limits stricter.")] = (
        False
    ),
    loosen: Annotated[
        bool, typer.Option("--loosen", help="With --save: store it even if it is less strict.")
    ] = False,
) -> None:
    """Measure the speed you can hold, from your own track into the wind and back.

    Example: safety-check craft measure "my kayak" --track out-and-back.gpx --wind "9 mph" --from NW
    """
    from safety_check.cli.history import opened
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.measure import (
        Asked,
        describe_measurement,
        measure_as_asked,
        store_measurement,
    )

    loaded = load_settings()
    craft = loaded.craft(name)
    asked = Asked(track, trip, wind, wind_from)
    with opened(loaded) as store:
        found = measure_as_asked(craft, asked, store)
    for line in describe_measurement(craft, found, loaded):
        typer.echo(line)
    if save:
        typer.echo(store_measurement(craft, found, loaded, loosen))
