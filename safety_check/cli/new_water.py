"""Build a water from what the user gives: a file, a place, a name; ask where that is not clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from safety_check.cli.ask import on_a_terminal
from safety_check.cli.ramp import ask_ramp, built_with_ramps

if TYPE_CHECKING:
    from safety_check.model.place import Launch, Water, WaterKind
    from safety_check.sources.openstreetmap.overpass import Found, Outline


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
    from safety_check.use_cases.new_water import describe_outline, read_launch

    place = read_launch(f"launch={near}")
    found = nearby.find_waters(place.latitude, place.longitude, load_settings())
    if not found.outlines:
        raise PlanError(
            f"--near {near}: OpenStreetMap has no usable water there. Give a point on the water"
            " or at its shore, or a shoreline with --file."
        )
    _show_refused(found)
    number = _picked(wanted, [describe_outline(outline) for outline in found.outlines])
    at_place = replace(wanted, launches=wanted.launches or [place])
    return _from_outline(at_place, found, found.outlines[number])


def water_named(wanted: Wanted, name: str) -> Water:
    """Return a water on OpenStreetMap by its name; on a terminal, ask for the ramp."""
    from safety_check.settings.settings import load_settings
    from safety_check.sources.openstreetmap import nearby
    from safety_check.sources.registry import load_sources
    from safety_check.use_cases.new_water import LONGEST_LIST, describe_outline

    settings = load_settings()
    waters = nearby.find_named(name, settings)[:LONGEST_LIST]
    typer.echo(f"Search: {load_sources()['nominatim'].attribution}", err=True)
    chosen = waters[_picked(wanted, [f"{water.where} ({water.kind})" for water in waters])]
    found = nearby.find_outline(chosen, settings)
    _show_refused(found)
    typer.echo(describe_outline(found.outlines[0]), err=True)
    return _from_outline(wanted, found, found.outlines[0])


def _from_outline(wanted: Wanted, found: Found, outline: Outline) -> Water:
    from safety_check.use_cases.new_water import from_outline

    def build(launches: Sequence[Launch]) -> Water:
        return from_outline(wanted.name, found, outline, launches, wanted.depth)

    launches = wanted.launches
    if not launches and not wanted.quiet and on_a_terminal():
        launches = [ask_ramp(build([]).shoreline)]
    return built_with_ramps(build, launches, wanted.quiet)


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
    from safety_check.use_cases.new_water import FLOWS
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
    from safety_check.use_cases.new_water import store_water
    from safety_check.waters import files
    from safety_check.waters.open_water import summary

    own = load_settings()
    word = "Replaced" if store_water(water, own) else "Added"
    typer.echo(f"{word} {water.name!r}.")
    for line in summary(files.load(water.name, own.folders.waters)):  # what was declared stays
        typer.echo(f"  {line}")
