"""A survey that is killed, workers and all, is completed by the same command, and ends the same."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import pytest

from safety_check.settings.survey_file import load_survey_file
from tests.sources.gridded.grids import SOUTH, WEST, grid, write

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="system: Windows has no process groups to kill"
)
PATIENCE = 120.0  # s until the first file is there, on a busy machine


@pytest.mark.thorough
def test_a_run_that_was_killed_after_its_first_file_is_completed_to_the_same_bytes(
    tmp_path: Path,
) -> None:
    from benchmarks.survey_runs import (
        SurveyCommand,
        kill_group,
        run_whole,
        same_files,
        state_of,
        written_twice,
    )

    number = 3 * load_survey_file().block.launches + 1
    rows = (
        f'launch {place},{SOUTH + 0.007 * place:.3f},{WEST + 0.3},canoe,"N 1 km, E 1 km, S 1 km,'
        ' W 1 km"'
        for place in range(number)
    )
    table = tmp_path / "launches.csv"
    table.write_text("\n".join(["name,latitude,longitude,craft,fetch", *rows]) + "\n")
    forecasts = (write(grid(1), tmp_path / "m.zarr"),)
    command = SurveyCommand(table, forecasts, "2026-06-12T20:00", tmp_path / "home", days=1)
    run_whole(command, tmp_path / "alone", 1)
    assert len(state_of(tmp_path / "alone")) == 4

    out = tmp_path / "killed"
    process, began = command.start(out, 1), time.monotonic()
    while not state_of(out) and time.monotonic() - began < PATIENCE:
        time.sleep(0.01)
    kill_group(process)
    state = state_of(out)
    assert state
    half = out / "verdicts" / "part-000003.parquetabc.part"  # as of a kill in the midst of writing
    half.write_bytes(b"half")
    run_whole(command, out, 1)
    assert same_files(tmp_path / "alone", out)
    assert not written_twice([state], out)
