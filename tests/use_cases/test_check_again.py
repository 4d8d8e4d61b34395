"""Which check is made again, what is asked for it, and what of it is remembered."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.conditions.case import Case
from safety_check.errors import DataError, PlanError
from safety_check.model.place import FetchTable
from safety_check.model.weather import OWN_EYES, OWN_WORD, Observation
from safety_check.settings.folders import Folders
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import OddsTable, SavedPlan, UserSettings
from safety_check.store.store import CheckRecord, Store
from safety_check.use_cases import recheck
from safety_check.use_cases.launch_observation import LaunchObservation
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.recheck import (
    RecheckRequest,
    again_needs_own_word,
    last_check,
    recheck_plan,
)
from safety_check.use_cases.record import judge_and_store
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_memory import (
    needs_water_temperature,
    own_measurement,
    stored_measurements,
)
from safety_check.waters import files
from tests import scenes

ROUND = replace(
    scenes.WATER, fetch_table=FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 300.0))
)
TRIP = replace(scenes.plan(hours=2), water=ROUND)
HOUR = timedelta(hours=1)
LATER = scenes.NOW + HOUR


@pytest.fixture
def own(tmp_path: Path) -> Settings:
    folders = Folders(tmp_path, tmp_path / "data", tmp_path / "cache")
    return Settings(folders, UserSettings(odds=OddsTable(dressing=False)))


def stored(own: Settings, name: str = "") -> CheckRecord:
    case = Case(TRIP, scenes.briefing(), scenes.POND, own, load_trust())
    done = judge_and_store(case, load_rulebook(), name)
    with Store.open(own.folders.data) as store:
        return store.check(done.number or 0)


# -- which check ---------------------------------------------------------------------------------


def test_the_name_of_a_saved_plan_may_stand_for_its_water(own: Settings) -> None:
    plan = SavedPlan(water="Invented Lake")
    mine = replace(own, user=own.user.model_copy(update={"plan": {"dawn": plan}}))
    files.save(ROUND, own.folders.waters)
    dawn, dusk = (stored(own, name).line.id for name in ("dawn", "dusk"))
    assert last_check("Dawn", None, mine).line.id == dawn
    assert last_check("dawn", "dusk", mine).line.id == dusk
    assert last_check("invented lake", None, mine).line.id == dusk
    assert last_check("invented lake", "dawn", mine).line.id == dawn
    assert last_check(None, None, mine, dawn).line.id == dawn
    with pytest.raises(PlanError, match="has no check named 'noon' yet"):
        last_check("dawn", "noon", mine)


# -- who says whether there is a warning ---------------------------------------------------------


@pytest.mark.parametrize(
    "asked",
    [
        RecheckRequest(),  # the service of the place is asked
        RecheckRequest(offline=True),  # what is stored still counts
        RecheckRequest(forecast=Path("saved.json")),
    ],
)
def test_the_word_of_the_user_is_remembered_beside_that_of_a_service(
    own: Settings, monkeypatch: pytest.MonkeyPatch, asked: RecheckRequest
) -> None:
    monkeypatch.setattr(recheck, "_clock_of", lambda *_: LATER)
    record = stored(own)
    service = scenes.FROM_THE_ALERT_SERVICE
    both = (replace(service, fetched=scenes.NOW), replace(service, source=OWN_WORD))
    told = replace(record.kept.briefing, warnings_read=both)
    read = replace(record, kept=replace(record.kept, briefing=told))
    assert not again_needs_own_word(read, asked)
    if asked.forecast is not None:
        assert again_needs_own_word(record, asked)  # the user has not read them


def test_offline_an_answer_that_is_too_old_needs_the_word_of_the_user(
    own: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = stored(own)
    monkeypatch.setattr(recheck, "_clock_of", lambda *_: scenes.NOW + 24 * HOUR)
    assert again_needs_own_word(record, RecheckRequest(offline=True))
    assert not again_needs_own_word(record, RecheckRequest(offline=True, warnings="none"))
    assert not again_needs_own_word(record, RecheckRequest())


# -- what is asked and stored --------------------------------------------------------------------


class Asked:
    """What a check again asks the services for, without any."""

    def __init__(self) -> None:
        self.forecast = self.air = 0

    def briefing(self, *_: object) -> Any:
        self.forecast += 1
        return scenes.briefing(at=LATER)

    def air_days(self, *_: object) -> tuple[str, ...]:
        self.air += 1
        return ("The air temperatures of the last year are not stored.",)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    made = Asked()
    monkeypatch.setattr(recheck, "load_briefing", made.briefing)
    monkeypatch.setattr(recheck, "store_air", made.air_days)
    return made


@pytest.mark.parametrize(
    ("again", "forecast", "air"),
    [
        (RecheckRequest(), 1, 1),
        (RecheckRequest(offline=True), 0, 0),
        (RecheckRequest(forecast=Path("saved.json")), 1, 0),
    ],
)
def test_services_are_asked_unless_offline_or_with_a_saved_forecast(
    own: Settings, asked: Asked, again: RecheckRequest, forecast: int, air: int
) -> None:
    stored(own)
    done = recheck_plan(again, own, LATER)
    assert (asked.forecast, asked.air) == (forecast, air)
    assert any("air temperatures" in remark for remark in done.remarks) == bool(air)


def remembered(own: Settings) -> list[tuple[float, str]]:
    with Store.open(own.folders.data) as store:
        found = stored_measurements(store, "Invented Lake", "ramp", LATER, load_trust())
    return [(round(one.value, 2), one.station) for one in found]


def test_a_water_temperature_that_is_measured_at_the_launch_is_remembered(own: Settings) -> None:
    stored(own)
    recheck_plan(RecheckRequest(offline=True), own, LATER)
    assert remembered(own) == []  # the one entered with the plan is none of now
    seen = LaunchObservation(water_temperature="12 C")
    recheck_plan(RecheckRequest(offline=True, seen=seen), own, LATER)
    assert remembered(own) == [(285.15, OWN_EYES)]


def test_a_measurement_that_cannot_be_stored_is_told(
    own: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    stored(own)

    def full(*_: object) -> None:
        raise DataError("The disk is full.")

    monkeypatch.setattr(Store, "save_observation", full)
    seen = LaunchObservation(water_temperature="12 C")
    done = recheck_plan(RecheckRequest(offline=True, seen=seen), own, LATER)
    told = "The water temperature is not stored. The disk is full."
    assert told in done.remarks


# -- remembered measurements ---------------------------------------------------------------------


def measured(station: str, distance: float | None, age: timedelta = HOUR) -> Observation:
    made = scenes.observation("water_temperature", 290.0, at=scenes.NOW - age)
    return replace(made, station=station, distance=distance)  # type: ignore[arg-type]


def known(own: Settings, reading: Observation, launch: str = "ramp") -> bool:
    """Return whether a reading at one launch may be used at the usual one."""
    with Store.open(own.folders.data) as store:
        store.save_observation("Invented Lake", launch, reading)
        return bool(stored_measurements(store, "Invented Lake", "ramp", scenes.NOW, load_trust()))


def test_what_the_user_measured_counts_for_the_whole_water(own: Settings) -> None:
    assert known(own, measured(OWN_EYES, 0.0), "another launch")


@pytest.mark.parametrize(
    ("metres", "launch", "used"),
    [(0.0, "ramp", True), (1.0, "ramp", True), (-1.0, "ramp", False), (1.0, "other", False)],
)
def test_a_station_counts_at_the_launch_that_it_is_near(
    own: Settings, metres: float, launch: str, used: bool
) -> None:
    distance = load_trust().water_distance - metres
    assert known(own, measured("a buoy", distance), launch) == used


def test_a_measurement_is_forgotten_when_it_is_too_old(own: Settings) -> None:
    age = timedelta(seconds=load_trust().water_memory.greatest_age)
    assert not known(own, measured(OWN_EYES, 0.0, age + timedelta(seconds=1)))
    assert known(own, measured(OWN_EYES, 0.0, age - timedelta(seconds=1)))


def test_the_water_temperature_is_asked_for_where_none_is_remembered(own: Settings) -> None:
    files.save(ROUND, own.folders.waters)
    asked = PlanRequest(water="Invented Lake")
    assert needs_water_temperature(asked, own, scenes.NOW)
    assert not needs_water_temperature(replace(asked, water_temperature="58 F"), own, scenes.NOW)
    assert not needs_water_temperature(PlanRequest(), own, scenes.NOW)
    assert not needs_water_temperature(PlanRequest(water="nowhere"), own, scenes.NOW)
    with Store.open(own.folders.data) as store:
        store.save_observation("Invented Lake", "ramp", measured(OWN_EYES, 0.0))
    assert not needs_water_temperature(asked, own, scenes.NOW)


def test_the_water_temperature_is_asked_for_where_the_history_cannot_be_read(
    own: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    files.save(ROUND, own.folders.waters)

    def damaged(*_: object) -> None:
        raise DataError("The history cannot be read.")

    monkeypatch.setattr(Store, "open", damaged)
    assert needs_water_temperature(PlanRequest(water="Invented Lake"), own, scenes.NOW)


def test_what_the_user_measures_is_seen_at_the_launch_and_not_a_recording() -> None:
    seen = own_measurement(285.0, scenes.NOW)
    assert (seen.value, seen.time, seen.distance) == (285.0, scenes.NOW, 0.0)
    assert not seen.provenance.recorded
