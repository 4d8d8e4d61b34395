"""List, show and repeat the checks made so far."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli.options import AsJson, Form

if TYPE_CHECKING:
    from safety_check.settings.settings import Settings
    from safety_check.store.store import Store

app = typer.Typer(help="The checks made so far.", no_args_is_help=True, rich_markup_mode=None)

Number = Annotated[int, typer.Argument(help="Its number in history list.", show_default=False)]


@app.command("list")
def list_(
    water: Annotated[
        str | None, typer.Option("--water", help="Only this water.", show_default=False)
    ] = None,
    name: Annotated[
        str | None, typer.Option("--name", help="Only plans with this name.", show_default=False)
    ] = None,
    limit: Annotated[int, typer.Option("--limit", min=1, help="The most checks to list.")] = 20,
    as_json: AsJson = False,
) -> None:
    """List the checks made so far, newest first.

    Example: safety-check history list --water "Orvel Lake"
    """
    import json

    from safety_check.report import history
    from safety_check.settings.settings import load_settings

    with opened(load_settings()) as store:
        checks = store.checks(limit, water=water, name=name)
    if as_json:
        typer.echo(json.dumps([history.as_json(check) for check in checks], indent=2))
        return
    typer.echo(history.lines(checks) or "No checks yet. Make one with: safety-check check --help")


@app.command()
def show(number: Number, as_json: AsJson = False) -> None:
    """Show a check as it was printed then.

    Example: safety-check history show 12
    """
    from safety_check.cli import check
    from safety_check.settings.settings import load_settings

    loaded = load_settings()
    with opened(loaded) as store:
        saved = store.check(number)
    form = Form.json if as_json else Form.full
    settings = loaded.at(saved.kept.plan.launch)
    check.print_verdict(saved.kept.verdict, settings, form, saved.line.program)


@app.command()
def repeat(number: Number, as_json: AsJson = False) -> None:
    """Repeat an old check with the data received then, and say what differs.

    Exit status: 0 if all digits agree, 1 if not.

    Example: safety-check history repeat 12
    """
    import json

    from safety_check import __version__
    from safety_check.report import history
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.record import repeat_check
    from safety_check.use_cases.trust import load_trust

    loaded = load_settings()
    with opened(loaded) as store:
        saved = store.check(number)
    done = repeat_check(saved, loaded, load_trust())
    if as_json:
        typer.echo(json.dumps(history.repeat_as_json(done, __version__), indent=2))
    else:
        typer.echo(history.repeat(done, __version__))
    raise typer.Exit(0 if done.same else 1)


def opened(loaded: Settings) -> Store:
    """Open the history; print a note where a damaged one was moved."""
    from safety_check.store.store import Store
    from safety_check.use_cases.record import remarks_on

    store = Store.open(loaded.folders.data)
    for remark in remarks_on(store):
        typer.echo(f"safety-check: {remark}", err=True)
    return store
