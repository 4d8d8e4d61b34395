"""Add, list, show, remove and map the user's waters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli import complete
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

if TYPE_CHECKING:
    from safety_check.model.place import Launch, Water
    from safety_check.settings.settings import Settings
    from safety_check.sources.openstreetmap.overpass import Outline
    from safety_check.use_cases.planning import PlanRequest
    from safety_check.use_cases.wave_map import MapResult

app = typer.Typer(help="Your waters.", no_args_is_help=True, rich_markup_mode=None)

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
        typer.Option(help="GeoJSON file: one polygon, launches as points.", show_default=False),
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
    depth: Annotated[
        str | None, typer.Option(help='Depth, "8 m"; deep water if omitted.', show_default=False)
    ] = None,
    launch: Annotated[
        list[str] | None,
        typer.Option(help='"ramp=43.201,-72.105"; may be repeated.', show_default=False),
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Ask nothing; with --near, use the nearest water.")
    ] = False,
    verbose: Verbose = False,
) -> None:
    """Add a water from a shoreline file, OpenStreetMap, or fetch by sector.

    Example: safety-check water add "Heron Lake" --file heron.geojson --depth "8 m"
    """
    from safety_check.cli.ramp import built_with_ramps
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.units import parse
    from safety_check.waters import files
    from safety_check.waters.add import from_geojson, from_sectors

    metres = None if depth is None else parse(depth, "length", "depth")
    launches = [_launch(text) for text in launch or []]
    if sum(option is not None for option in (file, fetch, near)) != 1:
        raise PlanError(
            "water add: give one of --file with a shoreline, --near LAT,LON to download one,"
            " or --fetch with sectors."
        )
    if file is not None:
        water = built_with_ramps(
            lambda ramps: from_geojson(name, file, metres, ramps), launches, yes
        )
    elif near is not None:
        water = _from_map(name, near, metres, launches, yes)
    elif len(launches) == 1 and fetch is not None:
        water = from_sectors(name, fetch, launches[0], metres)
    else:
        raise PlanError(
            'water add --fetch: sectors describe one launch. Add --launch "ramp=LAT,LON"'
        )
    folder = load_settings().folders.waters
    word = "Replaced" if files.known(name, folder) else "Added"
    files.save(water, folder)
    typer.echo(f"{word} {name!r}.")
    _describe(water)


def _from_map(
    name: str, near: str, depth: float | None, launches: list[Launch], yes: bool
) -> Water:
    """Return the nearest water on OpenStreetMap, once the user has seen what it is."""
    from safety_check.cli.ramp import built_with_ramps
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.sources.openstreetmap import nearby
    from safety_check.waters.add import from_geometry

    place = _launch(f"launch={near}")
    found = nearby.find_waters(place.latitude, place.longitude, load_settings())
    for refused in found.refused:
        typer.echo(f"Not usable: {refused}", err=True)
    if not found.outlines:
        raise PlanError(
            f"--near {near}: OpenStreetMap has no usable water there. Give a point on the water"
            " or at its shore, or a shoreline with --file."
        )
    for number, outline in enumerate(found.outlines, 1):
        typer.echo(f"{number} {_outline(outline)}", err=True)
    chosen = found.outlines[0 if yes else _chosen(len(found.outlines))]
    credit = f"{found.provenance.attribution} ({chosen.osm_id})"
    shape, origin = chosen.geometry, chosen.osm_id
    return built_with_ramps(
        lambda ramps: from_geometry(name, shape, ramps, depth, credit, origin),
        launches or [place],
        yes,
    )


def _outline(outline: Outline) -> str:
    polygons = outline.geometry["coordinates"]
    polygons = [polygons] if outline.geometry["type"] == "Polygon" else polygons
    islands = sum(len(polygon) - 1 for polygon in polygons)
    flows = ", flowing: its ends are not shores" if outline.flowing else ""
    return (
        f"{outline.name or 'unnamed'} ({outline.kind}{flows}): {outline.area / 1e6:.2f} km²,"
        f" {islands} islands, {outline.distance:.0f} m away, {outline.osm_id}"
    )


def _chosen(count: int) -> int:
    """Ask which of the waters to store; nothing is stored before that."""
    from safety_check.errors import PlanError

    said = typer.prompt(f"Store which one? 1 to {count}, or 0 for none", err=True, type=int)
    if not 1 <= said <= count:
        raise PlanError("water add: you chose none, so nothing was stored.")
    return int(said) - 1


def _launch(text: str) -> Launch:
    from safety_check.errors import PlanError
    from safety_check.model.place import Launch
    from safety_check.waters.geojson import LONGEST_NAME, describe

    name, _, at = text.rpartition("=")
    try:
        latitude, longitude = (float(part) for part in at.split(","))
    except ValueError:
        raise PlanError(
            f'launch {text!r} can\'t be read. Write NAME=LATITUDE,LONGITUDE: "ramp=43.201,-72.105".'
        ) from None
    name = name.strip()
    sound = name and describe(name, LONGEST_NAME) == name
    if not (sound and -90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise PlanError(
            f"launch {text!r} is not a named point on Earth. Write NAME=LATITUDE,LONGITUDE,"
            f" latitude"
            " first."
        )
    return Launch(name, latitude, longitude)


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
        typer.echo("No waters yet. Add one with: safety-check water add NAME --file SHORE.geojson")


@app.command()
def show(name: OwnName, as_json: AsJson = False) -> None:
    """Show a water: launches, size, depth, repairs of its shape.

    Example: safety-check water show "Heron Lake"
    """
    from safety_check.settings.settings import load_settings
    from safety_check.waters import files

    folder = load_settings().folders.waters
    water = files.load(name, folder)
    if as_json:
        typer.echo((folder / f"{files.slug(name)}.geojson").read_text(encoding="utf-8"))
        return
    typer.echo(water.name)
    _describe(water)


@app.command()
def remove(name: OwnName) -> None:
    """Remove a water.

    Example: safety-check water remove "Heron Lake"
    """
    from safety_check.settings.settings import load_settings
    from safety_check.waters import files

    files.remove(name, load_settings().folders.waters)
    typer.echo(f"Removed {name!r}.")


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

    Example: safety-check water map "Heron Lake" --wind "12 mph" --from NW --out heron.svg
    """
    from safety_check.errors import PlanError
    from safety_check.report.credits import data_credits
    from safety_check.report.map import lake_map
    from safety_check.report.words import assumed_reach
    from safety_check.settings import toml_file
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.planning import PlanRequest

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
    mapped = _mapped(trip, own, wind, from_direction, forecast, at)
    assumed = assumed_reach(mapped.plan, own.preferences) if mapped.plan else ""
    credits = data_credits(mapped.provenance)
    notes = [*filter(None, (assumed, mapped.lee and f"Lee: {mapped.lee}")), *credits]
    replaced = toml_file.save(
        out, lake_map.draw_wave_map(mapped.chosen, own.preferences, notes=notes)
    )
    if as_json:
        typer.echo(_as_json(mapped, out))
        return
    typer.echo(lake_map.describe_map(mapped.chosen, own.preferences))
    notes = [*notes, *data_credits((), mapped.chosen.grid.water)]
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
    from safety_check.use_cases.launch_observation import parse_direction
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
