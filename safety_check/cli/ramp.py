"""Ask on a terminal where the ramp is, if a launch is not at the shore."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import typer

from safety_check.cli.ask import on_a_terminal

if TYPE_CHECKING:
    from safety_check.errors import LaunchError
    from safety_check.model.place import Launch, Water


def built_with_ramps(
    build: Callable[[Sequence[Launch]], Water], launches: Sequence[Launch], quiet: bool
) -> Water:
    """Return a water whose launches stand at the shore, asking for the ramp of one that does not.

    Parameters
    ----------
    build
        Makes the water from launches; raises LaunchError for one off the shore.
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


def _ask(off_shore: LaunchError) -> Launch:
    from safety_check.model.place import Launch

    typer.echo(f"{off_shore}\nWhere is your ramp?", err=True)
    for number, (words, at) in enumerate(off_shore.choices, 1):
        typer.echo(f"  {number} {words}: {at}", err=True)
    while True:
        said = typer.prompt("Number, or LAT,LON (Enter to stop)", default="", show_default=False,
                            err=True).strip()  # fmt: skip
        if not said:
            raise off_shore
        if said.isdigit() and 1 <= int(said) <= len(off_shore.choices):
            said = off_shore.choices[int(said) - 1][1]
        try:
            latitude, longitude = (float(part) for part in said.split(","))
        except ValueError:
            typer.echo(f"{said!r} is not one of the choices.", err=True)
            continue
        return Launch(off_shore.launch, latitude, longitude)
