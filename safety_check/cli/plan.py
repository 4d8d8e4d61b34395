"""The float plan to leave with someone ashore."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from safety_check.cli import check, page
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


@page.beside_those_of(check.check)
def plan(
    *,
    last: Annotated[bool, typer.Option("--last", help="The plan of the last check.")] = False,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write a page to print.", show_default=False)
    ] = None,
    alarm_after: AlarmAfter = None,
    note: Annotated[str, typer.Option("--note", help="A note in your own words.")] = "",
    **options: Any,
) -> None:
    """Write a float plan to leave with someone ashore; nothing is sent.

    With --last, or with --name alone, it uses the last check. Otherwise it takes the options
    of check, and adds a verdict only with --forecast.

    Example: safety-check plan --last --html float-plan.html
    """
    from safety_check.assess.float_plan import build_float_plan
    from safety_check.report import float_plan
    from safety_check.settings import toml_file
    from safety_check.settings.settings import load_settings

    require_one(options["water"], last)
    loaded = load_settings()
    trip, verdict = _trip(options, last, loaded)
    made = build_float_plan(trip, loaded.user.contact, verdict, _span(alarm_after), note)
    if lacks := float_plan.missing_entries(made):
        typer.echo(f"safety-check: {lacks}", err=True)
    if options["as_json"]:
        import json

        said = float_plan.as_json(made, loaded.preferences)
        typer.echo(json.dumps(said, indent=2, ensure_ascii=False))
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

    from safety_check.use_cases import planning
    from safety_check.use_cases.recheck import last_check

    if last or (options["name"] and options["water"] is None):
        kept = last_check(None, options["name"] or None, loaded).kept
        return kept.plan, kept.verdict
    if options["sample"] or options["forecast"] is not None:
        _, verdict = page.judged(options)
        return verdict.plan, verdict
    from safety_check.cli import ask  # numpy and pydantic only where they are needed

    options["reach"] = ask.reach_or_answer(options["reach"], options["route"], options["as_json"])
    return planning.make_plan(page.asked(options), loaded, datetime.now(UTC))[0], None


def _span(text: str | None) -> timedelta | None:
    from datetime import timedelta

    from safety_check.units import parse

    return None if text is None else timedelta(seconds=parse(text, "duration", "--alarm-after"))
