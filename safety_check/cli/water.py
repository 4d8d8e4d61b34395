"""Add, list, show, remove and map the user's waters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli import complete, water_notes
from safety_check.cli.options import (
    AsJson,
    AsOf,
    CraftName,
    End,
    ForecastFile,
    Hours,
    LaunchName,
    Reach,
    Route,
    Start,
    Verbose,
    WaterName,
)
from safety_check.cli.printed import written
from safety_check.cli.water_set import Kind, app

if TYPE_CHECKING:
    from safety_check.model.place import Water
    from safety_check.settings.settings import Settings
    from safety_check.use_cases.plan_request import PlanRequest
    from safety_check.use_cases.wave_map import MapResult


app.command("rule")(water_notes.rule)

Name = Annotated[str, typer.Argument(help="Your name for it.", show_default=False)]
OwnName = Annotated[
    str,
    typer.Argument(
        metavar="NAME",
        help="Your name for it.",
        show_default=False,
        autocompletion=complete.waters,
    ),
]


@app.command()
def add(
    name: Name,
    file: Annotated[
        Path | None,
        typer.Option(
            help="GeoJSON, GPX or KML file: a polygon or closed track, launches as points.",
            show_default=False,
        ),
    ] = None,
    fetch: Annotated[
        str | None,
        typer.Option(
            help='Instead of a file, fetch by sector: "N 800 m, E 1 mi, S 0.5 mi, W 300 m".',
            show_default=False,
        ),
    ] = None,
    near: Annotated[
        str | None,
        typer.Option(
            help="Download the shoreline from OpenStreetMap at LAT,LON.", show_default=False
        ),
    ] = None,
    find: Annotated[
        str | None,
        typer.Option(
            help='Download the shoreline from OpenStreetMap by name: "Orvel Lake, Minnesota".',
            show_default=False,
        ),
    ] = None,
    pick: Annotated[
        str | None,
        typer.Option(
            help="Which water, where a file or a name has several: its name or number.",
            show_default=False,
        ),
    ] = None,
    depth: Annotated[
        str | None, typer.Option(help='Depth, "8 m"; deep water if omitted.', show_default=False)
    ] = None,
    launch: Annotated[
        list[str] | None,
        typer.Option(
            help='"ramp=43.201,-72.105", or a file with points; may be repeated.',
            show_default=False,
        ),
    ] = None,
    kind: Kind = None,
    yes: Annotated[
        bool,
        typer.Option("--yes", help="Ask nothing; use the nearest water or the best match."),
    ] = False,
    verbose: Verbose = False,
) -> None:
    """Add a water from a shoreline file, OpenStreetMap, or fetch by sector.

    Example: safety-check water add "Orvel Lake" --find "Orvel Lake, Minnesota" --depth "8 m"
    """
    from safety_check.cli import new_water
    from safety_check.errors import PlanError
    from safety_check.units import parse
    from safety_check.use_cases.new_water import read_launches
    from safety_check.use_cases.water_movement import read_kind
    from safety_check.waters.add import from_sectors

    moves = None if kind is None else read_kind(kind, "--kind")
    metres = None if depth is None else parse(depth, "length", "depth")
    launches = read_launches(launch or [])
    if sum(option is not None for option in (file, fetch, near, find)) != 1:
        raise PlanError(
            "water add: give one of --file with a shoreline, --find NAME or --near LAT,LON to"
            " download one, or --fetch with sectors."
        )
    wanted = new_water.Wanted(name, metres, launches, pick, yes)
    if file is not None:
        water = new_water.water_from_file(wanted, file)
    elif near is not None:
        water = new_water.water_near(wanted, near)
    elif find is not None:
        water = new_water.water_named(wanted, find)
    elif len(launches) == 1 and fetch is not None:
        water = from_sectors(name, fetch, launches[0], metres)
    else:
        raise PlanError(
            'water add --fetch: sectors describe one launch. Add --launch "ramp=LAT,LON"'
        )
    new_water.store(new_water.with_kind(water, moves, quiet=yes))


@app.command("list")
def list_(as_json: AsJson = False) -> None:
    """List your waters.

    Example: safety-check water list
    """
    import json

    from safety_check.settings.settings import load_settings
    from safety_check.waters import files

    names = files.names(load_settings().folders.waters)
    if as_json:
        typer.echo(json.dumps(names, ensure_ascii=False))
    elif names:
        typer.echo("\n".join(names))
    else:
        typer.echo("No waters yet. Add one with: safety-check water add NAME --find NAME")


@app.command()
def show(name: OwnName, as_json: AsJson = False) -> None:
    """Show a water: launches, size, depth, repairs of its shape.

    Example: safety-check water show "Orvel Lake"
    """
    from safety_check.settings.settings import load_settings
    from safety_check.waters import files
    from safety_check.waters.nearness import say_if_by_sea

    folders = load_settings().folders
    folder = folders.waters
    water = files.load(name, folder)
    if as_json:
        typer.echo((folder / f"{files.slug(name)}.geojson").read_text(encoding="utf-8"))
        return
    if water.launches:
        water = say_if_by_sea(water, water.launches[0], folders.cache)
    typer.echo(water.name)
    _describe(water)
    water_notes.print_notes(name)


@app.command()
def remove(name: OwnName) -> None:
    """Remove a water.

    Example: safety-check water remove "Orvel Lake"
    """
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.saved_plans import describe_what_names
    from safety_check.waters import files

    settings = load_settings()
    files.remove(name, settings.folders.waters)
    typer.echo(f"Removed {name!r}.")
    for line in describe_what_names(name, settings):
        typer.echo(line)


@app.command("map")
def map_(
    water: WaterName,
    out: Annotated[Path, typer.Option("--out", help="The SVG file to write.")],
    launch: LaunchName = None,
    wind: Annotated[
        str | None, typer.Option("--wind", help='Wind speed: "12 mph".', show_default=False)
    ] = None,
    from_direction: Annotated[
        str | None,
        typer.Option(
            "--from", help="Direction the wind comes from: NW, or 315.", show_default=False
        ),
    ] = None,
    craft: CraftName = None,
    forecast: ForecastFile = None,
    start: Start = None,
    hours: Hours = None,
    end: End = None,
    reach: Reach = None,
    route: Route = None,
    at: Annotated[
        str | None,
        typer.Option("--at", help="Which hour; the roughest if omitted.", show_default=False),
    ] = None,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Map the waves on a water for one wind, or for an hour of a trip.

    Example: safety-check water map "Orvel Lake" --wind "12 mph" --from NW --out orvel.svg
    """
    from safety_check.errors import PlanError
    from safety_check.report.credits import data_credits
    from safety_check.report.map import lake_map
    from safety_check.report.words import assumed_reach
    from safety_check.settings import toml_file
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.plan_request import PlanRequest
    from safety_check.use_cases.saved_plans import fill_from_saved

    if (wind is None) == (start is None) or (wind is None) != (from_direction is None):
        raise PlanError(
            'water map: give either one wind, --wind "12 mph" --from NW, or a trip, --start'
            ' "tomorrow 06:00" --hours 5.'
        )
    if start is not None:
        from safety_check.cli import ask  # numpy and pydantic only where they are needed

        reach = ask.reach_or_answer(reach, route, as_json)
    trip = PlanRequest(water=water, craft=craft, launch=launch, start=start, hours=hours, end=end,
                 reach=reach, route=route, as_of=as_of)  # fmt: skip
    own = load_settings()
    trip = fill_from_saved(trip, own)
    mapped = _mapped(trip, own, wind, from_direction, forecast, at)
    place = own.at(mapped.plan.launch) if mapped.plan else own.at_water(mapped.chosen.grid.water)
    prefer = place.preferences
    assumed = assumed_reach(mapped.plan, prefer) if mapped.plan else ""
    credits = data_credits(mapped.provenance)
    notes = [*filter(None, (assumed, mapped.lee and f"Lee: {mapped.lee}")), *credits]
    replaced = toml_file.save(out, lake_map.draw_wave_map(mapped.chosen, prefer, notes=notes))
    if as_json:
        typer.echo(_as_json(mapped, out))
        return
    typer.echo(lake_map.describe_map(mapped.chosen, prefer))
    notes = [*notes, *filter(None, [prefer.note]), *data_credits((), mapped.chosen.grid.water)]
    for line in (*notes, written(out, replaced)):
        typer.echo(line)


def _mapped(
    trip: PlanRequest,
    own: Settings,
    wind: str | None,
    from_direction: str | None,
    forecast: Path | None,
    at: str | None,
) -> MapResult:
    from safety_check.use_cases.amounts_in_words import parse_wind
    from safety_check.use_cases.direction_in_words import parse_direction
    from safety_check.use_cases.wave_map import map_trip, map_wind
    from safety_check.waters import files

    if wind is None or from_direction is None:
        return map_trip(trip, own, forecast, at)
    water = files.load(trip.water or "", own.folders.waters)
    speed = parse_wind(wind, "--wind").high
    direction = parse_direction(from_direction, "--from")
    return map_wind(water, own, speed, direction, trip.launch, trip.craft)


def _as_json(mapped: MapResult, out: Path) -> str:
    import json
    import math

    from safety_check.report.credits import data_credits

    lake = mapped.chosen
    numbers = {
        "wind_speed": lake.wind_speed,
        "wind_from_direction": lake.wind_from_direction,
        "lowest": float(lake.height.min()),
        "highest": float(lake.height.max()),
    }
    said = {
        "file": str(out),
        "water": lake.grid.water.name,
        "time": lake.time and lake.time.isoformat(),
        **{name: value if math.isfinite(value) else None for name, value in numbers.items()},
        "lee": mapped.lee,
        "reach_assumed": bool(mapped.plan and mapped.plan.reach_assumed),
        "credits": data_credits(mapped.provenance, lake.grid.water),
    }
    return json.dumps(said, indent=2, ensure_ascii=False)


def _describe(water: Water) -> None:
    from safety_check.waters.open_water import summary

    for line in summary(water):
        typer.echo(f"  {line}")
