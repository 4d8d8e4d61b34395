"""The main job: check a plan and explain the verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from safety_check import __version__
from safety_check.cli import complete
from safety_check.cli.moving import Current, Gauge, HighWater, Release
from safety_check.cli.options import (
    AsJson,
    AsOf,
    CompanyOption,
    CraftName,
    End,
    ForecastFile,
    Form,
    FromShore,
    Full,
    Hours,
    JacketOption,
    LaunchName,
    LightOption,
    Night,
    PlanName,
    Quiet,
    Reach,
    ReadAt,
    Route,
    Start,
    Verbose,
    WarningsOption,
    WaterTemp,
    WearOption,
)

if TYPE_CHECKING:
    from safety_check.model.verdict import Verdict
    from safety_check.report.layout import Layout
    from safety_check.settings.settings import Settings
    from safety_check.units import Preferences

OptionalWater = Annotated[
    str | None,
    typer.Argument(
        metavar="WATER",
        help="A water that you added, or a saved plan.",
        show_default=False,
        autocompletion=complete.waters_and_plans,
    ),
]
Sample = Annotated[
    bool, typer.Option("--sample", help="Run the bundled invented scenario without a network.")
]


def check(
    water: OptionalWater = None,
    craft: CraftName = None,
    launch: LaunchName = None,
    start: Start = None,
    hours: Hours = None,
    end: End = None,
    reach: Reach = None,
    route: Route = None,
    from_shore: FromShore = None,
    forecast: ForecastFile = None,
    water_temp: WaterTemp = None,
    as_of: AsOf = None,
    life_jacket: JacketOption = None,
    wearing: WearOption = None,
    company: CompanyOption = None,
    light: LightOption = None,
    night: Night = False,
    warnings: WarningsOption = None,
    read_at: ReadAt = None,
    current: Current = None,
    high_water: HighWater = None,
    gauge: Gauge = None,
    release: Release = None,
    name: PlanName = "",
    sample: Sample = False,
    full: Full = False,
    quiet: Quiet = False,
    verbose: Verbose = False,
    as_json: AsJson = False,
) -> None:
    """Say whether a trip is a GO, and why.

    Exit status: 0 GO, 20 MARGINAL, 30 NO-GO, 40 UNKNOWN; 1 failure, 2 usage.

    Example: safety-check check "Orvel Lake" --launch ramp --start "tomorrow 06:00" --hours 5
    --water-temp "58 F"
    """
    options = dict(locals())
    from safety_check.report.exit_status import EXIT_STATUS

    form = Form.of(full, quiet, as_json)
    silent = form in (Form.json, Form.quiet)
    if sample:
        from safety_check.use_cases.sample import check_sample

        settings, verdict = check_sample()
    else:
        from safety_check.cli import ask, guide, request
        from safety_check.use_cases.check import check_plan

        new_user = guide.starts_here(water, silent)
        options["water"] = guide.water_or_answer(water, silent)
        settings, asked = request.complete_request(options, silent, new_user)
        asked = guide.complete_trip(asked, settings, silent)
        asked = ask.complete_water_temperature(asked, settings, silent)
        asked = ask.complete_warnings(asked, settings, forecast, silent)
        asked = ask.complete_release(asked, settings, silent)
        done = check_plan(asked, settings, forecast, name)
        verdict = done.verdict
        settings = settings.at(verdict.plan.launch)
        for remark in done.remarks:
            typer.echo(f"safety-check: {remark}", err=True)
    print_verdict(verdict, settings, form)
    raise typer.Exit(EXIT_STATUS[verdict.severity])


def print_verdict(
    verdict: Verdict, settings: Settings, form: Form, program: str = __version__
) -> None:
    """Print a verdict as JSON or for a person; `program` is the version that made it."""
    if form == Form.json:
        from safety_check.report import json
        from safety_check.report.exit_status import EXIT_STATUS

        typer.echo(json.text(verdict, program, EXIT_STATUS[verdict.severity]))
        return
    from safety_check.cli.printed import print_marked
    from safety_check.report.layout import Layout

    layout = Layout.for_stdout()
    add_text(verdict, settings.preferences, layout, form)
    print_marked(layout.text)


def add_text(verdict: Verdict, preferences: Preferences, layout: Layout, form: Form) -> None:
    """Add a verdict for a person to a layout: in one line, in short, or in full."""
    if form == Form.quiet:
        from safety_check.report.one_line import one_line

        layout.line(one_line(verdict, preferences))
    elif form == Form.full:
        from safety_check.report.terminal import add_verdict

        add_verdict(verdict, preferences, layout)
    else:
        from safety_check.report.answer import add_answer

        add_answer(verdict, preferences, layout)


def schema(
    name: Annotated[
        str, typer.Argument(help="Which output: report, recheck, outlook …", metavar="[NAME]")
    ] = "report",
) -> None:
    """Print the JSON Schema of what a command prints with --json.

    Example: safety-check schema outlook > outlook.schema.json
    """
    import json

    from safety_check.errors import PlanError
    from safety_check.report.schemas import KINDS, schema_of
    from safety_check.settings.spelling import suggest_spelling

    if name not in KINDS:
        raise PlanError(
            f"schema: {name!r} is not a known output.{suggest_spelling(name, list(KINDS))} The"
            f" outputs are {', '.join(KINDS)}."
        )
    typer.echo(json.dumps(schema_of(name), indent=2))
