"""Build a water from what the user gives: a file, a place, a name; ask where that is not clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from safety_check.cli.ask import on_a_terminal
from safety_check.cli.ramp import ask_ramp, built_with_ramps

if TYPE_CHECKING:
    from safety_check.model.place import Launch, Water, WaterKind
    from safety_check.sources.openstreetmap.overpass import Found, Outline

UNNAMED = "my lake"
LONGEST_LIST = 10  # how many waters of a name are shown
FLOWS = "the map says that it flows, so its ends are not shores"


@dataclass(frozen=True)
class Wanted:
    """A water that is to be added.

    Parameters
    ----------
    name
        The user's name for it; empty to use the name on the map.
    depth
        Of the whole water [m]; None where it is not known.
    launches
        As given.
    pick
        Which of several waters, by name or number; None where the user did not say.
    quiet
        True where nothing may be asked.
    """

    name: str
    depth: float | None
    launches: Sequence[Launch]
    pick: str | None
    quiet: bool


def water_from_file(wanted: Wanted, file: Path) -> Water:
    """Return the water of a GeoJSON, GPX or KML file."""
    from safety_check.errors import SeveralWatersError
    from safety_check.waters.add import from_file

    def build(launches: Sequence[Launch], pick: str | None) -> Water:
        return from_file(wanted.name, file, wanted.depth, launches, pick=pick)

    try:
        return built_with_ramps(
            lambda ramps: build(ramps, wanted.pick), wanted.launches, wanted.quiet
        )
    except SeveralWatersError as several:
        if wanted.quiet or not on_a_terminal():
            raise
        pick = several.names[choose(several.names)]
        return built_with_ramps(lambda ramps: build(ramps, pick), wanted.launches, wanted.quiet)


def water_near(wanted: Wanted, near: str) -> Water:
    """Return a water on OpenStreetMap at a place, which is its launch where none is given."""
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.sources.openstreetmap import nearby

    place = read_launch(f"launch={near}")
    found = nearby.find_waters(place.latitude, place.longitude, load_settings())
    if not found.outlines:
        raise PlanError(
            f"--near {near}: OpenStreetMap has no usable water there. Give a point on the water"
            " or at its shore, or a shoreline with --file."
        )
    _show_refused(found)
    number = _picked(wanted, [_describe(outline) for outline in found.outlines])
    at_place = replace(wanted, launches=wanted.launches or [place])
    return _from_outline(at_place, found, found.outlines[number])


def water_named(wanted: Wanted, name: str) -> Water:
    """Return a water on OpenStreetMap by its name; on a terminal, ask for the ramp."""
    from safety_check.settings.settings import load_settings
    from safety_check.sources.openstreetmap import nearby
    from safety_check.sources.registry import load_sources

    settings = load_settings()
    waters = nearby.find_named(name, settings)[:LONGEST_LIST]
    typer.echo(f"Search: {load_sources()['nominatim'].attribution}", err=True)
    chosen = waters[_picked(wanted, [f"{water.where} ({water.kind})" for water in waters])]
    found = nearby.find_outline(chosen, settings)
    _show_refused(found)
    typer.echo(_describe(found.outlines[0]), err=True)
    return _from_outline(wanted, found, found.outlines[0])


def _from_outline(wanted: Wanted, found: Found, outline: Outline) -> Water:
    from safety_check.waters.add import from_geometry
    from safety_check.waters.geojson import LONGEST_NAME, describe

    credit = f"{found.provenance.attribution} ({outline.osm_id})"
    shape, origin = outline.geometry, outline.osm_id

    name = wanted.name or describe(outline.name, LONGEST_NAME) or UNNAMED

    def build(launches: Sequence[Launch]) -> Water:
        return from_geometry(name, shape, launches, wanted.depth, credit, origin)

    launches = wanted.launches
    if not launches and not wanted.quiet and on_a_terminal():
        launches = [ask_ramp(build([]).shoreline)]
    water = built_with_ramps(build, launches, wanted.quiet)
    return replace(water, repairs=(*water.repairs, FLOWS)) if outline.flowing else water


def _picked(wanted: Wanted, described: Sequence[str]) -> int:
    """Show a list, and return the position that the user picks."""
    from safety_check.errors import PlanError

    if wanted.pick is not None:
        number = wanted.pick.strip()
        if number.isascii() and number.isdigit() and 1 <= int(number) <= len(described):
            return int(number) - 1
        raise PlanError(f"--pick {wanted.pick!r}: give a number from 1 to {len(described)}.")
    if wanted.quiet or len(described) == 1:
        for number_of, words in enumerate(described, 1):
            typer.echo(f"{number_of} {words}", err=True)
        return 0
    return choose(described)


def choose(described: Sequence[str]) -> int:
    """Ask which of several waters is meant, and return its position in the list."""
    from safety_check.errors import PlanError

    for number, words in enumerate(described, 1):
        typer.echo(f"{number} {words}", err=True)
    count = len(described)
    answer = typer.prompt(f"Store which one? 1 to {count}, or 0 for none", err=True, type=int)
    if not 1 <= answer <= count:
        raise PlanError("water add: you chose none, so nothing was stored.")
    return int(answer) - 1


def _show_refused(found: Found) -> None:
    for refused in found.refused:
        typer.echo(f"Not usable: {refused}", err=True)


def _describe(outline: Outline) -> str:
    polygons: Any = outline.geometry["coordinates"]
    polygons = [polygons] if outline.geometry["type"] == "Polygon" else polygons
    islands = sum(len(polygon) - 1 for polygon in polygons)
    flows = ", flowing: its ends are not shores" if outline.flowing else ""
    away = f", {outline.distance:.0f} m away" if outline.distance else ""
    return (
        f"{outline.name or 'unnamed'} ({outline.kind}{flows}): {outline.area / 1e6:.2f} km²,"
        f" {islands} {'island' if islands == 1 else 'islands'}{away}, {outline.osm_id}"
    )


def with_kind(
    water: Water, kind: WaterKind | None, *, quiet: bool, only_if_it_may: bool = False
) -> Water:
    """Return a water with what it is; on a terminal, ask where that was not said.

    Parameters
    ----------
    water
        Added again, it keeps what was said of it before, and nothing is asked.
    kind
        As the user said; None where they did not.
    quiet
        True where nothing may be asked.
    only_if_it_may
        True where a new user is asked only if something speaks for a movement.
    """
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.water_movement import MEANINGS, propose_kind, read_kind
    from safety_check.waters import files

    folders = load_settings().folders
    if kind is not None:
        return replace(water, kind=kind)
    if quiet or not on_a_terminal() or files.known(water.name, folders.waters):
        return water
    reason = propose_kind(water, folders.cache, FLOWS in water.repairs)
    if only_if_it_may and not reason:
        return water
    if reason:
        typer.echo(f"{reason[0].upper()}{reason[1:]}.", err=True)
    typer.echo(f"{MEANINGS}.", err=True)
    question = "Does the water move? still, tidal, flowing or both (Enter to say it later)"
    while said := str(typer.prompt(question, default="", show_default=False, err=True)).strip():
        try:
            return replace(water, kind=read_kind(said, "Your answer"))
        except PlanError as trouble:
            typer.echo(str(trouble), err=True)
    return water


def store(water: Water) -> None:
    """Write a water's file, and print what it holds."""
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.saved_plans import require_free_name
    from safety_check.waters import files
    from safety_check.waters.open_water import summary

    own = load_settings()
    require_free_name(water.name, own)
    folder = own.folders.waters
    word = "Replaced" if files.known(water.name, folder) else "Added"
    files.save(water, folder)
    typer.echo(f"{word} {water.name!r}.")
    for line in summary(files.load(water.name, folder)):  # what was declared before stays
        typer.echo(f"  {line}")


def read_launches(texts: Sequence[str]) -> list[Launch]:
    """Return launches from "NAME=LAT,LON", or from the points of GeoJSON, GPX or KML files."""
    from safety_check.waters.feature_files import SUFFIXES, read_features
    from safety_check.waters.geojson import launches_in

    found: list[Launch] = []
    for text in texts:
        path = Path(text)
        if path.suffix.lower() in SUFFIXES:
            found += launches_in(read_features(path), path.name)
        else:
            found.append(read_launch(text))
    return found


def read_launch(text: str) -> Launch:
    """Return a launch from "NAME=LAT,LON"."""
    from safety_check.errors import PlanError
    from safety_check.model.place import Launch
    from safety_check.waters.geojson import LONGEST_NAME, describe

    name, _, at = text.rpartition("=")
    try:
        latitude, longitude = (float(part) for part in at.split(","))
    except ValueError:
        raise PlanError(
            f'launch {text!r} can\'t be read. Write NAME=LATITUDE,LONGITUDE: "ramp=43.201,-72.105",'
            " or the name of a GeoJSON, GPX or KML file with points."
        ) from None
    name = name.strip()
    sound = name and describe(name, LONGEST_NAME) == name
    if not (sound and -90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise PlanError(
            f"launch {text!r} is not a named point on Earth. Write NAME=LATITUDE,LONGITUDE,"
            " latitude first."
        )
    return Launch(name, latitude, longitude)
