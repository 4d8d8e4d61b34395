"""How often a water was a GO in past years."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from safety_check.cli.options import (
    AsJson,
    CompanyOption,
    CraftName,
    FromShore,
    JacketOption,
    LaunchName,
    LightOption,
    Night,
    Reach,
    Verbose,
    WaterName,
    WaterTemp,
    WearOption,
)

Hours = Annotated[
    str | None,
    typer.Option(
        "--hours",
        help='Length of the trips in whole hours: "4h"; that of a saved plan, or 4.',
        show_default=False,
    ),
]
Years = Annotated[
    int | None,
    typer.Option("--years", help="How many past years count; 20 by default.", show_default=False),
]
PageFile = Annotated[
    Path | None,
    typer.Option("--page", help="Also write it as one HTML file.", show_default=False),
]


def climate(
    water: WaterName,
    craft: CraftName = None,
    launch: LaunchName = None,
    hours: Hours = None,
    years: Years = None,
    reach: Reach = None,
    from_shore: FromShore = None,
    water_temp: WaterTemp = None,
    life_jacket: JacketOption = None,
    wearing: WearOption = None,
    company: CompanyOption = None,
    light: LightOption = None,
    night: Night = False,
    page: PageFile = None,
    verbose: Verbose = False,
    as_json: AsJson = False,
) -> None:
    """Show how often a water was a GO in past years, by month and hour.

    It judges every trip of the last years by a reanalysis (ERA5), a record of the weather by the
    hour, with the same rules as a check. The first run for a launch asks the service for each
    year; later runs need no network. It helps to choose a week and permits nothing.

    Exit status: 0 for any result; 1 failure, 2 usage.

    Example: safety-check climate "Orvel Lake" --launch ramp --craft "my kayak" --hours 4
    """
    options = dict(locals())
    import json

    from safety_check import __version__
    from safety_check.cli.printed import print_marked, written
    from safety_check.cli.progress import progress_bar
    from safety_check.cli.request import complete_request
    from safety_check.report.climate import add_climate
    from safety_check.report.layout import Layout
    from safety_check.use_cases.climate import ClimateRequest, recall_years

    settings, asked = complete_request(options, as_json)
    request = ClimateRequest(asked, years)
    with progress_bar("past years") as begins:
        found = recall_years(request, settings, begins=begins)
    there = settings.at(found.plan.launch)
    if page is not None:
        from safety_check.report.page.climate_page import render_climate
        from safety_check.settings import toml_file

        typer.echo(written(page, toml_file.save(page, render_climate(found, there))), err=True)
    if as_json:
        from safety_check.report.json_climate import climate_as_json

        said = climate_as_json(found, __version__)
        typer.echo(json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False))
        return
    layout = Layout.for_stdout()
    add_climate(found, there.preferences, layout)
    print_marked(layout.text)
