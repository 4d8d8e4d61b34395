"""A trip under a name: what it completes, what is stored of it, and which names are free."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.errors import PlanError
from safety_check.model.place import FetchTable
from safety_check.settings.settings import Settings, load_settings
from safety_check.settings.user_file import LimitTable, SavedPlan
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.save_plan import remove_plan, save_plan, save_trip
from safety_check.use_cases.saved_plans import (
    describe_what_names,
    fill_from_saved,
    find_saved_plan,
    require_clock_time,
    require_free_name,
)
from safety_check.waters import files
from tests import scenes

ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
DAWN = SavedPlan(
    water="Invented Lake", craft="canoe", start="06:00", hours="3", reach="500 m", from_shore="80 m"
)
ALONG = SavedPlan(water="Invented Lake", route="44.91,-99.6; 44.905,-99.6")


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path))
    found = load_settings()
    files.save(ROUND, found.folders.waters)
    return with_plans(found, Dawn=DAWN, along=ALONG)


def with_plans(own: Settings, **plans: SavedPlan) -> Settings:
    return replace(own, user=own.user.model_copy(update={"plan": plans}))


# -- what a saved plan completes -----------------------------------------------------------------


def test_a_request_that_names_no_plan_stays_as_it_is(own: Settings) -> None:
    asked = PlanRequest(water="Invented Lake")
    assert fill_from_saved(asked, own) is asked
    assert find_saved_plan(None, own) is None


def test_a_named_plan_completes_what_was_not_said(own: Settings) -> None:
    found = fill_from_saved(PlanRequest(water=" dawn ", hours="1"), own)
    assert (found.water, found.saved_plan) == ("Invented Lake", "Dawn")
    assert (found.craft, found.start, found.hours) == ("canoe", "06:00", "1")


@pytest.mark.parametrize(
    ("said", "start"), [(None, "06:00"), ("sat", "sat 06:00"), ("sat 7:00", "sat 7:00")]
)
def test_a_day_alone_takes_the_usual_time(own: Settings, said: str | None, start: str) -> None:
    assert fill_from_saved(PlanRequest(water="Dawn", start=said), own).start == start
    unsaid = with_plans(own, Dawn=DAWN.model_copy(update={"start": None}))
    assert fill_from_saved(PlanRequest(water="Dawn", start=said), unsaid).start == said


@pytest.mark.parametrize(
    ("plan", "said", "lost", "kept"),
    [
        ("Dawn", {"route": "44.9,-99.6"}, ["reach", "from_shore"], ["hours"]),
        ("Dawn", {"end": "10:00"}, ["hours"], ["reach", "from_shore"]),
        ("along", {"reach": "1 km"}, ["route"], []),
        ("along", {"from_shore": "50 m"}, ["route"], []),
        ("along", {"end": "10:00"}, [], ["route"]),
    ],
)
def test_what_is_said_in_another_way_is_not_taken_from_the_plan(
    own: Settings, plan: str, said: dict[str, Any], lost: list[str], kept: list[str]
) -> None:
    found = fill_from_saved(replace(PlanRequest(water=plan), **said), own)
    assert all(getattr(found, name) is None for name in lost)
    assert all(getattr(found, name) is not None for name in kept)


# -- names ---------------------------------------------------------------------------------------


def test_a_name_of_both_a_water_and_a_plan_is_refused(own: Settings) -> None:
    both = with_plans(own, **{"invented lake": DAWN})
    with pytest.raises(PlanError, match="names both a water and a saved plan"):
        find_saved_plan("Invented Lake", both)


def test_a_water_can_not_have_the_name_of_a_plan(own: Settings) -> None:
    require_free_name("dusk", own)
    with pytest.raises(PlanError, match="a saved plan has this name"):
        require_free_name(" DAWN ", own)


@pytest.mark.parametrize("name", ["", "  ", "--", "two\nlines", "x" * 500])
def test_a_name_is_one_line_that_can_be_read(own: Settings, name: str) -> None:
    with pytest.raises(PlanError, match="not a valid name"):
        save_plan(name, PlanRequest(water="Invented Lake"), own)


def test_a_plan_can_not_have_the_name_of_a_water_or_stand_for_another_plan(own: Settings) -> None:
    with pytest.raises(PlanError, match="a water has this name"):
        save_plan("Invented Lake", PlanRequest(water="Invented Lake"), own)
    with pytest.raises(PlanError, match=r"'dawn' is a saved plan\. Name its water"):
        save_plan("dusk", PlanRequest(water="dawn"), own)


def test_what_still_names_a_water_is_told(own: Settings) -> None:
    assert describe_what_names("another", own) == ()
    plans = describe_what_names("invented lake", own)
    assert len(plans) == 2
    limit = LimitTable(craft="canoe", quantity="wind_speed", no_go="4 m/s", water="Invented Lake")
    limited = replace(own, user=own.user.model_copy(update={"limit": [limit]}))
    told = describe_what_names("Invented Lake", limited)
    assert told[0].startswith("Your own limits for it (1) stay")
    assert told[1:] == plans


@pytest.mark.parametrize(("start", "fine"), [("06:00", True), ("6am", True), ("sat 6:00", False)])
def test_a_usual_start_is_a_time_of_day(start: str, fine: bool) -> None:
    if fine:
        require_clock_time(start)
    else:
        with pytest.raises(PlanError, match="stores only the usual clock time"):
            require_clock_time(start)


# -- what is stored ------------------------------------------------------------------------------


def stored(name: str) -> dict[str, Any]:
    """Return what the settings hold of a plan."""
    return load_settings().user.plan[name].model_dump(exclude_none=True, exclude_defaults=True)


def test_a_plan_is_stored_replaced_and_removed_whatever_its_capitals(own: Settings) -> None:
    asked = PlanRequest(water="invented lake", craft="canoe", reach="500 m", hours="2")
    plain = with_plans(own)
    assert not save_plan("Dusk", asked, plain)
    assert stored("Dusk") == {
        "water": "Invented Lake", "launch": "ramp", "craft": "canoe", "reach": "500 m", "hours": "2"
    }  # fmt: skip
    assert save_plan("dusk", replace(asked, hours="3"), plain)
    assert list(load_settings().user.plan) == ["dusk"]
    assert remove_plan(" DUSK ") == "dusk"
    with pytest.raises(PlanError, match=r"no plan is saved as 'dusk'\. No plan has been saved yet"):
        remove_plan("dusk")


def test_the_trip_of_a_check_is_stored_at_its_local_time_without_what_is_usual(
    own: Settings,
) -> None:
    trip = replace(
        scenes.plan(hours=2.5, paddler=replace(scenes.READY, company="alone")),
        water=ROUND,
        from_shore=np.inf,
        reach=800.4,
    )
    assert not save_trip("dusk", trip, own)
    found = stored("dusk")
    assert (found["start"], found["hours"], found["reach"]) == ("10:00", "2.5", "800 m")
    assert found["company"] == "alone"
    assert "from_shore" not in found  # endless: it is not known
    save_trip("dawn", replace(trip, from_shore=79.6, reach_assumed=True), own)
    assert stored("dawn")["from_shore"] == "80 m"
    assert "reach" not in stored("dawn")


def test_a_name_that_is_not_there_lists_those_that_are(own: Settings) -> None:
    save_plan("dusk", PlanRequest(water="Invented Lake", craft="canoe"), with_plans(own))
    with pytest.raises(PlanError, match=r"no plan is saved as 'dust'.*Saved plans: dusk"):
        remove_plan("dust")
