"""Check the last plan again at the launch, with new data and what the user sees."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli import complete
from safety_check.cli.moving import Current, Gauge, HighWater, Release
from safety_check.cli.options import (
    AsJson,
    AsOf,
    ForecastFile,
    Form,
    Full,
    Quiet,
    ReadAt,
    Verbose,
    WarningsOption,
    WaterTemp,
)
from safety_check.cli.seeing import From, Gust, ManyWhitecaps, Waves, Whitecaps, Wind

if TYPE_CHECKING:
    from safety_check.model.changes import CompletedRecheck
    from safety_check.settings.settings import Settings

LastOf = Annotated[
    str | None,
    typer.Argument(
        metavar="WATER",
        help="A water or saved plan: its last check; that of all if omitted.",
        autocompletion=complete.waters_and_plans,
    ),
]
Last = Annotated[bool, typer.Option("--last", help="Use the last plan of all.")]
Named = Annotated[
    str | None,
    typer.Option(
        "--name",
        help="Use the last plan with this name.",
        show_default=False,
        autocompletion=complete.plan_names,
    ),
]
Offline = Annotated[
    bool, typer.Option("--offline", help="Ask no service; use what the last check received.")
]


def recheck(
    water: LastOf = None,
    last: Last = False,
    name: Named = None,
    wind: Wind = None,
    gust: Gust = None,
    from_: From = None,
    whitecaps: Whitecaps = False,
    many_whitecaps: ManyWhitecaps = False,
    waves: Waves = None,
    water_temp: WaterTemp = None,
    warnings: WarningsOption = None,
    read_at: ReadAt = None,
    current: Current = None,
    high_water: HighWater = None,
    gauge: Gauge = None,
    release: Release = None,
    forecast: ForecastFile = None,
    offline: Offline = False,
    as_of: AsOf = None,
    full: Full = False,
    quiet: Quiet = False,
    verbose: Verbose = False,
    as_json: AsJson = False,
) -> None:
    """Check the last plan again at the launch, with what you see there.

    What you see can only make the verdict stricter. Without these options, a terminal asks.

    Exit status: 0 GO, 20 MARGINAL, 30 NO-GO, 40 UNKNOWN; 1 failure, 2 usage.

    Example: safety-check recheck --wind "12 mph" --from NW --whitecaps
    """
    from safety_check.cli import ask, seeing
    from safety_check.report.exit_status import EXIT_STATUS
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.launch_observation import LaunchObservation
    from safety_check.use_cases.own_word import NONE
    from safety_check.use_cases.recheck import (
        MovementRequest,
        RecheckRequest,
        again_needs_own_word,
        last_check,
        recheck_plan,
    )

    form = Form.of(full, quiet, as_json)
    silent = form in (Form.json, Form.quiet)
    require_one(water, last)
    loaded = load_settings()
    said = LaunchObservation(wind, gust, from_, whitecaps, waves, water_temp, many_whitecaps)
    before = last_check(water, name, loaded)  # nothing is asked where there is nothing to re-check
    again = RecheckRequest(
        water=water,
        name=name,
        seen=seeing.asked(said, silent),
        forecast=forecast,
        offline=offline,
        as_of=as_of,
        warnings=warnings and warnings.value,
        read_at=read_at,
        moves=MovementRequest(current, high_water, gauge, release),
    )
    if not as_json and ask.on_a_terminal() and again_needs_own_word(before, again):
        said_at = ask.ask_when_read()
        again = replace(again, warnings=NONE, read_at=said_at) if said_at else again
    done = recheck_plan(again, loaded)
    for remark in done.remarks:
        typer.echo(f"safety-check: {remark}", err=True)
    show(done, loaded, form)
    raise typer.Exit(EXIT_STATUS[done.verdict.severity])


def require_one(water: str | None, last: bool) -> None:
    """Refuse a water beside --last."""
    from safety_check.errors import PlanError

    if water is not None and last:
        raise PlanError(
            f"--last and {water!r} contradict each other: --last means the last plan of all. Give"
            f" only one."
        )


def show(done: CompletedRecheck, settings: Settings, form: Form) -> None:
    """Print what changed, then the verdict."""
    import json

    from safety_check import __version__
    from safety_check.cli.check import add_text
    from safety_check.cli.printed import print_marked
    from safety_check.report import changes
    from safety_check.report.exit_status import EXIT_STATUS
    from safety_check.report.layout import Layout

    verdict = done.verdict
    prefer = settings.at(verdict.plan.launch).preferences
    if form == Form.json:
        status = EXIT_STATUS[verdict.severity]
        said = changes.as_json(verdict, done.changes, prefer, __version__, status)
        typer.echo(json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False))
        return
    layout = Layout.for_stdout()
    if form != Form.quiet:
        changes.add_changes(verdict, done.changes, prefer, layout)
    add_text(verdict, prefer, layout, form)
    print_marked(layout.text)
