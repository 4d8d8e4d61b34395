"""The user's own word on official warnings: whole, read by now, and beside what services said."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from safety_check.errors import PlanError
from safety_check.model.place import FetchTable
from safety_check.model.weather import OWN_WORD, Briefing, SourceFailure
from safety_check.settings.settings import Settings
from safety_check.use_cases.own_word import add_own_word, needs_own_word
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.waters import files
from tests import scenes

ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
ZONE = "America/Chicago"
READ = PlanRequest(warnings="none", read_at="2026-06-12 16:30")  # 21:30 UTC
WARNINGS_ALONE = SourceFailure("a service", "no answer", ("alerts",))
MORE = SourceFailure("another", "no answer", ("alerts", "wind_speed"))
TOLD = replace(Briefing(at=scenes.NOW), silences=(WARNINGS_ALONE, MORE))


def test_nothing_said_changes_nothing() -> None:
    assert add_own_word(TOLD, PlanRequest(), ZONE) is TOLD


def test_what_was_read_counts_from_the_time_of_reading_and_as_not_stored() -> None:
    found = add_own_word(TOLD, READ, ZONE)
    (word,) = found.warnings_read
    assert word.source == OWN_WORD
    assert word.fetched == word.issued == scenes.NOW - timedelta(minutes=30)
    assert word.recorded is False


def test_it_stands_in_for_a_service_that_only_left_the_warnings_unknown() -> None:
    found = add_own_word(TOLD, READ, ZONE)
    assert found.silences == (replace(WARNINGS_ALONE, applies=False), MORE)


def test_it_stands_beside_what_a_service_said() -> None:
    found = add_own_word(scenes.briefing(), READ, ZONE)
    assert len(found.warnings_read) == 2


@pytest.mark.parametrize(
    "asked",
    [
        PlanRequest(warnings="none"),
        PlanRequest(read_at="now"),
        PlanRequest(warnings="few", read_at="now"),
    ],
)
def test_half_a_word_and_another_word_are_refused(asked: PlanRequest) -> None:
    with pytest.raises(PlanError, match="belongs together with --warnings"):
        add_own_word(TOLD, asked, ZONE)


def test_nobody_has_read_a_warning_later_than_now() -> None:
    late = replace(READ, read_at="2026-06-12 17:30")  # half an hour after the check
    with pytest.raises(PlanError):
        add_own_word(TOLD, late, ZONE)


# -- where it is asked for -----------------------------------------------------------------------


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    made = scenes.settings()
    found = replace(made, folders=type(made.folders)(tmp_path, tmp_path, tmp_path))
    files.save(ROUND, found.folders.waters)
    return found


@pytest.mark.parametrize(
    ("asked", "forecast", "needs"),
    [
        (PlanRequest(water="Invented Lake"), None, False),  # its country's service is asked
        (PlanRequest(water="Invented Lake"), Path("saved.json"), True),  # a file has no warnings
        (PlanRequest(water="Invented Lake", warnings="none"), Path("saved.json"), False),
        (PlanRequest(), Path("saved.json"), False),  # the check itself asks which water
        (PlanRequest(water="elsewhere"), Path("saved.json"), False),
    ],
)
def test_it_is_asked_for_where_no_service_answers(
    own: Settings, asked: PlanRequest, forecast: Path | None, needs: bool
) -> None:
    assert needs_own_word(asked, own, forecast) is needs
