"""All commands; imports nothing that only one command needs."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from importlib import import_module

import typer

from safety_check import __version__

COMMANDS = {
    "check": "check",
    "recheck": "recheck",
    "watch": "watch",
    "outlook": "outlook",
    "climate": "climate",
    "survey": "survey",
    "pack": "pack",
    "page": "page",
    "serve": "serve",
    "schema": "check",
}
"""Each command, and the module of its function, which has the command's name."""

GROUPS = ("history", "limits", "craft", "paddler", "plan", "water", "trip", "settings")
"""Each group of commands, named like its module."""

PROGRAM = "safety-check"
USAGE_ERROR: type[Exception] = typer.BadParameter.__bases__[0]
"""The parser's error about a command line, wherever its package defines the class."""

ALL = (*COMMANDS, *GROUPS)


def app_for(arguments: Sequence[str]) -> typer.Typer:
    """Return the app that runs these arguments: building one command is much quicker than all.

    Where the first argument is not a command, help, completion or a suggestion needs all.
    """
    called = arguments[0] if arguments else ""
    return build_app([called] if called in ALL else ALL)


def run(arguments: Sequence[str]) -> None:
    """Run a command line; end the process with its status.

    With --json the parser's errors become errors of ours, which are printed as JSON.

    Raises
    ------
    SafetyCheckError
        As the command does; PlanError for an error of the parser.
    """
    app = app_for(arguments)
    if "--json" not in arguments:
        app(arguments, prog_name=PROGRAM)
    try:
        status = app(arguments, prog_name=PROGRAM, standalone_mode=False)
    except USAGE_ERROR as trouble:
        from safety_check.errors import PlanError

        raise PlanError(trouble.format_message()) from trouble  # type: ignore[attr-defined]
    except BrokenPipeError:  # the reader has closed the pipe
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - until the end
        status = 1
    except typer.Abort:
        status = 1
    sys.exit(status or 0)


def build_app(names: Iterable[str] = ALL) -> typer.Typer:
    """Return an app of these commands and groups, by default of all."""
    app = typer.Typer(
        name=PROGRAM,
        help="Say whether a trip in a small craft is a GO: wind, waves on your own water, cold,"
        " light, warnings. It defers to local regulations, official warnings and your own"
        " judgment.",
        no_args_is_help=True,
        add_completion=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    )
    app.callback()(main)
    for name in names:
        module = import_module(f"safety_check.cli.{COMMANDS.get(name, name)}")
        if name in COMMANDS:
            app.command()(getattr(module, name))
        else:
            app.add_typer(module.app, name=name)
    return app


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"safety-check {__version__}")
        raise typer.Exit


def main(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Print the version and exit."
    ),
) -> None:
    """Say whether a trip in a small craft is a GO."""
