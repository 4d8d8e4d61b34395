"""Bad tables and bad forecasts: what is wrong is named, the rest is judged, the status says so."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xarray
from pyarrow import parquet

from tests.cli.conftest import Run, Runner
from tests.sources.gridded.grids import SOUTH, STEP, WEST, grid, write

SECTORS = '"N 1 km, E 2 km, S 1 km, W 1 km"'
WORDS = ("--as-of", "2026-06-12T20:00", "--water-temp", "72 F", "--reach", "0.5 mi", "--days", "2")
READY = (
    *("--craft", "canoe", "--life-jacket", "worn", "--wearing", "none"),
    *("--company", "group", "--light", "yes"),
)
ROWS = {"west": (2, 1), "east": (2, 6)}  # the row and column of the grid


def plain_table(folder: Path) -> Path:
    rows = (
        f"{name},{SOUTH + row * STEP},{WEST + column * STEP},{SECTORS}"
        for name, (row, column) in ROWS.items()
    )
    path = folder / "launches.csv"
    path.write_text("\n".join(["name,latitude,longitude,fetch", *rows]) + "\n")
    return path


def verdicts(folder: Path) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for part in sorted((folder / "verdicts").glob("*.parquet")):
        for row in parquet.read_table(part).to_pylist():
            found.setdefault(row["launch"], []).append(row["verdict"])
    return found


def survey(ready: Runner, folder: Path, table: Path, *data: xarray.Dataset) -> Run:
    """Run a survey on data sets, which become the models m0, m1 and so on."""
    given = [
        word
        for number, one in enumerate(data)
        for word in ("--forecasts", write(one, folder / f"m{number}.zarr"))
    ]
    return ready("survey", table, *given, "--out", folder / "out", *WORDS, *READY)


def point(name: str, place: tuple[float, float], **properties: str) -> dict[str, Any]:
    return {
        "type": "Feature",
        "properties": {"name": name, **properties},
        "geometry": {"type": "Point", "coordinates": [place[1], place[0]]},
    }


@pytest.mark.thorough
def test_rows_that_can_not_be_used_are_named_and_the_rest_is_judged(
    ready: Runner, tmp_path: Path
) -> None:
    south, west = SOUTH + 0.5, WEST + 0.5
    ring = [[west + x, south + y] for x, y in ((0, 0), (0.02, 0), (0.02, 0.02), (0, 0.02), (0, 0))]
    fetch = {"fetch": SECTORS.strip('"')}
    features = [
        {
            "type": "Feature",
            "properties": {"name": "Tesk Pond"},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        },
        point("ramp", (south + 0.01, west), water="Tesk Pond"),
        point("inland", (south + 0.3, west + 0.3), water="Tesk Pond"),
        point("twice", (south, west), **fetch),
        point("twice", (south + 0.1, west), **fetch),
        point("overseas", (10.0, 20.0), **fetch),
        point("nowhere", (100.0, west), **fetch),
        point("shut", (south, west)),
    ]
    table = tmp_path / "launches.geojson"
    table.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    done = survey(ready, tmp_path, table, grid())
    told = " ".join(done.err.split())
    assert done.status == 3
    assert "1 launches judged, 6 refused" in done.out
    assert list(verdicts(tmp_path / "out")) == ["ramp"]
    assert told.count("twice: the name 'twice' stands in 2 rows") == 2
    assert "inland: " in told
    assert "overseas: It lies on no model's grid" in told
    assert "nowhere: latitude 100.0: give degrees" in told
    assert "shut: nothing says how open the water is" in told


def without_hours(data: xarray.Dataset) -> xarray.Dataset:
    """Return a forecast that ends in the first evening."""
    return data.isel(time=slice(0, 28))


def with_nan_in_the_west(data: xarray.Dataset) -> xarray.Dataset:
    data["wind_speed"][:, :, :, :4] = np.nan
    return data


def with_gaps(data: xarray.Dataset) -> xarray.Dataset:
    """Return a forecast without each third hour."""
    return data.isel(time=[hour for hour in range(data.sizes["time"]) if hour % 3])


def in_unknown_unit(data: xarray.Dataset) -> xarray.Dataset:
    data["wind_speed_of_gust"].attrs["units"] = "furlong"
    return data


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("spoil", "unknown"),
    [
        (without_hours, {"west", "east"}),
        (with_gaps, {"west", "east"}),
        (with_nan_in_the_west, {"west"}),
        (in_unknown_unit, {"west", "east"}),
    ],
)
def test_what_a_forecast_does_not_say_is_unknown_there_and_the_status_says_so(
    ready: Runner,
    tmp_path: Path,
    spoil: Callable[[xarray.Dataset], xarray.Dataset],
    unknown: set[str],
) -> None:
    done = survey(ready, tmp_path, plain_table(tmp_path), spoil(grid()))
    found = verdicts(tmp_path / "out")
    assert done.status == 3
    assert {name for name, days in found.items() if "UNKNOWN" in days} == unknown
    launches = "1 launch:" if len(unknown) == 1 else f"{len(unknown)} launches:"
    assert f"UNKNOWN on a day at {launches}" in " ".join(done.err.split())
    assert found.keys() == ROWS.keys()
    assert "GO" not in {verdict for days in found.values() for verdict in days}
    if spoil is in_unknown_unit:
        assert "wind_speed_of_gust: unit 'furlong' is not known" in " ".join(done.err.split())


@pytest.mark.thorough
def test_units_that_differ_between_files_and_variables_are_converted(
    ready: Runner, tmp_path: Path
) -> None:
    table = plain_table(tmp_path)
    same, other = grid(), grid()
    for name, factor, unit in (
        ("wind_speed", 3.6, "km/h"),
        ("wind_speed_of_gust", 3600 / 1852, "kt"),
        ("air_pressure_at_mean_sea_level", 100.0, "Pa"),
    ):
        other[name] = (other[name].dims, other[name].values * factor, {"units": unit})
    (tmp_path / "same").mkdir()
    (tmp_path / "other").mkdir()
    one = survey(ready, tmp_path / "same", table, same, same)
    two = survey(ready, tmp_path / "other", table, same, other)
    assert (one.status, two.status) == (0, 0)
    assert verdicts(tmp_path / "same" / "out") == verdicts(tmp_path / "other" / "out")


@pytest.mark.one_in(4)
@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("name,latitude,longitude,fetch\n", "has no launches"),
        ("", "has no launches"),
        ("launch,lat,lon\na,45,-100\n", "no column name and no latitude and no longitude"),
        ("name,latitude,longitude\nräm,45,-100\n".encode("latin-1"), "cannot be read as a table"),
    ],
)
def test_a_table_that_can_not_be_used_is_an_error_and_nothing_is_written(
    ready: Runner, tmp_path: Path, content: str | bytes, says: str
) -> None:
    table = tmp_path / "launches.csv"
    table.write_bytes(content if isinstance(content, bytes) else content.encode())
    done = survey(ready, tmp_path, table, grid())
    assert done.status == 1
    assert says in " ".join(done.err.split())
    assert not (tmp_path / "out").exists()


@pytest.mark.thorough
def test_a_damaged_forecast_is_an_error_that_names_it(ready: Runner, tmp_path: Path) -> None:
    store = Path(write(grid(), tmp_path / "gfs.zarr"))
    for chunk in (store / "wind_speed").rglob("c/**/*"):
        if chunk.is_file():
            chunk.write_bytes(b"no chunk")
    arguments = ("--forecasts", store, "--out", tmp_path / "out", *WORDS, *READY)
    done = ready("survey", plain_table(tmp_path), *arguments)
    assert done.status == 1
    assert "gfs: the forecast is damaged or cannot be reached" in " ".join(done.err.split())
    assert not list((tmp_path / "out").glob("verdicts/*"))
