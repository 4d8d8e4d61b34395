"""Options and short questions for what the user sees at the water."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from safety_check.use_cases.launch_observation import LaunchObservation

Wind = Annotated[
    str | None,
    typer.Option("--wind", help='Wind: "10-14 mph", "4 Bft", "light breeze".', show_default=False),
]
Gust = Annotated[
    str | None, typer.Option("--gust", help='Strongest gust: "18 mph".', show_default=False)
]
From = Annotated[
    str | None,
    typer.Option("--from", help="Direction the wind comes from: NW.", show_default=False),
]
Whitecaps = Annotated[bool, typer.Option("--whitecaps", help="You see whitecaps.")]
ManyWhitecaps = Annotated[
    bool, typer.Option("--many-whitecaps", help="You see whitecaps on most of the waves.")
]
Waves = Annotated[
    str | None,
    typer.Option("--waves", help='Height of the higher waves: "1 ft".', show_default=False),
]

QUESTIONS = {
    "wind": 'Wind now, measured or estimated ("10-14 mph", "light breeze")',
    "gust": 'Strongest gust ("18 mph")',
    "from_direction": "Wind comes from (NW)",
    "whitecaps": "Any whitecaps (yes or no)",
    "waves": 'Height of the higher waves ("1 ft")',
    "water_temperature": 'Water temperature, if measured ("58 F")',
}


def asked(said: LaunchObservation, quiet: bool) -> LaunchObservation:
    """Return the given observation; ask on a terminal where none was given.

    Parameters
    ----------
    said
        By options.
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    if said.anything or quiet or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return said
    typer.echo("What do you see at the water? Press Enter to skip.", err=True)
    from safety_check.use_cases.launch_observation import LaunchObservation

    answers: dict[str, Any] = {name: _answer(name, text) for name, text in QUESTIONS.items()}
    return LaunchObservation(
        **{name: answer for name, answer in answers.items() if answer is not None}
    )


def _answer(name: str, question: str) -> str | bool | None:
    """Return one answer, asked again until it can be read; None where it is skipped."""
    from safety_check.errors import PlanError
    from safety_check.use_cases.launch_observation import LaunchObservation, observed_values

    while True:
        said = str(typer.prompt(question, default="", show_default=False, err=True)).strip()
        if not said:
            return None
        if name == "whitecaps":
            return said.casefold().startswith("y")
        one: dict[str, Any] = {name: said}
        try:
            observed_values(LaunchObservation(**one))
        except PlanError as trouble:
            typer.echo(str(trouble), err=True)
        else:
            return said
