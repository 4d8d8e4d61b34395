"""Accident reports become cases for the real rules, and nothing unknown becomes harmless."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from benchmarks import accidents
from safety_check.model.verdict import Severity
from safety_check.rules.hazards import HAZARDS
from tests.recordings import shared_folder

REPORT = {
    "VesselType": "Kayak",
    "Wind": "Light",
    "WaterConditions": "Calm",
    "WaterTemperature": "75.0",
    "VesselDeaths": "1",
    "PFDworn": "1",
    "NumberPeopleOnboard": "2.0",
}
RULES = tuple(accidents.FIELD)


def severity(hazards: tuple[str, ...] = RULES, **changes: str) -> Severity:
    case = accidents.case(REPORT | changes)
    return Severity(int(accidents.weighed(case, accidents.MIDDLE, hazards).hours[0]))


def test_a_calm_warm_day_with_a_life_jacket_worn_meets_no_caution() -> None:
    assert severity() == Severity.GO


@pytest.mark.parametrize(
    ("changes", "met"),
    [
        ({"PFDworn": "0"}, Severity.NO_GO),
        ({"WaterTemperature": "50.0"}, Severity.NO_GO),
        ({"WaterTemperature": "65.0"}, Severity.MARGINAL),
        ({"Wind": "Strong"}, Severity.NO_GO),
        ({"WaterConditions": "Rough"}, Severity.NO_GO),
        ({"Wind": "Unknown"}, Severity.UNKNOWN),
        ({"WaterConditions": "Unknown"}, Severity.UNKNOWN),
        ({"WaterTemperature": ""}, Severity.UNKNOWN),
        ({"WaterTemperature": "451"}, Severity.UNKNOWN),
        ({"NumberPeopleOnboard": ""}, Severity.UNKNOWN),
    ],
)
def test_each_field_of_a_report_is_weighed(changes: dict[str, Any], met: Severity) -> None:
    assert severity(**changes) == met


def test_a_rule_on_wind_alone_sees_nothing_else() -> None:
    blind = {"PFDworn": "0", "WaterTemperature": "40.0", "WaterConditions": "Very rough"}
    assert severity(accidents.WIND_ALONE, **blind) == Severity.GO
    assert severity(accidents.WIND_ALONE, Wind="Strong") == Severity.NO_GO


def test_two_deaths_need_two_life_jackets() -> None:
    assert severity(VesselDeaths="2", PFDworn="1") == Severity.NO_GO


def test_each_field_that_decides_is_one_of_a_hazard_that_is_weighed() -> None:
    assert set(accidents.FIELD) <= {hazard.name for hazard in HAZARDS}


def write(folder: Path, *rows: dict[str, str]) -> Path:
    path = folder / "cases.csv"
    with path.open("w", newline="") as file:
        table = csv.DictWriter(file, rows[0].keys())
        table.writeheader()
        table.writerows(rows)
    return path


def test_the_last_line_is_the_share_that_met_a_caution(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(
        tmp_path,
        REPORT,
        REPORT | {"PFDworn": "0"},
        REPORT | {"VesselDeaths": "0"},
        REPORT | {"VesselType": "Houseboat"},
    )
    monkeypatch.setattr("sys.argv", ["accidents", "--cases", str(path)])
    accidents.main()
    printed = capsys.readouterr().out.splitlines()
    assert printed[0].startswith("2 vessels with a death")
    assert printed[-1] == "share_at_least_marginal: 0.500"


@pytest.mark.parametrize("rows", [{"Wind": "Light"}, REPORT | {"VesselDeaths": "0"}])
def test_a_file_without_cases_is_one_clear_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, rows: dict[str, str]
) -> None:
    monkeypatch.setattr("sys.argv", ["accidents", "--cases", str(write(tmp_path, rows))])
    with pytest.raises(SystemExit, match=r"column|no fatal case"):
        accidents.main()


def test_every_word_of_the_real_reports_is_known() -> None:
    file = shared_folder("datasets", "accidents") / "bard_2023_smallcraft.csv"
    with file.open(encoding="utf-8", newline="") as rows:
        told = list(csv.DictReader(rows))
    assert {entry["Wind"] for entry in told} <= {*accidents.WIND, "Unknown"}
    assert {entry["WaterConditions"] for entry in told} <= {*accidents.WAVES, "Unknown"}
    assert {entry["VesselType"] for entry in told} == accidents.CRAFT.keys()
    assert np.isfinite([item.water for item in accidents.read(file)]).mean() > 0.8


def test_of_the_real_fatal_cases_nearly_all_met_a_caution(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = shared_folder("datasets", "accidents") / "bard_2023_smallcraft.csv"
    monkeypatch.setattr("sys.argv", ["accidents", "--cases", str(file)])
    accidents.main()
    printed = capsys.readouterr().out.splitlines()
    not_go = {line[:45].strip(): float(line.split()[-1]) for line in printed if line[:3] == "all"}
    # In per cent, the last column. The aims were stated before any limit was changed.
    assert not_go["all rules, classes at their middle"] >= 98
    assert not_go["all rules, the 100 complete reports"] >= 98
    assert not_go["all rules, every life jacket taken as worn"] >= 80
