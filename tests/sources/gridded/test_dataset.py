"""Gridded forecasts are read in any of their shapes, and refused where they can't be trusted."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import xarray

from safety_check.errors import DataError
from safety_check.model.weather import Forecast
from safety_check.sources.gridded.cut import cut_to_places
from safety_check.sources.gridded.dataset import open_forecast
from tests.sources.gridded.grids import MADE, SOUTH, WEST, grid, write

HERE = (SOUTH + 0.55, WEST + 0.8)  # nearest to row 2, column 3


def cut(data: xarray.Dataset, tmp_path: Path, here: tuple[float, float] = HERE) -> Forecast:
    found = next(iter(cut_to_places(open_forecast(write(data, tmp_path / "m.zarr")), [here])))
    assert isinstance(found, Forecast), found
    return found


def test_a_launch_gets_the_nearest_grid_point_in_si_with_every_run(tmp_path: Path) -> None:
    data = grid(members=3)
    found = cut(data, tmp_path)
    expected = data["wind_speed"].values[:, :, 2, 3]
    assert np.array_equal(found.quantities["wind_speed"], expected)
    assert found.models == ("m",) * 3
    assert found.quantities["air_temperature"][0, 0] == pytest.approx(295.15)
    assert found.quantities["visibility_in_air"][0, 0] == 20_000.0
    assert found.quantities["relative_humidity"][0, 0] == 0.5
    assert found.quantities["air_pressure_at_mean_sea_level"][0, 0] == 101_500.0
    assert found.cell == (SOUTH + 0.5, WEST + 0.75)
    assert f"{found.provenance.issued:%Y-%m-%dT%H:%M}" == MADE
    assert found.not_made == ("probability_of_thunder",)


@pytest.mark.one_in(4)
@pytest.mark.parametrize(
    ("east", "north", "degrees"),
    [(0.0, -3.0, 0.0), (-3.0, 0.0, 90.0), (0.0, 3.0, 180.0), (3.0, 0.0, 270.0)],
)
def test_components_become_speed_and_the_direction_the_wind_comes_from(
    tmp_path: Path, east: float, north: float, degrees: float
) -> None:
    data = grid()
    shape = data["wind_speed"].shape
    data = data.drop_vars(["wind_speed", "wind_from_direction"])
    for name, value in (("u10", east), ("v10", north)):  # short names of GRIB
        data[name] = (data["weather_code"].dims, np.full(shape, value), {"units": "m s**-1"})
    found = cut(data, tmp_path)
    assert found.quantities["wind_speed"][0, 0] == pytest.approx(3.0)
    assert found.quantities["wind_from_direction"][0, 0] == pytest.approx(degrees)


def test_longitudes_from_0_to_360_and_other_names_of_the_axes_are_understood(
    tmp_path: Path,
) -> None:
    data = grid(west=WEST + 360).rename(latitude="lat", longitude="lon", member="number")
    assert np.array_equal(
        cut(data, tmp_path).quantities["wind_speed"],
        grid()["wind_speed"].values[:, :, 2, 3],
    )


def test_a_gust_below_the_wind_is_raised_and_impossible_values_are_unknown(
    tmp_path: Path,
) -> None:
    data = grid()
    data["wind_speed_of_gust"][:] = 0.0
    data["air_temperature"][:] = -300.0
    data["wind_speed"][0, 5] = np.nan
    found = cut(data, tmp_path)
    wind, gust = found.quantities["wind_speed"], found.quantities["wind_speed_of_gust"]
    assert np.array_equal(gust, wind, equal_nan=True)
    assert np.isnan(gust[0, 5])
    assert np.isnan(found.quantities["air_temperature"]).all()


def test_a_place_off_the_grid_gets_no_forecast_but_why(tmp_path: Path) -> None:
    gridded = open_forecast(f"gfs={write(grid(), tmp_path / 'm.zarr')}")
    near, far = cut_to_places(gridded, [HERE, (SOUTH - 2.0, WEST)])
    assert isinstance(near, Forecast)
    assert isinstance(far, str)
    assert "gfs: its nearest grid point is 222 km away" in far


def test_places_share_the_forecast_of_their_cell_and_keep_their_order(tmp_path: Path) -> None:
    gridded = open_forecast(write(grid(), tmp_path / "m.zarr"))
    other = (SOUTH + 1.0, WEST + 0.25)
    first, away, again = cut_to_places(gridded, [HERE, other, (HERE[0] + 0.01, HERE[1])])
    assert first is again
    assert isinstance(away, Forecast)
    assert away.cell == other
    assert np.array_equal(away.quantities["wind_speed"], grid()["wind_speed"].values[:, :, 4, 1])


def test_an_unknown_unit_makes_a_quantity_unknown_and_is_said(tmp_path: Path) -> None:
    data = grid()
    data["air_temperature"].attrs["units"] = "furlong"
    gridded = open_forecast(write(data, tmp_path / "m.zarr"))
    assert gridded.refused == ("air_temperature: unit 'furlong' is not known for air_temperature.",)
    (found,) = cut_to_places(gridded, [HERE])
    assert isinstance(found, Forecast)
    assert np.isnan(found.quantities["air_temperature"]).all()
    assert "air_temperature" not in found.not_made


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda data: data.drop_attrs(deep=False), "when the run was made"),
        (lambda data: data.drop_vars("wind_speed"), "no wind"),
        (lambda data: data.rename(latitude="y"), "no dimension latitude"),
        (lambda data: data.isel(latitude=[0]), "not one regular axis"),
    ],
)
def test_what_is_no_forecast_on_a_grid_is_refused(tmp_path: Path, spoil, says: str) -> None:
    path = write(spoil(grid()), tmp_path / "m.zarr")
    with pytest.raises(DataError, match=says):
        open_forecast(path)


def test_times_that_are_no_whole_hours_are_refused(tmp_path: Path) -> None:
    data = grid()
    data = data.assign_coords(time=data["time"].values + np.timedelta64(30, "m"))
    with pytest.raises(DataError, match="no whole hours"):
        list(cut_to_places(open_forecast(write(data, tmp_path / "m.zarr")), [HERE]))
