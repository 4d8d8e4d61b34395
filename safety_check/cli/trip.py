"""The trip log, from which limits and forecast corrections are derived."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from safety_check.cli import complete
from safety_check.cli.options import AsJson, CraftName, WaterTemp

app = typer.Typer(help="The trip log.", no_args_is_help=True, rich_markup_mode=None)


@app.command()
def log(
    water: Annotated[
        str | None,
        typer.Argument(
            metavar="WATER",
            help="Which water; that of the last check if omitted.",
            show_default=False,
            autocompletion=complete.waters,
        ),
    ] = None,
    began: Annotated[
        str | None,
        typer.Option("--began", help='"today 06:00", "yesterday 5:30", ISO.', show_default=False),
    ] = None,
    ended: Annotated[
        str | None,
        typer.Option("--ended", help='"today 11:00", ISO.', show_default=False),
    ] = None,
    stayed: Annotated[bool, typer.Option("--stayed", help="You did not go.")] = False,
    wind: Annotated[
        str | None,
        typer.Option(help='"10-14 mph", or how the water looked: "whitecaps".', show_default=False),
    ] = None,
    gust: Annotated[str | None, typer.Option(help='"18 mph".', show_default=False)] = None,
    waves: Annotated[
        str | None, typer.Option(help='"1-2 ft", or flat.', show_default=False)
    ] = None,
    water_temp: WaterTemp = None,
    comfort: Annotated[
        str | None,
        typer.Option(help="1 (afraid) to 5 (at ease), or a word.", show_default=False),
    ] = None,
    notes: Annotated[str, typer.Option(help="Free text.", show_default=False)] = "",
    craft: CraftName = None,
    launch: Annotated[str | None, typer.Option("--launch", show_default=False)] = None,
    wind_from: Annotated[
        str | None,
        typer.Option("--from", help="Where the wind came from: NW.", show_default=False),
    ] = None,
    track: Annotated[
        Path | None,
        typer.Option(help="Its GPX track; only speeds and courses are stored.", show_default=False),
    ] = None,
    check: Annotated[
        int | None,
        typer.Option(
            "--check", help="The check it followed; found if omitted.", show_default=False
        ),
    ] = None,
) -> None:
    """Log a trip: whether you went, the conditions, and how it felt.

    Anything you leave out is taken from the last check of a trip that has begun.

    Example: safety-check trip log --wind "scattered whitecaps" --waves "1 ft" --comfort uneasy
    """
    from datetime import UTC, datetime

    from safety_check.cli.history import opened
    from safety_check.report import trips
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.own_units import at_own_waters
    from safety_check.use_cases.trip_log import TripReport, log_trip

    loaded = load_settings()
    told = TripReport(
        water=water,
        launch=launch,
        craft=craft,
        began=began,
        ended=ended,
        went=not stayed,
        wind=wind,
        gust=gust,
        waves=waves,
        water_temperature=water_temp,
        comfort=comfort,
        notes=notes,
        check=check,
        wind_from=wind_from,
        track=track,
    )
    with opened(loaded) as store:
        trip = log_trip(told, store, loaded, datetime.now(UTC))
    typer.echo(trips.trip_lines([trip], at_own_waters(loaded).preferences))


@app.command("list")
def list_(craft: CraftName = None, as_json: AsJson = False) -> None:
    """List the logged trips, oldest first.

    Example: safety-check trip list
    """
    from safety_check.cli.history import opened
    from safety_check.report import trips
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.own_units import at_own_waters

    loaded = load_settings()
    with opened(loaded) as store:
        logged = store.trips(craft)
    if as_json:
        _print_json(trips.rows(logged))
        return
    none = "No trips yet. After one, use: safety-check trip log --help"
    typer.echo(trips.trip_lines(logged, at_own_waters(loaded).preferences) or none)


@app.command()
def export(
    as_csv: Annotated[bool, typer.Option("--csv", help="Print CSV, the default.")] = False,
    as_json: AsJson = False,
) -> None:
    """Print the whole log for a spreadsheet or a program; SI units and UTC.

    Example: safety-check trip export --csv > trips.csv
    """
    from safety_check.cli.history import opened
    from safety_check.errors import PlanError
    from safety_check.report import trips
    from safety_check.settings.settings import load_settings

    if as_csv and as_json:
        raise PlanError("trip export: --csv and --json contradict each other. Give only one.")
    with opened(load_settings()) as store:
        logged = store.trips()
    if as_json:
        _print_json(trips.rows(logged))
    else:
        typer.echo(trips.as_csv(logged), nl=False)


@app.command()
def remove(
    number: Annotated[int, typer.Argument(help="Its number in trip list.", show_default=False)],
) -> None:
    """Delete a trip that was logged by mistake.

    Example: safety-check trip remove 3
    """
    from safety_check.cli.history import opened
    from safety_check.settings.settings import load_settings

    with opened(load_settings()) as store:
        store.remove_trip(number)
    typer.echo(f"Removed trip {number}.")


def _print_json(value: object) -> None:
    import json

    typer.echo(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))
