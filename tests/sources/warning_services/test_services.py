"""The table of warning services: whole, read only when wanted, and true to the outlines."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter

import numpy as np
import pytest

from safety_check.errors import ConfigError
from safety_check.settings import toml_file
from safety_check.settings.countries import bounds_of
from safety_check.settings.folders import shipped_file
from safety_check.settings.outlines import read_outlines
from safety_check.sources.cap.styles import READERS
from safety_check.sources.greatest_ages import greatest_age
from safety_check.sources.registry import load_sources
from safety_check.sources.warning_services.services import load_file

ROWS = load_file().service


@pytest.mark.parametrize("name", ROWS)
def test_a_row_has_a_reader_a_title_of_its_own_and_countries_that_exist(name):
    row = ROWS[name]
    names = read_outlines(shipped_file("countries.npz")).names
    codes = {code for codes in map(str, names) for code in codes.split()}
    titles = Counter(source.title for source in load_sources().values())

    assert row.style in READERS
    assert titles[row.title] == 1
    assert set(row.countries) <= codes
    assert greatest_age()[row.title] == row.max_age
    assert bool(row.box) == (row.decimals is not None)


def test_the_pan_european_rows_have_what_their_family_says():
    family = [row for name, row in ROWS.items() if name.startswith("meteoalarm_")]

    assert len(family) >= 37
    assert {row.base_url for row in family} == {"https://feeds.meteoalarm.org"}
    assert {row.service for row in family} == {"meteoalarm"}


def test_one_address_of_the_user_moves_the_whole_family():
    moved = load_sources({"meteoalarm": "http://localhost:1"})

    assert moved["meteoalarm_croatia"].base_url == "http://localhost:1"
    assert moved["smhi"].base_url == ROWS["smhi"].base_url


def test_a_row_of_an_unknown_family_is_refused_by_name(monkeypatch):
    row = {"family": "nobody", "countries": ["DE"]}
    monkeypatch.setattr(toml_file, "load", lambda path: {"service": {"x": row}, "family": {}})

    with pytest.raises(ConfigError, match=r"warning_services\.toml"):
        load_file.__wrapped__()


def test_a_check_of_the_sample_reads_no_warning_service():
    """Reading the table took 13 ms and checking it 90 ms on a busy machine of two cores."""
    code = (
        "import sys; sys.argv = ['safety-check', 'check', '--sample']\n"
        "from safety_check.sources.warning_services import services\n"
        "services.load_file = None\n"  # any use of it would raise
        "from safety_check.cli import main\n"
        "main()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert done.returncode == 30, done.stderr


def test_the_bounds_of_a_country_beyond_the_antimeridian_are_one_box():
    west, south, east, north = bounds_of(("NZ",))

    assert west < 166.0 < 184.0 < east < 200.0  # from Fiordland to the Chatham Islands
    assert south < -47.0
    assert north > -35.0


def test_the_lacks_of_a_service_are_said_in_words():
    swiss, lakes = ROWS["meteoalarm_switzerland"], ROWS["dwd_water"]

    assert swiss.lacks_in_words == "it has no warnings of its own for the sea or for lakes"
    assert lakes.lacks_in_words == ""
    assert "not known" in ROWS["metservice"].lacks_in_words


def test_every_part_of_the_outlines_is_within_its_box():
    for name in ("countries.npz", "warning_zones.npz"):
        outlines = read_outlines(shipped_file(name))
        west, south, east, north = outlines.boxes.T

        assert np.all((west <= east) & (south <= north)), name
        assert np.all((south >= -90.001) & (north <= 90.001)), name
