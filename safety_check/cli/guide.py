"""Ask a new user for what a first verdict needs: water, launch, start and length."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from safety_check.cli.ask import on_a_terminal, tell

if TYPE_CHECKING:
    from safety_check.settings.settings import Settings
    from safety_check.use_cases.plan_request import PlanRequest

WELCOME = (
    "No water has been added yet. safety-check needs the shoreline of yours to compute the waves,"
    " and downloads it from OpenStreetMap."
)
WHICH = 'Which lake? Its name and state, "Orvel Lake, Minnesota", or LAT,LON of your ramp'
WHEN = "When do you launch, and for how long?"
AGAIN = "Next time: safety-check check {name!r}"
TOMORROW, HOURS = "tomorrow 06:00", "4"
LENGTH = re.compile(r"(.+?)(?:\s+for\s+|\s*,\s*)([\d.:]+\s*(?:h|hrs?|hours?))\s*", re.IGNORECASE)


def starts_here(water: str | None, silent: bool) -> bool:
    """Return whether a new user is led: no water is named, none is known, and a person can answer.

    Parameters
    ----------
    water
        As on the command line.
    silent
        True where a program reads the answer: then nothing is asked.
    """
    return water is None and not silent and on_a_terminal() and not _known()


def _known() -> list[str]:
    from safety_check.settings.folders import find_folders
    from safety_check.waters import files

    return files.names(find_folders().waters)


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
    known = _known()
    if not known:
        return _first_water()
    return known[0] if len(known) == 1 else _choose("Which water?", known)


def _first_water() -> str:
    """Return the name of the first water, once one that the user names is found and stored."""
    from safety_check.cli import new_water
    from safety_check.errors import DataError, PlanError, SourceError
    from safety_check.use_cases.place_in_words import read_position

    tell(WELCOME)
    while True:
        said = typer.prompt(WHICH, err=True).strip()
        wanted = new_water.Wanted("", None, (), None, quiet=False)
        try:
            if read_position(said):
                water = new_water.water_near(wanted, said)
            else:
                water = new_water.water_named(wanted, said)
            water = new_water.with_kind(water, None, quiet=False, only_if_it_may=True)
            new_water.store(water)
        except (DataError, PlanError, SourceError) as trouble:
            typer.echo(f"safety-check: {trouble}", err=True)
            continue
        typer.echo(AGAIN.format(name=water.name), err=True)
        return water.name


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
    lasts = asked.hours is not None or asked.end is not None
    if asked.start is None and not lasts:
        said = typer.prompt(WHEN, default=f"{TOMORROW} for {HOURS} h", err=True)
        start, hours = read_when(str(said))
        return replace(asked, start=start, hours=hours)
    if asked.start is None:
        said = typer.prompt("When do you launch?", default=TOMORROW, err=True)
        asked = replace(asked, start=str(said).strip())
    if not lasts:
        hours = str(typer.prompt("For how many hours?", default=HOURS, err=True)).strip()
        asked = replace(asked, hours=hours)
    return asked


def read_when(said: str) -> tuple[str, str]:
    """Return start and length of a trip from one line; four hours where no length is said.

    Examples
    --------
    >>> read_when("tomorrow 06:00 for 5 h"), read_when("sat 5:30, 3h"), read_when("28 Nov 6:00")
    (('tomorrow 06:00', '5 h'), ('sat 5:30', '3h'), ('28 Nov 6:00', '4'))
    """
    both = LENGTH.fullmatch(said.strip())
    return (both[1].strip(), both[2].strip()) if both else (said.strip(), HOURS)


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
