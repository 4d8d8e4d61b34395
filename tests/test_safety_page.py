"""SAFETY.md quotes what the shipped records and today's rules give."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from docs import safety
from tests.recordings import shared_folder

PAGE = safety.PAGE.read_text(encoding="utf-8")


@pytest.mark.promise("accident figures")
def test_the_figures_of_the_safety_page_are_those_of_the_records() -> None:
    assert safety.page(PAGE) == PAGE, "SAFETY.md is stale: run python -m docs.safety"


def test_the_figures_are_there_once() -> None:
    assert len(safety.BLOCK.findall(PAGE)) == 1
    assert " drowned**" in PAGE
    assert "With every life jacket taken as worn" in " ".join(PAGE.split())


def test_a_share_counts_only_deaths_with_a_known_first_cause(tmp_path: Path) -> None:
    path = tmp_path / "record.csv"
    path.write_text(
        "VesselType,FirstCause,Vessels,Deaths,Drowned,PFDworn\n"
        "Canoe,Unknown,9,10,9,1\nCanoe,Alcohol,2,2,2,0\nKayak,Overloading,5,6,5,1\n"
    )
    record = safety.read_record(path)

    assert (record.deaths, record.drowned, record.worn) == (18, 16, 2)
    assert record.share("Alcohol") == pytest.approx(2 / 8)


def test_the_shipped_sums_are_those_of_the_whole_record() -> None:
    folder = shared_folder("datasets", "accidents")
    with (folder / "bard_2014-2022_smallcraft_causes.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    whole = [sum(int(float(row[name])) for row in rows) for name in ("deaths", "drowned")]

    record = safety.read_record()

    assert [record.deaths, record.drowned] == whole


@pytest.mark.parametrize(
    "caution", ["alcohol", "capacity", "heart", "not for navigation", "medical"]
)
def test_the_page_warns_of_what_the_program_cannot_see(caution: str) -> None:
    assert caution in " ".join(PAGE.casefold().split())
