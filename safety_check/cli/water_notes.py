"""Commands for what the user says about a water: local rules, and the drive to it."""

from __future__ import annotations

from typing import Annotated

import typer

from safety_check.cli import complete

OwnWater = Annotated[
    str,
    typer.Argument(
        help="A water that you added.", show_default=False, autocompletion=complete.waters
    ),
]


def rule(
    water: OwnWater,
    name: Annotated[
        str | None, typer.Option("--name", help="In your own words.", show_default=False)
    ] = None,
    add_wind: Annotated[
        str | None,
        typer.Option("--add-wind", help='To wind and gusts: "5 mph".', show_default=False),
    ] = None,
    hours: Annotated[
        str | None,
        typer.Option("--hours", help="12:00-18:00; all day if omitted.", show_default=False),
    ] = None,
    from_sector: Annotated[
        str | None,
        typer.Option(
            "--from", help="Wind from SW-NW, clockwise; any wind if omitted.", show_default=False
        ),
    ] = None,
    remove: Annotated[
        str | None,
        typer.Option("--remove", help="Remove the rule with this name.", show_default=False),
    ] = None,
) -> None:
    """Store what you learnt about a water as a rule that adds wind, never less wind.

    Every check of this water counts it, and names it where it decides. Without options, the
    rules are listed.

    Example: safety-check water rule "Orvel Lake" --name "west wind funnels from noon"
    --add-wind "5 mph" --hours 12:00-18:00 --from SW-NW
    """
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.water_notes import add_rule, read_rule, remove_rule

    loaded = load_settings()
    folder = loaded.folders.waters
    given = [option for option in (name, add_wind, hours, from_sector) if option is not None]
    if remove is not None:
        if given:
            raise PlanError("water rule --remove takes no other option. Give it alone.")
        remove_rule(water, remove, folder)
        typer.echo(f"Removed {remove!r}.")
    elif name is not None and add_wind is not None:
        replaced = add_rule(water, read_rule(name, add_wind, hours, from_sector), folder)
        typer.echo(f"{'Replaced' if replaced else 'Added'} {name!r}.")
    elif given:
        raise PlanError('water rule: give both --name and --add-wind, such as --add-wind "5 mph".')
    print_notes(water)


def print_notes(name: str) -> None:
    """Print the rules of a water, and the drive to it."""
    from safety_check.report.local_rules import describe_rule
    from safety_check.settings.settings import load_settings
    from safety_check.units import show
    from safety_check.waters import files

    loaded = load_settings()
    water = files.load(name, loaded.folders.waters)
    loaded = loaded.at_water(water)
    for one in water.rules:
        typer.echo(f"  rule {describe_rule(one, loaded.preferences)}")
    if water.drive is not None:
        typer.echo(f"  drive: {show(water.drive, 'duration', 'min')}")
