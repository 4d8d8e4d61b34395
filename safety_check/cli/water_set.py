"""The command that adds facts about a stored water."""

from __future__ import annotations

from typing import Annotated

import typer

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
    from safety_check.cli.water_notes import print_notes
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.water_facts import FactWords, set_facts
    from safety_check.use_cases.water_movement import MovementWords
    from safety_check.waters.open_water import summary

    moves = MovementWords(kind, bar, dam, launch, dries)
    said = FactWords(elevation, drive, moves, estimate, depth, excluded)
    if not said.anything:
        raise PlanError(
            "water set: give --elevation, --drive, --kind, --bar, --dam, --dries, --estimate,"
            " --depth or --excluded; nothing was changed."
        )
    water = set_facts(name, said, load_settings().folders.waters)
    typer.echo("\n".join([water.name, *(f"  {line}" for line in summary(water))]))
    print_notes(name)
