"""A survey of many launches, against single checks of the same launches and forecasts.

Run with `python -m benchmarks.survey [--launches N] [--kills N]`, on Linux. It invents N launches
(10,000), a week of four models and an ensemble of 50 as zarr, and runs the command line on them:
a tenth of the launches on one worker and on two, then all launches on two. Before that, a survey
with the four models is killed at random moments and completed; `--launches 0` does that alone. The
last line is how many times faster a survey is than a check of each trip that it weighs, in
processor time.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from benchmarks.survey_data import NOW, write_forecasts, write_launches
from benchmarks.survey_runs import (
    SurveyCommand,
    SurveyRun,
    run_killed,
    run_whole,
    same_files,
    state_of,
    written_twice,
)
from safety_check.arrays import hour_axis
from safety_check.assess.outlook import local_days, trips_in_daylight
from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.model.plan import Plan
from safety_check.rules.rulebook import Rulebook
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import UserSettings
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.survey.block import SurveyTask, make_cases, survey_rulebook
from safety_check.use_cases.survey.table import read_launches

TRIP, DAYS, CHECKED, SEED = 4, 7, 12, 20261127
KILLED = 1280  # launches of the survey that is killed
MB = 1e6


@dataclass(frozen=True)
class SingleChecks:
    """Single checks of some of the launches.

    Parameters
    ----------
    judging, reading
        Processor time of one check, and of reading the forecasts of one launch before it. [s]
    trips
        How many trips a survey weighs at a launch, on average.
    """

    judging: float
    reading: float
    trips: float


def main() -> None:
    """Print what is measured; the ratio comes last."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--launches", type=int, default=10_000)
    parser.add_argument("--kills", type=int, default=10)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        _measure(Path(folder), asked.launches, asked.kills)


def _measure(folder: Path, launches: int, kills: int) -> None:
    if kills:
        _kill(folder, kills)
    if not launches:
        return
    forecasts = write_forecasts(folder)
    size = sum(file.stat().st_size for file in folder.rglob("*") if file.is_file())
    print(f"forecasts: {size / MB:.0f} MB of zarr", flush=True)
    some, many = max(launches // 10, 1), launches
    few = SurveyCommand(write_launches(folder / "few.csv", some), forecasts, NOW, folder / "home")
    single = _single_checks(few, folder)
    print(
        f"a single check: {single.judging:.4f} s of processor time, {single.reading:.3f} s before"
        f" it to read its forecasts; a survey weighs {single.trips:.0f} trips at a launch",
        flush=True,
    )
    alone, both = (_timed(few, folder / f"few-{number}", some, number) for number in (1, 2))
    print(f"two workers: {alone.wall / both.wall:.2f} times one, by the clock", flush=True)
    whole = replace(few, table=write_launches(folder / "many.csv", many))
    full = _timed(whole, folder / "many", many, 2)
    print(f"memory of a worker: {full.memory / both.memory:.2f} times that of {some} launches")
    each = full.processor / many
    checks = single.judging / each
    print(f"a launch takes {each:.4f} s of processor time: {checks:.2f} times as fast as one check")
    print(f"as fast as a check of each launch and day: {DAYS * checks:.1f} times")
    print(f"times_single_checks: {single.trips * checks:.1f}")


def _timed(command: SurveyCommand, out: Path, launches: int, workers: int) -> SurveyRun:
    run = run_whole(command, out, workers)
    print(
        f"{launches} launches, {workers} workers: {run.wall:.0f} s, {launches / run.wall:.2f}"
        f" launches a second; {run.processor / launches:.4f} s of processor time each;"
        f" {run.memory / MB:.0f} MB at most in a worker",
        flush=True,
    )
    return run


def _kill(folder: Path, kills: int) -> None:
    """Kill runs at random, complete the last, and compare with a run that was left alone.

    Without the ensemble, so that files are written every few seconds.
    """
    forecasts = write_forecasts(folder / "single", ensemble=False)
    table = write_launches(folder / "killed.csv", KILLED)
    command = SurveyCommand(table, forecasts, NOW, folder / "home")
    alone, out = run_whole(command, folder / "alone", 2), folder / "killed"
    states = run_killed(command, out, folder / "alone", kills, alone, SEED)
    run_whole(command, out, 2)
    files = len(state_of(folder / "alone"))
    whole = ", ".join(str(len(state)) for state in states)
    same = "the same files" if same_files(folder / "alone", out) else "OTHER FILES"
    left = len(list(command.home.glob("**/worker-*")))
    print(
        f"{KILLED} launches, killed {len(states)} times, when {whole} of {files} files were"
        f" written; completed: {same}, to the byte; {written_twice(states, out)} written twice;"
        f" {left} left by killed workers",
        flush=True,
    )


def _single_checks(command: SurveyCommand, folder: Path) -> SingleChecks:
    launches = read_launches(command.table)[0][:CHECKED]
    settings = Settings(Folders(folder, folder, folder), UserSettings())
    asked = PlanRequest(reach="0.5 mi", water_temperature="72 F", life_jacket="worn",
                        wearing="none", company="group", light=True)  # fmt: skip
    now = datetime.fromisoformat(NOW).replace(tzinfo=UTC)
    task = SurveyTask(tuple(command.forecasts), asked, TRIP, DAYS, now, settings)
    rulebook, _ = survey_rulebook(asked)
    judging, reading, trips = [], [], []
    for launch in launches:
        began = time.process_time()
        ((_, case),) = make_cases([launch], task)[0]
        reading.append(time.process_time() - began)
        start = case.plan.start + timedelta(hours=25)
        one = replace(case, plan=replace(case.plan, start=start, end=start + timedelta(hours=TRIP)))
        judging.append(_processor_time(one, rulebook))
        trips.append(_trips(case.plan))
    return SingleChecks(float(np.median(judging)), float(np.median(reading)), float(np.mean(trips)))


def _processor_time(case: Case, rulebook: Rulebook) -> float:
    spent = []
    for _ in range(3):
        began = time.process_time()
        judge(case, rulebook)
        spent.append(time.process_time() - began)
    return min(spent)


def _trips(plan: Plan) -> int:
    time_axis = hour_axis(plan.start, plan.end)
    possible = trips_in_daylight(plan, time_axis, local_days(plan, time_axis))
    return int(possible[TRIP - 1].sum())


if __name__ == "__main__":
    main()
