"""A survey from the command line, on a cluster of its own."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from pyarrow import parquet

from tests.cli.conftest import Runner
from tests.sources.gridded.grids import SOUTH, WEST, grid, write

WORDS = ("--as-of", "2026-06-12T20:00", "--water-temp", "72 F", "--reach", "0.5 mi", "--days", "2")


@pytest.fixture
def usual_port_is_taken() -> Iterator[None]:
    """Take the port of Dask's own dashboard, unless another program has it."""
    with socket.socket() as taken:
        with suppress(OSError):
            taken.bind(("", 8787))
            taken.listen()
        yield


@pytest.mark.thorough
@pytest.mark.usefixtures("usual_port_is_taken")
def test_a_club_judges_its_launches_and_is_told_of_the_row_that_can_not_be(
    ready: Runner, tmp_path: Path
) -> None:
    table = tmp_path / "launches.csv"
    table.write_text(
        "name,latitude,longitude,fetch,craft\n"
        f'ramp,{SOUTH + 0.3},{WEST + 0.3},"N 1 km, E 2 km, S 1 km, W 1 km",canoe\n'
        'far,10,10,"N 1 km, E 2 km, S 1 km, W 1 km",canoe\n'
    )
    store = write(grid(), tmp_path / "m.zarr")
    out = tmp_path / "verdicts"
    done = ready("survey", table, "--forecasts", f"gfs={store}", "--out", out, *WORDS)
    assert done.status == 3
    assert "far: It lies on no model's grid" in " ".join(done.err.split())
    assert "1 launches judged, 1 refused" in done.out
    (part,) = (out / "verdicts").glob("*.parquet")
    rows = parquet.read_table(part).to_pylist()
    assert [row["launch"] for row in rows] == ["ramp", "ramp"]
    again = ready("survey", table, "--forecasts", f"gfs={store}", "--out", out, *WORDS)
    assert "(1 blocks were there already)" in again.out


def test_a_forecast_that_is_none_is_an_error(ready: Runner, tmp_path: Path) -> None:
    table = tmp_path / "launches.csv"
    table.write_text('name,latitude,longitude,fetch\na,45,-100,"N 1 km, E 1 km, S 1 km, W 1 km"\n')
    told = ready("survey", table, "--forecasts", tmp_path / "none.zarr", "--out", tmp_path / "o")
    assert told.status == 1
    assert "cannot be opened as a gridded forecast" in " ".join(told.err.split())
