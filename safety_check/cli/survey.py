"""Judge many launches from gridded forecasts."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from safety_check.cli.options import (
    AsOf,
    CompanyOption,
    CraftName,
    JacketOption,
    LightOption,
    Reach,
    ReadAt,
    WarningsOption,
    WaterTemp,
    WearOption,
)

INCOMPLETE = 3  # exit status
NAMED = 5  # of the launches that are UNKNOWN; the files have them all

Table = Annotated[
    Path, typer.Argument(help="The launches: .csv, .parquet or .geojson.", show_default=False)
]
Forecasts = Annotated[
    list[str],
    typer.Option(
        "--forecasts",
        help="A gridded forecast of one model, perhaps as NAME=PATH: NetCDF, zarr, kerchunk, GRIB;"
        " once for each model.",
    ),
]
Out = Annotated[Path, typer.Option("--out", help="The folder for the Parquet files.")]
Hours = Annotated[int, typer.Option("--hours", min=1, max=24, help="Length of the trips.")]
Days = Annotated[int, typer.Option("--days", min=1, max=16, help="Local days, today included.")]
Workers = Annotated[int, typer.Option("--workers", min=1, help="Processes on this machine.")]
Scheduler = Annotated[
    str | None,
    typer.Option("--scheduler", help="Address of a Dask scheduler that runs already."),
]


def survey(
    table: Table,
    forecasts: Forecasts,
    out: Out,
    craft: CraftName = None,
    hours: Hours = 4,
    days: Days = 7,
    reach: Reach = None,
    water_temp: WaterTemp = None,
    as_of: AsOf = None,
    life_jacket: JacketOption = None,
    wearing: WearOption = None,
    company: CompanyOption = None,
    light: LightOption = None,
    warnings: WarningsOption = None,
    read_at: ReadAt = None,
    workers: Workers = 1,
    scheduler: Scheduler = None,
) -> None:
    """Judge the coming days at every launch of a table, from files of public models.

    Writes one row for each launch and day: the best trip, its verdict, and the hazard that
    decides. A run that was ended goes on where it was when it is started again. Needs the extra
    packages: pip install 'safety-check[survey]'.

    Exit status: 0 all launches judged; 3 some were refused or are UNKNOWN on a day, or a forecast
    has a variable that can't be used; 1 failure, 2 usage.

    Example: safety-check survey launches.csv --forecasts gfs=gfs.zarr --out verdicts --craft canoe
    """
    options = dict(locals())
    from datetime import UTC, datetime

    from safety_check.cli.progress import progress_bar
    from safety_check.cli.request import request_from
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.survey.block import SurveyTask
    from safety_check.use_cases.survey.run import Cluster, run_survey
    from safety_check.use_cases.times_in_words import parse_time

    del options["hours"]
    clock = datetime.now(UTC)
    at = clock if as_of is None else parse_time(as_of, "UTC", clock, "--as-of")
    whole_hour = at.replace(minute=0, second=0, microsecond=0)
    asked = request_from({**options, "as_of": None})
    task = SurveyTask(tuple(forecasts), asked, hours, days, whole_hour, load_settings())
    with progress_bar("blocks of launches") as progress:
        done = run_survey(table, out, task, Cluster(scheduler, workers), progress)
    for note in done.notes:
        typer.echo(f"safety-check: {note}", err=True)
    for row in done.refused:
        typer.echo(f"safety-check: {row['launch']}: {row['why']}", err=True)
    if done.unknown:
        more = ", …" if len(done.unknown) > NAMED else ""
        launches = "launch" if len(done.unknown) == 1 else "launches"
        typer.echo(
            f"safety-check: UNKNOWN on a day at {len(done.unknown)} {launches}:"
            f" {', '.join(done.unknown[:NAMED])}{more}",
            err=True,
        )
    resumed = f" ({done.resumed} blocks were there already)" if done.resumed else ""
    typer.echo(f"{done.launches} launches judged{resumed}, {len(done.refused)} refused: {out}")
    raise typer.Exit(INCOMPLETE if done.refused or done.unknown or done.notes else 0)
