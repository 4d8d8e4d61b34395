"""Float plans to leave with someone ashore, and trips saved under a name."""

from __future__ import annotations

import shlex
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from safety_check.cli import check, complete, page
from safety_check.cli.default_command import DefaultGroup
from safety_check.cli.options import (
    AsJson,
    CompanyOption,
    CraftName,
    FromShore,
    Hours,
    JacketOption,
    LaunchName,
    LightOption,
    Night,
    Reach,
    Route,
    WearOption,
)
from safety_check.cli.printed import written
from safety_check.cli.recheck import require_one

if TYPE_CHECKING:
    from datetime import timedelta

    from safety_check.model.plan import Plan
    from safety_check.model.verdict import Verdict
    from safety_check.settings.settings import Settings

AlarmAfter = Annotated[
    str | None,
    typer.Option(
        "--alarm-after",
        help='Raise the alarm this long after the return: "45 min".',
        show_default=False,
    ),
]
SavedName = Annotated[
    str,
    typer.Argument(
        help="Your name for the plan.", show_default=False, autocompletion=complete.saved_plans
    ),
]

app = typer.Typer(
    cls=DefaultGroup,
    help="Trips saved under a name, and float plans: plan WATER is short for plan write WATER.",
    rich_markup_mode=None,
)


@app.command("write")
@page.beside_those_of(check.check)
def write(
    *,
    last: Annotated[bool, typer.Option("--last", help="The plan of the last check.")] = False,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write a page to print.", show_default=False)
    ] = None,
    alarm_after: AlarmAfter = None,
    note: Annotated[str, typer.Option("--note", help="A note in your own words.")] = "",
    text: Annotated[
        bool, typer.Option("--text", help="Print a paragraph that is short enough to send.")
    ] = False,
    **options: Any,
) -> None:
    """Write a float plan to leave with someone ashore; nothing is sent.

    With --last, or with --name alone, it uses the last check; so does a saved plan without
    --start. Otherwise it takes the options of check, and adds a verdict only with --forecast.

    Example: safety-check plan --last --html float-plan.html
    """
    from safety_check.assess.float_plan import build_float_plan
    from safety_check.cli import ask
    from safety_check.report import float_plan
    from safety_check.settings import toml_file
    from safety_check.settings.settings import load_settings

    require_one(options["water"], last)
    loaded = ask.complete_float_plan(load_settings(), options["as_json"])
    trip, verdict = _trip(options, last, loaded)
    loaded = loaded.at(trip.launch)
    made = build_float_plan(trip, loaded.user.contact, verdict, _span(alarm_after), note)
    if lacks := float_plan.missing_entries(made):
        typer.echo(f"safety-check: {lacks}", err=True)
    if options["as_json"]:
        import json

        said = float_plan.as_json(made, loaded.preferences)
        typer.echo(json.dumps(said, indent=2, ensure_ascii=False))
    elif text:
        typer.echo(float_plan.short_text(made, loaded.preferences))
    elif html is None:
        typer.echo(float_plan.text(made, loaded.preferences))
    if html is None:
        return
    replaced = toml_file.save(html, float_plan.html(made, loaded.preferences))
    if not options["as_json"]:
        typer.echo(
            f"{written(html, replaced)} Open it in a browser and print it."
            f" {float_plan.not_sent_note(made)}"
        )


def _trip(options: dict[str, Any], last: bool, loaded: Settings) -> tuple[Plan, Verdict | None]:
    """Return the trip that is meant, and its verdict where there is one."""
    from datetime import UTC, datetime

    from safety_check.cli.request import complete_request, request_from
    from safety_check.use_cases import planning
    from safety_check.use_cases.recheck import last_check
    from safety_check.use_cases.saved_plans import fill_from_saved

    filled = fill_from_saved(request_from(options), loaded)
    of_saved = filled.saved_plan if filled.start is None else None
    if last or of_saved or (options["name"] and options["water"] is None):
        kept = last_check(None, of_saved or options["name"] or None, loaded).kept
        return kept.plan, kept.verdict
    if options["sample"] or options["forecast"] is not None:
        _, verdict, _ = page.judged(options)
        return verdict.plan, verdict
    _, asked = complete_request(options, options["as_json"])
    return planning.make_plan(asked, loaded, datetime.now(UTC))[0], None


def _span(text: str | None) -> timedelta | None:
    from datetime import timedelta

    from safety_check.units import parse

    return None if text is None else timedelta(seconds=parse(text, "duration", "--alarm-after"))


# -- saved plans -------------------------------------------------------------------------------


@app.command("save")
def save(
    name: SavedName,
    water: Annotated[
        str | None,
        typer.Argument(
            help="A water that you added; not with --last.",
            show_default=False,
            autocompletion=complete.waters,
        ),
    ] = None,
    last: Annotated[bool, typer.Option("--last", help="Save the trip of the last check.")] = False,
    craft: CraftName = None,
    launch: LaunchName = None,
    start: Annotated[
        str | None,
        typer.Option("--start", help="The usual clock time: 06:00.", show_default=False),
    ] = None,
    hours: Hours = None,
    reach: Reach = None,
    route: Route = None,
    from_shore: FromShore = None,
    life_jacket: JacketOption = None,
    wearing: WearOption = None,
    company: CompanyOption = None,
    light: LightOption = None,
    night: Night = False,
) -> None:
    """Save a trip under a name that check, recheck, outlook, pack, page and plan take.

    What is left out is asked for, or taken from your settings, when the plan is checked.

    Example: safety-check plan save bass "Orvel Lake" --launch ramp --reach "1 mi" --hours 5
    """
    options = dict(locals())
    from safety_check.cli.request import request_from
    from safety_check.errors import PlanError
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.recheck import last_check
    from safety_check.use_cases.save_plan import save_plan, save_trip

    loaded = load_settings()
    if last:
        given = {key for key, value in options.items() if value not in (None, False)}
        if further := sorted(given - {"name", "last"}):
            raise PlanError(
                f"plan save --last keeps the trip of the last check as it is; leave out"
                f" {', '.join(further)}."
            )
        replaced = save_trip(name, last_check(None, None, loaded).kept.plan, loaded)
    else:
        replaced = save_plan(name, request_from(options), loaded)
    typer.echo(f"{'Replaced' if replaced else 'Saved'} {name!r}.")
    typer.echo(f"  Check it with: safety-check check {shlex.quote(name)} --start sat")


@app.command("list")
def list_(as_json: AsJson = False) -> None:
    """List the saved plans and what they keep.

    Example: safety-check plan list
    """
    import json

    from safety_check.report.layout import Layout
    from safety_check.settings.settings import load_settings

    plans = load_settings().user.plan
    kept = {name: saved.model_dump(exclude_defaults=True) for name, saved in plans.items()}
    if as_json:
        typer.echo(json.dumps(kept, indent=2, ensure_ascii=False))
        return
    if not kept:
        typer.echo("No saved plans yet. Save one with: safety-check plan save NAME WATER")
    for name, said in kept.items():
        parts = [f"{key.replace('_', ' ')} {_word(value)}" for key, value in said.items()]
        for line in textwrap.wrap(
            f"{name}: {', '.join(parts)}", Layout.for_stdout().width, subsequent_indent="  "
        ):
            typer.echo(line)


def _word(value: Any) -> str:
    return {True: "yes", False: "no"}.get(value, str(value))


@app.command("remove")
def remove(name: SavedName) -> None:
    """Remove a saved plan.

    Example: safety-check plan remove bass
    """
    from safety_check.use_cases.save_plan import remove_plan

    typer.echo(f"Removed {remove_plan(name)!r}.")
