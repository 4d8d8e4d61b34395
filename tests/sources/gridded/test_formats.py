"""NetCDF, kerchunk and GRIB, each read by the library that it needs, or that library named."""

from __future__ import annotations

import importlib
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import ConfigError, DataError
from safety_check.model.weather import Forecast
from safety_check.sources.gridded.cut import cut_to_places
from safety_check.sources.gridded.dataset import open_forecast
from tests.sources.gridded.grids import CELLS, MADE, SOUTH, STEP, WEST, grid

HERE = (SOUTH + 0.5, WEST + 0.75)  # row 2, column 3
HOURS = 6
SHORT_NAMES = {"10u": 3.0, "10v": -4.0, "2t": 295.0, "prmsl": 101_500.0, "cape": 60.0}
PACKED = 0.01  # of 16 bits over a range of less than 100 units


def needs(name: str) -> Any:
    return pytest.importorskip(name, reason=f"formats: {name} is not installed")


def cut(path: Path) -> Forecast:
    (found,) = cut_to_places(open_forecast(str(path)), [HERE])
    assert isinstance(found, Forecast)
    return found


def test_netcdf_gives_what_was_written(tmp_path: Path) -> None:
    needs("netCDF4")
    grid().to_netcdf(tmp_path / "m.nc")
    expected = grid()["wind_speed"].values[:, :, 2, 3]
    assert np.array_equal(cut(tmp_path / "m.nc").quantities["wind_speed"], expected)


def test_a_kerchunk_reference_gives_what_the_file_holds(tmp_path: Path) -> None:
    needs("netCDF4")
    hdf = needs("kerchunk.hdf")
    grid().to_netcdf(tmp_path / "m.nc")
    reference = hdf.SingleHdf5ToZarr(str(tmp_path / "m.nc")).translate()
    (tmp_path / "m.json").write_text(json.dumps(reference))
    expected = grid()["wind_speed"].values[:, :, 2, 3]
    assert np.array_equal(cut(tmp_path / "m.json").quantities["wind_speed"], expected)


def write_grib(path: Path, eccodes: Any, members: int = 2) -> None:
    """Write GRIB 2 from north to south; each value grows with the member, step, row and column."""
    with path.open("wb") as file:
        for short_name, value in SHORT_NAMES.items():
            for member in range(1, members + 1):
                for step in range(HOURS):
                    rows, columns = np.indices((CELLS, CELLS))
                    values = value + 0.1 * (member + step + rows[::-1] + columns)
                    _write_message(file, eccodes, short_name, (member, members, step), values)


def _write_message(
    file: Any, eccodes: Any, name: str, run: tuple[int, int, int], values: np.ndarray
) -> None:
    member, members, step = run
    message = eccodes.codes_grib_new_from_samples("regular_ll_sfc_grib2")
    east, north = WEST + STEP * (CELLS - 1), SOUTH + STEP * (CELLS - 1)
    keys = {
        "dataDate": int(MADE[:10].replace("-", "")), "dataTime": 1800,
        "Ni": CELLS, "Nj": CELLS,
        "latitudeOfFirstGridPointInDegrees": north, "latitudeOfLastGridPointInDegrees": SOUTH,
        "longitudeOfFirstGridPointInDegrees": WEST + 360,
        "longitudeOfLastGridPointInDegrees": east + 360,
        "iDirectionIncrementInDegrees": STEP, "jDirectionIncrementInDegrees": STEP,
        "productDefinitionTemplateNumber": 1, "numberOfForecastsInEnsemble": members,
        "perturbationNumber": member, "stepUnits": "h", "step": step, "shortName": name,
        "packingType": "grid_simple", "bitsPerValue": 16,
    }  # fmt: skip
    for key, value in keys.items():
        eccodes.codes_set(message, key, value)
    eccodes.codes_set_values(message, values.ravel())
    eccodes.codes_write(message, file)
    eccodes.codes_release(message)


def test_grib_gives_every_run_of_what_its_codes_say_and_writes_nothing(tmp_path: Path) -> None:
    needs("cfgrib")
    path = tmp_path / "m.grib2"
    write_grib(path, needs("eccodes"))
    found = cut(path)
    added = 0.1 * (np.array([[1], [2]]) + np.arange(HOURS) + 2 + 3)
    wind = np.hypot(3.0 + added, -4.0 + added)
    assert found.quantities["wind_speed"] == pytest.approx(wind, abs=PACKED)
    assert found.quantities["air_temperature"] == pytest.approx(295.0 + added, abs=PACKED)
    pressure = found.quantities["air_pressure_at_mean_sea_level"]
    assert pressure == pytest.approx(101_500.0 + added, abs=PACKED)
    assert f"{found.provenance.issued:%Y-%m-%dT%H:%M}" == MADE
    assert found.time[0] == np.datetime64(MADE)
    assert len(found.time) == HOURS
    assert "wind_speed_of_gust" in found.not_made
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("path", "library", "install"),
    [
        ("m.grib2", "cfgrib", "pip install cfgrib eccodes"),
        ("m.json", "kerchunk", "pip install kerchunk"),
        ("m.nc", "netCDF4", "pip install netCDF4"),
        ("m.zarr", "zarr", "pip install 'safety-check[survey]'"),
        ("m.nc", "xarray", "pip install 'safety-check[survey]'"),
    ],
)
@pytest.mark.parametrize("trouble", [ImportError("No module"), RuntimeError("no C library")])
def test_a_library_that_is_missing_or_broken_is_named(
    path: str, library: str, install: str, trouble: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = importlib.import_module

    def missing(name: str, *others: Any) -> Any:
        if name == library:
            raise trouble
        return there(name, *others)

    monkeypatch.setattr(importlib, "import_module", missing)
    with pytest.raises(ConfigError, match=rf"{library}, which is missing or does not work") as told:
        open_forecast(path)
    assert install in str(told.value)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("name", "library"), [("m.nc", "netCDF4"), ("m.grib2", "cfgrib"), ("m.zarr", "zarr")]
)
def test_a_file_of_something_else_is_refused(tmp_path: Path, name: str, library: str) -> None:
    needs(library)
    (tmp_path / name).write_text("no data")
    with pytest.raises(DataError, match="cannot be opened") as told:
        open_forecast(str(tmp_path / name))
    assert "\n" not in str(told.value)
