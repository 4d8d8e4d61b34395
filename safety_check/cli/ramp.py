"""Ask on a terminal where the ramp is, if a launch is not at the shore."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import typer

from safety_check.cli.ask import on_a_terminal

if TYPE_CHECKING:
    from safety_check.arrays import FloatArray
    from safety_check.errors import LaunchError
    from safety_check.model.place import Launch, Water

RAMP = "ramp"
HOW = 'Where is your ramp? A number, "3+" to look closer at 3, or LAT,LON'


def built_with_ramps(
    build: Callable[[Sequence[Launch]], Water], launches: Sequence[Launch], quiet: bool
) -> Water:
    """Return a water whose launches are at the shore; ask for the ramp of one that is not.

    Parameters
    ----------
    build
        Builds the water from launches; raises LaunchError for one off the shore.
    launches
        As given so far; an answer replaces the launch of that name.
    quiet
        True where nothing may be asked.
    """
    from safety_check.errors import LaunchError

    while True:
        try:
            return build(launches)
        except LaunchError as off_shore:
            if quiet or not on_a_terminal():
                raise
            ramp = _ask(off_shore)
            launches = [*(launch for launch in launches if launch.name != ramp.name), ramp]


def ask_ramp(shoreline: Sequence[FloatArray]) -> Launch:
    """Return the ramp that the user points out on a small map of the shore.

    Parameters
    ----------
    shoreline
        As `Water.shoreline`. [deg]
    """
    from safety_check.model.place import Launch
    from safety_check.use_cases.place_in_words import read_position
    from safety_check.waters.sketch import sketch_shore

    sketch = sketch_shore(shoreline)
    _show(sketch.lines, [(place.words, place.at) for place in sketch.places])
    while True:
        said = typer.prompt(HOW, err=True).strip()
        number = said.removesuffix("+")
        if said.endswith("+") and _among(number, len(sketch.places)):
            sketch = sketch_shore(shoreline, (sketch, int(number)))
            _show(sketch.lines, [(place.words, place.at) for place in sketch.places])
        elif _among(said, len(sketch.places)):
            place = sketch.places[int(said) - 1]
            return Launch(RAMP, place.latitude, place.longitude)
        elif at := read_position(said):
            return Launch(RAMP, *at)
        else:
            typer.echo(f"{said!r} is not one of the choices.", err=True)


def _ask(off_shore: LaunchError) -> Launch:
    from safety_check.model.place import Launch
    from safety_check.use_cases.place_in_words import read_position

    typer.echo(str(off_shore), err=True)
    _show(off_shore.map, off_shore.choices)
    while True:
        said = typer.prompt("Where is your ramp? Number, or LAT,LON (Enter to stop)", default="",
                            show_default=False, err=True).strip()  # fmt: skip
        if not said:
            raise off_shore
        if _among(said, len(off_shore.choices)):
            said = off_shore.choices[int(said) - 1][1]
        if at := read_position(said):
            return Launch(off_shore.launch, *at)
        typer.echo(f"{said!r} is not one of the choices.", err=True)


def _show(map_: Sequence[str], choices: Sequence[tuple[str, str]]) -> None:
    """Print a map, and the places that are numbered on it."""
    for line in map_:
        typer.echo(line, err=True)
    for number, (words, at) in enumerate(choices, 1):
        typer.echo(f"  {number} {words}: {at}", err=True)


def _among(said: str, count: int) -> bool:
    return said.isascii() and said.isdigit() and 1 <= int(said) <= count
