"""The countries of a place, from outlines of 1:10 million."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.country_outlines import codes_of, decoded_arcs, joined_ring
from safety_check.errors import ConfigError
from safety_check.settings.countries import countries_near, load_nearness
from safety_check.settings.folders import shipped_file
from safety_check.settings.outlines import read_outlines, write_outlines

# Who has a shore there is read from a map; the order of the countries is not part of it.
PLACES = {
    "the eastern end of Lake Constance": (47.52, 9.68, "AT CH DE"),
    "the middle of Lake Constance": (47.60, 9.45, "CH DE"),
    "Lake Geneva": (46.40, 6.60, "CH FR"),
    "Lough Neagh": (54.62, -6.42, "GB"),
    "Toronto": (43.63, -79.38, "CA"),
    "Detroit River": (42.30, -83.05, "CA US"),
    "Tijuana": (32.53, -117.13, "MX US"),
    "the Sound, between Copenhagen and Malmö": (55.80, 12.80, "DK SE"),
    "Sognefjord": (61.15, 6.40, "NO"),
    "the archipelago of Stockholm": (59.40, 18.90, "SE"),
    "Åland": (60.10, 19.90, "AX"),
    "the North Cape": (71.17, 25.80, "NO"),
    "Svalbard": (78.20, 15.50, "SJ"),
    "Monaco": (43.73, 7.42, "FR IT MC"),
    "Liechtenstein": (47.14, 9.52, "AT CH LI"),
    "San Marino": (43.94, 12.46, "IT SM"),
    "Gibraltar": (36.13, -5.35, "ES GI"),
    "the Gulf of Trieste": (45.60, 13.70, "HR IT SI"),
    "the Curonian Lagoon": (55.20, 21.10, "LT RU"),
    "Lake Ohrid": (41.05, 20.75, "AL MK"),
    "Martinique": (14.60, -61.00, "MQ"),
    "Madeira": (32.70, -17.00, "PT"),
    "Fiji, on the antimeridian": (-16.50, 179.99, "FJ"),
    "Chukotka, beyond the antimeridian": (66.00, -179.90, "RU"),
    "Chatham Islands": (-43.95, -176.50, "NZ"),
    "Honolulu": (21.30, -157.90, "US"),
    "10 nautical miles off Dublin": (53.33, -5.80, "IE"),
    "the open Atlantic": (40.00, -40.00, ""),
    "the North Pole": (90.00, 0.00, ""),
    "the South Pole": (-90.00, 0.00, "AQ"),
}


@pytest.mark.parametrize("name", PLACES)
def test_a_place_is_in_the_countries_that_have_its_shores(name: str) -> None:
    latitude, longitude, expected = PLACES[name]

    assert sorted(countries_near(latitude, longitude)) == expected.split()


def test_the_nearest_country_is_the_first() -> None:
    assert countries_near(53.9, -6.9) == ("IE",)
    assert countries_near(42.33, -83.06)[0] == "US"
    assert countries_near(42.28, -83.05)[0] == "CA"


@given(st.floats(-90.0, 90.0), st.floats(-180.0, 180.0))
def test_every_place_of_the_world_has_an_answer(latitude: float, longitude: float) -> None:
    found = countries_near(latitude, longitude)

    assert len(set(found)) == len(found)
    assert all(len(code) == 2 and code.isupper() for code in found)


@given(st.floats(-60.0, 70.0), st.floats(-180.0, 180.0), st.floats(0.0, 360.0))
def test_both_sides_of_a_border_name_each_other(
    latitude: float, longitude: float, bearing: float
) -> None:
    """A place within 4 km of one in a country has that country too: 10 km are searched."""
    outlines = read_outlines(shipped_file("countries.npz"))
    inside = outlines.distances(latitude, longitude, 0.0)
    north = latitude + 4.0 / 111.2 * np.cos(np.radians(bearing))
    east = longitude + 4.0 / 111.2 * np.sin(np.radians(bearing)) / np.cos(np.radians(latitude))

    near = countries_near(float(north), float(east))

    assert all(code in near for codes in inside for code in codes.split())


def test_the_sea_is_searched_farther_than_the_land() -> None:
    assert load_nearness().coast > load_nearness().border


def test_outlines_keep_holes_and_are_read_as_they_were_written(tmp_path: Path) -> None:
    square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0), (0.0, 0.0)]
    hole = [(0.5, 0.5), (1.5, 0.5), (1.5, 1.5), (0.5, 1.5), (0.5, 0.5)]
    write_outlines(tmp_path / "x.npz", [("ring", [square, hole])])
    outlines = read_outlines(tmp_path / "x.npz")

    assert outlines.distances(0.25, 0.25, 1.0) == {"ring": 0.0}
    assert outlines.distances(1.0, 1.0, 1.0) == {}
    # Half a degree of latitude, 55.6 km; of longitude a little less there.
    assert outlines.distances(1.0, 1.0, 100_000.0)["ring"] == pytest.approx(55_600.0, rel=0.001)


def test_an_unreadable_file_of_outlines_names_the_file_and_the_remedy(tmp_path: Path) -> None:
    (tmp_path / "x.npz").write_bytes(b"not an archive")

    with pytest.raises(ConfigError, match=r"x\.npz: .*Install safety-check again"):
        read_outlines(tmp_path / "x.npz")


def test_the_maker_joins_lines_beyond_the_antimeridian_and_around_a_pole() -> None:
    topology = {
        "transform": {"scale": [1.0, 1.0], "translate": [170.0, -70.0]},
        "arcs": [[[0, 0], [5, 0], [5, 0]], [[10, 0], [-340, 1], [330, 4]]],
    }
    arcs = decoded_arcs(topology)

    assert joined_ring([0], arcs)[:, 0].tolist() == [170.0, 175.0, 180.0]
    assert joined_ring([0, 1], arcs)[:, 0].tolist() == [170.0, 175.0, 180.0, 200.0, 170.0]
    assert joined_ring([~0], arcs)[:, 0].tolist() == [180.0, 175.0, 170.0]


def test_the_maker_gives_islands_overseas_their_own_code() -> None:
    from shapely import box

    assert codes_of("FR", box(-61.1, 14.5, -61.0, 14.6)) == "MQ"
    assert codes_of("FR", box(2.0, 45.0, 3.0, 46.0)) == "FR"
    assert codes_of("NO", box(25.0, 70.6, 26.0, 71.0)) == "NO"
    assert codes_of("NO", box(15.0, 78.0, 16.0, 78.5)) == "SJ"
