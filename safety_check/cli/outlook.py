"""Compare the coming days at one or several waters."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli import complete
from safety_check.cli.moving import Current, Gauge, HighWater, Release
from safety_check.cli.options import (
    AsJson,
    AsOf,
    CompanyOption,
    CraftName,
    FromShore,
    JacketOption,
    LaunchName,
    LightOption,
    Reach,
    ReadAt,
    Verbose,
    WarningsOption,
    WaterTemp,
    WearOption,
)

if TYPE_CHECKING:
    from safety_check.model.outlook import Outlook
    from safety_check.settings.settings import Settings
    from safety_check.units import Preferences
    from safety_check.use_cases.outlook import OutlookRequest

Waters = Annotated[
    list[str],
    typer.Argument(
        metavar="WATER...",
        help='Waters ("Orvel Lake:ramp" names the launch), or saved plans.',
        autocompletion=complete.waters_and_plans,
    ),
]
Days = Annotated[int, typer.Option("--days", help="Number of local days, including today.")]
Hours = Annotated[
    str | None,
    typer.Option(
        "--hours",
        help='Minimum trip length: "4h"; that of a saved plan, or 4.',
        show_default=False,
    ),
]
Files = Annotated[
    list[Path] | None,
    typer.Option(
        "--forecast",
        help="Saved forecast files: one for all waters, or one for each.",
        show_default=False,
    ),
]

Calendar = Annotated[
    Path | None,
    typer.Option(
        "--ical",
        help="Also write the windows as a calendar file (iCalendar).",
        show_default=False,
    ),
]


def outlook(
    waters: Waters,
    craft: CraftName = None,
    launch: LaunchName = None,
    days: Days = 7,
    hours: Hours = None,
    reach: Reach = None,
    from_shore: FromShore = None,
    water_temp: WaterTemp = None,
    forecast: Files = None,
    as_of: AsOf = None,
    life_jacket: JacketOption = None,
    wearing: WearOption = None,
    company: CompanyOption = None,
    light: LightOption = None,
    warnings: WarningsOption = None,
    read_at: ReadAt = None,
    current: Current = None,
    high_water: HighWater = None,
    gauge: Gauge = None,
    release: Release = None,
    ical: Calendar = None,
    verbose: Verbose = False,
    as_json: AsJson = False,
) -> None:
    """Find the best window of each coming day; the best water first.

    Windows are in daylight and include the return hour.

    Exit status: 0 for any result; 1 failure, 2 usage.

    Example: safety-check outlook "Orvel Lake:ramp" "Tesk Pond" --craft "my kayak" --hours 4
    """
    options = dict(locals())
    from safety_check.cli import ask
    from safety_check.cli.request import request_from
    from safety_check.use_cases.outlook import OutlookRequest

    del options["hours"]  # the least length of a trip, not that of a plan
    settings = ask.complete_settings(as_json)
    settings = ask.complete_contact(waters, settings, forecast, as_json)
    asked = request_from(options)
    if not settings.user.plan.keys() & {*waters}:  # a saved plan says how far it goes
        asked = replace(asked, reach=ask.reach_or_answer(reach, None, as_json))
    ahead = OutlookRequest(tuple(waters), days, hours, tuple(forecast or ()), asked)
    found = _with_progress(ahead, settings)
    if ical is not None:
        from safety_check.cli.printed import written
        from safety_check.report.calendar import windows_calendar
        from safety_check.settings import toml_file

        typer.echo(written(ical, toml_file.save(ical, windows_calendar(found))), err=True)
    show(found, settings.at(found[0].plan.launch).preferences, as_json)


def _with_progress(ahead: OutlookRequest, settings: Settings) -> list[Outlook]:
    """Ask for one water after another; show progress on a terminal."""

    def remark(line: str) -> None:
        typer.echo(f"safety-check: {line}", err=True)

    from safety_check.use_cases.outlook import compare_outlooks

    if len(ahead.waters) == 1:
        return compare_outlooks(ahead, settings, remark)
    with _progress(len(ahead.waters)) as begins:
        return compare_outlooks(ahead, settings, remark, begins)


@contextmanager
def _progress(waters: int) -> Iterator[Callable[[str], None]]:
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task("", total=waters)
        begun = iter(range(waters))
        yield lambda water: progress.update(task, completed=next(begun), description=water)


def show(outlooks: list[Outlook], preferences: Preferences, as_json: bool) -> None:
    """Print the coming days as JSON or for a person."""
    import json

    from safety_check import __version__
    from safety_check.assess.outlook import best_first
    from safety_check.cli.printed import print_marked
    from safety_check.report.json_outlook import outlook_as_json
    from safety_check.report.layout import Layout
    from safety_check.report.outlook import add_outlook

    ranked = best_first(outlooks)
    if as_json:
        said = outlook_as_json(outlooks, ranked, __version__)
        typer.echo(json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False))
        return
    layout = Layout.for_stdout()
    add_outlook(outlooks, ranked, preferences, layout)
    print_marked(layout.text)
