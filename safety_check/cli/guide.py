"""Lead a new user to a first verdict: which water, which launch, when and how long."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from safety_check.cli.ask import on_a_terminal

if TYPE_CHECKING:
    from safety_check.settings.settings import Settings
    from safety_check.use_cases.plan_request import PlanRequest

WELCOME = (
    "No water has been added yet. safety-check needs its shoreline to compute the waves; it"
    " downloads it from OpenStreetMap."
)
AGAIN = "Next time: safety-check check {name!r}"
TOMORROW, HOURS = "tomorrow 06:00", "4"


def water_or_answer(water: str | None, silent: bool) -> str | None:
    """Return the water; on a terminal, ask for it, and add the first one.

    Parameters
    ----------
    water
        As on the command line.
    silent
        True where a program reads the answer: then nothing is asked.
    """
    if water is not None or silent or not on_a_terminal():
        return water
    from safety_check.settings.folders import find_folders
    from safety_check.waters import files

    known = files.names(find_folders().waters)
    if not known:
        return _first_water()
    return known[0] if len(known) == 1 else _choose("Which water?", known)


def _first_water() -> str:
    from safety_check.cli.water import add

    typer.echo(WELCOME, err=True)
    near = typer.prompt("Where will you launch? Its coordinates, LAT,LON", err=True).strip()
    name = typer.prompt("Your name for this water", err=True).strip()
    add(name, near=near)
    typer.echo(AGAIN.format(name=name), err=True)
    return str(name)


def complete_trip(asked: PlanRequest, settings: Settings, silent: bool) -> PlanRequest:
    """Return a request with launch, start and length, asked for on a terminal where missing.

    Parameters
    ----------
    asked, settings
        What is asked for, and whose waters are known.
    silent
        True where a program reads the answer: then nothing is asked.
    """
    if silent or not on_a_terminal() or asked.water is None:
        return asked
    from safety_check.waters import files

    folder = settings.folders.waters
    if not files.known(asked.water, folder):
        return asked  # refused later, with the nearest name that is known
    launches = [launch.name for launch in files.load(asked.water, folder).launches]
    if asked.launch is None and len(launches) > 1:
        asked = replace(asked, launch=_choose("Which launch?", launches))
    return _with_times(asked)


def _with_times(asked: PlanRequest) -> PlanRequest:
    if asked.start is None:
        said = typer.prompt("When do you launch?", default=TOMORROW, err=True)
        asked = replace(asked, start=str(said).strip())
    if asked.hours is None and asked.end is None:
        hours = typer.prompt("For how many hours?", default=HOURS, err=True)
        asked = replace(asked, hours=str(hours).strip())
    return asked


def _choose(question: str, names: list[str]) -> str:
    typer.echo(question, err=True)
    for number, name in enumerate(names, 1):
        typer.echo(f"  {number} {name}", err=True)
    while True:
        said = str(typer.prompt("Number or name", err=True)).strip()
        named = [name for name in names if name.casefold() == said.casefold()]
        if named or (said.isdigit() and 1 <= int(said) <= len(names)):
            return named[0] if named else names[int(said) - 1]
        typer.echo(f"{said!r} is not one of them.", err=True)
