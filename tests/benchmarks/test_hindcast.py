"""The sea followed through the hours, against what lake buoys measured."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.buoy_file import read_hours, ten_metre_wind
from benchmarks.hindcast import open_water, predictions, stations
from safety_check.errors import DataError
from tests.recordings import shared_folder

HEADING = "#YY  MM DD hh mm WDIR WSPD GST  WVHT   DPD\n#yr  mo dy hr mn degT m/s  m/s     m   sec\n"

# Mean error and scatter that the method is to stay within at each station: the aims that
# were set for it before it was written.
AIMS = [
    ("45012_2023_apr-sep.txt", 0.05, 0.35, 0.93),
    ("45004h2015.txt", 0.10, 0.42, 0.90),
    ("45004h2018.txt", 0.10, 0.42, 0.90),
]


@pytest.mark.one_in(6)
@pytest.mark.parametrize(("name", "bias", "scatter", "correlation"), AIMS)
def test_the_sea_follows_the_buoys(name, bias, scatter, correlation):
    station = stations()[name[:5]]
    hours = read_hours(shared_folder("datasets", "buoys") / name)
    wind = ten_metre_wind(hours.wind_speed, station.mast)
    fetch = open_water(station, shared_folder("datasets", "lakes"))
    found = predictions(hours, wind, fetch)["through the hours"]
    known = np.isfinite(found) & np.isfinite(hours.height)
    error, measured = (found - hours.height)[known], hours.height[known]

    assert abs(error.mean()) <= bias
    assert np.sqrt(np.mean(error**2)) / measured.mean() <= scatter
    assert np.corrcoef(found[known], measured)[0, 1] >= correlation
    for strong in (6.0, 10.0):
        assert error[wind[known] >= strong].mean() > -0.10  # the unsafe side


def test_hours_are_means_of_what_lies_nearest(tmp_path):
    path = tmp_path / "45012.txt"
    path.write_text(
        HEADING + "2023 05 01 00 40 350  4.0  5.0  0.20 99.00\n"
        "2023 05 01 01 20  10  6.0  7.0 99.00 99.00\n"
        "2023 05 01 03 00 999 99.0 99.0  0.40 99.00\n"
    )
    hours = read_hours(path)

    assert hours.time.astype(str).tolist() == [f"2023-05-01T0{hour}" for hour in (1, 2, 3)]
    assert hours.wind_speed == pytest.approx([5.0, np.nan, np.nan], nan_ok=True)
    assert hours.height == pytest.approx([0.2, np.nan, 0.4], nan_ok=True)
    assert np.cos(np.radians(hours.wind_from_direction[0])) == pytest.approx(1)


def test_old_layouts_and_broken_lines_are_read(tmp_path):
    path = tmp_path / "45004h1997.txt"
    path.write_text(
        "YY MM DD hh WD   WSPD GST  WVHT  DPD\n97 06 01 00 180  5.0  6.0  0.30  4.0\n"
        "97 06 01\n97 13 01 00 180 5.0 6.0 0.3 4.0\n97 06 01 01 180  MM  6.0  MM  4.0\n"
    )
    hours = read_hours(path)

    assert str(hours.time[0]) == "1997-06-01T00"
    assert hours.wind_from_direction[0] == pytest.approx(180)
    assert np.isnan([hours.wind_speed[1], hours.height[1]]).all()


@pytest.mark.parametrize(
    ("text", "trouble"),
    [
        ("", "no heading"),
        ("<html>not found</html>\n", "no heading"),
        (HEADING, "no line"),
        (
            HEADING + "1990 01 01 00 00 1 1 1 1 1\n2023 01 01 00 00 1 1 1 1 1\n",
            "one file for each season",
        ),
    ],
)
def test_what_is_no_season_of_a_buoy_is_refused(tmp_path, text, trouble):
    path = tmp_path / "45012.txt"
    path.write_text(text)

    with pytest.raises(DataError, match=trouble):
        read_hours(path)
