"""The verdict as one file to read, store on a phone, or print."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from safety_check.cli import check
from safety_check.cli.options import Form
from safety_check.cli.printed import written

if TYPE_CHECKING:
    from safety_check.conditions.case import Case
    from safety_check.model.verdict import Verdict
    from safety_check.settings.settings import Settings


FORMS_OF_TEXT = ("full", "quiet")  # options that only a report on a terminal has


def beside_those_of(command: Callable[..., None]) -> Callable[[Callable[..., None]], Any]:
    """Return a decorator that gives a command another command's options besides its own.

    An option added to one is then available in the other too.
    """

    def decorate(own: Callable[..., None]) -> Callable[..., None]:
        signature = inspect.signature(own)
        mine = [
            parameter
            for parameter in signature.parameters.values()
            if parameter.kind != parameter.VAR_KEYWORD
        ]
        theirs = [
            parameter
            for parameter in inspect.signature(command).parameters.values()
            if parameter.name not in FORMS_OF_TEXT
        ]
        hints = {
            name: hint
            for function in (command, own)
            for name, hint in get_type_hints(function, include_extras=True).items()
        }
        own.__annotations__ = hints
        own.__signature__ = signature.replace(  # type: ignore[attr-defined]
            parameters=[
                parameter.replace(annotation=hints[parameter.name])
                for parameter in (*theirs, *mine)
            ]
        )
        return own

    return decorate


@beside_those_of(check.check)
def page(
    *,
    out: Annotated[Path, typer.Option("--out", help="The HTML file to write.")],
    **options: Any,
) -> None:
    """Write the verdict as one HTML file that needs no network; takes the options of check.

    Exit status: as for check.

    Example: safety-check page "Orvel Lake" --start "tomorrow 06:00" --hours 5 --water-temp "58 F"
    --out orvel.html
    """
    from safety_check.report.exit_status import EXIT_STATUS
    from safety_check.report.page.page import render_page
    from safety_check.report.page.page_map import draw_map
    from safety_check.report.words import MEANS
    from safety_check.settings import toml_file
    from safety_check.use_cases.sight_table import judge_sightings
    from safety_check.use_cases.wave_map import map_hours_around

    settings, verdict, case = judged(options)
    lake = draw_map(verdict, map_hours_around(verdict, settings), settings.preferences)
    sight = judge_sightings(case, verdict)
    if options["as_json"]:
        check.print_verdict(verdict, settings, Form.json)
    else:
        typer.echo(f"{verdict.severity}: {MEANS[verdict.severity]}")
    replaced = toml_file.save(out, render_page(verdict, settings, lake, sight))
    if not options["as_json"]:
        typer.echo(f"{written(out, replaced)} Open it in a browser; it needs no network.")
    raise typer.Exit(EXIT_STATUS[verdict.severity])


def judged(options: dict[str, Any]) -> tuple[Settings, Verdict, Case]:
    """Return the user's settings, and the verdict on what the options ask for, with its case."""
    from safety_check.cli import ask
    from safety_check.cli.request import complete_request
    from safety_check.use_cases.check import check_plan
    from safety_check.use_cases.judge import judge_case
    from safety_check.use_cases.sample import sample_case

    if options["sample"]:
        case = sample_case()
        return case.settings, judge_case(case), case
    silent = options["as_json"]
    settings, asked = complete_request(options, silent)
    asked = ask.complete_warnings(asked, settings, options["forecast"], silent)
    done = check_plan(asked, settings, options["forecast"], options["name"])
    for remark in done.remarks:
        typer.echo(f"safety-check: {remark}", err=True)
    return settings.at(done.verdict.plan.launch), done.verdict, done.case
