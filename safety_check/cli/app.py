"""All commands; imports nothing that only one command needs."""

from __future__ import annotations

import typer

from safety_check import __version__
from safety_check.cli import (
    check,
    craft,
    history,
    limits,
    outlook,
    pack,
    paddler,
    page,
    plan,
    recheck,
    serve,
    settings,
    trip,
    watch,
    water,
)

app = typer.Typer(
    name="safety-check",
    help="Say whether a trip in a small craft is a GO: wind, waves on your own water, cold, light,"
    " warnings. It defers to local regulations, official warnings and your own judgment.",
    no_args_is_help=True,
    add_completion=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
app.command()(check.check)
app.command()(recheck.recheck)
app.command()(watch.watch)
app.command()(outlook.outlook)
app.command()(pack.pack)
app.command()(page.page)
app.command()(plan.plan)
app.command()(serve.serve)
app.command()(check.schema)
app.add_typer(history.app, name="history")
app.add_typer(limits.app, name="limits")
app.add_typer(craft.app, name="craft")
app.add_typer(paddler.app, name="paddler")
app.add_typer(water.app, name="water")
app.add_typer(trip.app, name="trip")
app.add_typer(settings.app, name="settings")


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"safety-check {__version__}")
        raise typer.Exit


@app.callback()
def main(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Print the version and exit."
    ),
) -> None:
    """Say whether a trip in a small craft is a GO."""
