"""Show the user's settings file, and change one key."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from safety_check.cli.options import AsJson

SERVICES = "services"
TEXTS = (["contact"], ["notify"], [SERVICES])  # a telephone number is not a number
TOLERANCE = "odds.tolerance"
app = typer.Typer(help="Your settings file.", no_args_is_help=True, rich_markup_mode=None)


@app.command()
def show(as_json: AsJson = False) -> None:
    """Show your settings file and its location.

    Example: safety-check settings show
    """
    from safety_check.settings.settings import load_settings

    loaded = load_settings()
    if as_json:
        typer.echo(loaded.user.model_dump_json(indent=2, by_alias=True))
        return
    path = loaded.folders.settings_file
    typer.echo(f"# {path}")
    typer.echo(path.read_text(encoding="utf-8") if path.exists() else "# nothing set yet")


@app.command("set")
def set_(
    key: Annotated[str, typer.Argument(help="units.wind, odds.tolerance, contact.email …")],
    value: Annotated[str, typer.Argument(help="Its new value.")],
    loosen: Annotated[
        bool, typer.Option("--loosen", help="Confirm odds.tolerance above the default.")
    ] = False,
) -> None:
    """Set one key; comments in the file are kept.

    Example: safety-check settings set units.wind kt
    """
    from safety_check.errors import PlanError
    from safety_check.settings.edit import edit_settings, parse_bare_value

    *tables, last = key.split(".")

    def edit(document: Any) -> None:
        place = document
        for table in tables:
            place = place.setdefault(table, {})
            if not isinstance(place, dict):
                raise PlanError(f"settings set {key}: {table!r} is a value, not a table of keys.")
        place[last] = value if tables[:1] in TEXTS else parse_bare_value(value)
        if key == TOLERANCE:
            place.pop("loosen", None)
            if loosen:
                place["loosen"] = True

    if tables == [SERVICES]:
        from safety_check.sources.registry import load_sources

        load_sources({last: value})
    edit_settings(edit)
    typer.echo(f"Set {key} = {value}.")
