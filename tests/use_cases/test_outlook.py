"""What is asked of the coming days, and what is asked of services for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import PlanError
from safety_check.model.outlook import Outlook
from safety_check.model.place import FetchTable
from safety_check.settings.settings import Settings
from safety_check.use_cases import outlook
from safety_check.use_cases.outlook import OutlookRequest, compare_outlooks, whole_hours
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.waters import files
from tests import scenes

ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
NOW = datetime(2026, 6, 12, 22, tzinfo=UTC)
ASKED = PlanRequest(
    craft="sit-on-top-kayak", reach="0.5 mi", water_temperature="72 F", as_of="2026-06-12 17:00"
)
FILES = (Path("a.json"), Path("b.json"), Path("c.json"))


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    made = scenes.settings()
    found = replace(made, folders=type(made.folders)(tmp_path, tmp_path, tmp_path))
    for name in ("first", "second"):
        files.save(replace(ROUND, name=name), found.folders.waters)
    return found


@pytest.fixture
def briefed(monkeypatch: pytest.MonkeyPatch) -> list[Path | None]:
    """Return the file of each briefing that is read; the air of the past is told as unheard."""
    found: list[Path | None] = []

    def read(*asked: Any) -> Any:
        found.append(asked[4])
        return scenes.briefing()

    monkeypatch.setattr(outlook, "load_briefing", read)
    monkeypatch.setattr(outlook, "store_air", lambda *_: ("no air was read",))
    return found


def looked(
    own: Settings, *given: Path, waters: tuple[str, ...] = ("first",), days: int = 2
) -> tuple[list[Outlook], list[str]]:
    """Return the outlooks and what was remarked."""
    told: list[str] = []
    asked = OutlookRequest(waters, days, None, given, ASKED)
    return compare_outlooks(asked, own, told.append), told


@pytest.mark.parametrize(
    ("said", "hours"), [(None, 4), ("1", 1), ("3:30", 4), ("24", 24), (2.0, 2), (0.1, 1)]
)
def test_a_trip_is_of_whole_hours_and_of_four_unless_told(said: Any, hours: int) -> None:
    assert whole_hours(said) == hours


@pytest.mark.parametrize("said", ["25", "24:01"])
def test_no_trip_is_longer_than_a_day(said: str) -> None:
    with pytest.raises(PlanError, match="1 to 24 hours") as told:
        whole_hours(said)
    assert told.value.field == "--hours"


@pytest.mark.usefixtures("briefed")
@pytest.mark.parametrize("days", [0, outlook.MOST_DAYS + 1])
def test_no_day_and_more_than_forecasts_reach_are_refused(own: Settings, days: int) -> None:
    with pytest.raises(PlanError, match=f"{days}: give from 1 to"):
        looked(own, days=days)


@pytest.mark.parametrize(
    ("given", "read"),
    [
        ((), [None, None]),
        (FILES[:1], [FILES[0], FILES[0]]),  # one for all
        (FILES[:2], list(FILES[:2])),
    ],
)
def test_each_water_has_its_file_or_the_one_for_all(
    own: Settings, briefed: list[Path | None], given: tuple[Path, ...], read: list[Path | None]
) -> None:
    found, _ = looked(own, *given, waters=("first", "second"))
    assert briefed == read
    assert [one.plan.water.name for one in found] == ["first", "second"]


def test_files_that_are_neither_one_nor_one_for_each_are_refused(
    own: Settings, briefed: list[Path | None]
) -> None:
    with pytest.raises(PlanError, match="3 files for 2 waters"):
        looked(own, *FILES, waters=("first", "second"))
    assert briefed == []


@pytest.mark.usefixtures("briefed")
@pytest.mark.parametrize(("given", "asks"), [((), True), (FILES[:1], False)])
def test_past_air_is_asked_for_only_where_services_are_asked(
    own: Settings, given: tuple[Path, ...], asks: bool
) -> None:
    _, told = looked(own, *given)
    assert ("no air was read" in told) is asks
