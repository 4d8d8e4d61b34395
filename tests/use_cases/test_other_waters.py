"""Another water is offered only where it can be reached before the start, and as it is itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety_check.assess.alternatives import Change
from safety_check.conditions.case import Case
from safety_check.model.place import FetchTable, Launch, OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.model.water_estimate import EstimateBasis
from safety_check.model.weather import Briefing
from safety_check.settings.folders import Folders
from safety_check.store.store import Store
from safety_check.use_cases.other_waters import changes_of_water
from safety_check.use_cases.trust import load_trust
from safety_check.waters import files
from tests import scenes

WAIT = 17 * 3600.0  # s, from 22:00 when the check is made to 15:00 when the trip starts
ROUND = FetchTable(np.array([0.0, 90.0, 180.0, 270.0]), np.full(4, 250.0))
POND = replace(scenes.WATER, name="pond", fetch_table=ROUND, drive=1800.0)
SLIP = Launch("south slip", latitude=44.91, longitude=-99.61)
SAYS = scenes.briefing(scenes.forecast({"wind_speed": 3.0}))


@pytest.fixture
def case(tmp_path: Path) -> Case:
    """Return the case of a trip whose owner has no other water yet."""
    folders = Folders(tmp_path, tmp_path / "data", tmp_path / "cache")
    own = replace(scenes.settings(), folders=folders)
    return Case(scenes.plan(), scenes.briefing(), scenes.POND, own, load_trust())


def offered(
    case: Case, *waters: Water, asked: Callable[..., Briefing] | None = None
) -> list[Change]:
    for water in waters:
        files.save(water, case.settings.folders.waters)
    return list(changes_of_water(case, asked or (lambda plan, water: SAYS)))


def test_a_change_names_the_water_and_its_first_launch_as_a_check_takes_them(case: Case) -> None:
    (one,) = offered(case, replace(POND, name="gull's pond", launches=(SLIP, scenes.LAUNCH)))
    assert (one.kind, one.elsewhere) == ("water", True)
    assert one.option == """'gull'"'"'s pond' --launch 'south slip'"""


@pytest.mark.parametrize(("drive", "cost"), [(0.0, 4.0), (1800.0, 4.5), (7200.0, 6.0)])
def test_another_water_costs_four_hours_and_its_drive(
    case: Case, drive: float, cost: float
) -> None:
    (one,) = offered(case, replace(POND, drive=drive))
    assert one.cost == cost


@pytest.mark.parametrize(("drive", "count"), [(WAIT, 1), (WAIT + 1, 0)])
def test_the_drive_ends_by_the_start(case: Case, drive: float, count: int) -> None:
    assert len(offered(case, replace(POND, drive=drive))) == count


def test_no_water_is_offered_once_the_trip_has_begun(case: Case) -> None:
    late = replace(case, briefing=scenes.briefing(at=case.plan.start + timedelta(seconds=1)))
    assert offered(late, replace(POND, drive=0.0)) == []
    on_time = replace(case, briefing=scenes.briefing(at=case.plan.start))
    assert len(offered(on_time, replace(POND, drive=0.0))) == 1


def test_a_water_without_a_drive_or_a_launch_and_that_of_the_plan_are_left_out(case: Case) -> None:
    (one,) = offered(
        case,
        replace(POND, name="unknown way", drive=None),
        replace(POND, name="no launch", launches=()),
        replace(POND, name=scenes.WATER.name),
        POND,
    )
    assert one.option == "pond --launch ramp"


def test_waters_come_in_the_order_of_their_files_without_a_damaged_one(case: Case) -> None:
    for name in ("creek", "acre", "bay"):
        files.save(replace(POND, name=name), case.settings.folders.waters)
    (case.settings.folders.waters / "acre.geojson").write_text("{", encoding="utf-8")
    assert [one.option.split()[0] for one in offered(case)] == ["bay", "creek"]


def test_a_route_is_of_its_own_water(case: Case) -> None:
    route = np.array([[-99.6, 44.9], [-99.6, 44.91]])
    assert offered(replace(case, plan=replace(case.plan, route=route)), POND) == []


# -- the case there ------------------------------------------------------------------------------


def test_the_case_there_has_the_water_the_launch_and_the_forecasts_of_that_place(
    case: Case,
) -> None:
    seen: list[tuple[Plan, OpenWater]] = []

    def ask(plan: Plan, water: OpenWater) -> Briefing:
        seen.append((plan, water))
        return SAYS

    (one,) = offered(case, replace(POND, launches=(SLIP, scenes.LAUNCH)), asked=ask)
    assert seen == []  # each takes requests, so nothing is asked before it is judged
    there = one.case()
    assert seen == [(there.plan, there.water)]
    assert there.briefing is SAYS
    assert (there.plan.water.name, there.plan.launch) == ("pond", SLIP)
    assert there.water.fetch == pytest.approx(np.full_like(there.water.fetch, 250.0))
    assert (there.settings, there.trust) == (case.settings, case.trust)


def test_the_history_there_is_that_of_its_own_launch(case: Case) -> None:
    at_slip, at_ramp, here = (scenes.observation("wind_speed", wind) for wind in (3.0, 4.0, 5.0))
    with Store.open(case.settings.folders.data) as store:
        store.save_observation("pond", SLIP.name, at_slip)
        store.save_observation("pond", "ramp", at_ramp)
        store.save_observation(scenes.WATER.name, SLIP.name, here)
    (one,) = offered(case, replace(POND, launches=(SLIP, scenes.LAUNCH)))
    assert one.case().past.observed == (at_slip,)


def test_the_trip_there_is_the_same_but_nobody_measured_that_water(case: Case) -> None:
    assert case.plan.water_temperature is not None
    (one,) = offered(case, POND)
    there = one.case().plan
    assert there.water_temperature is None
    before = case.plan
    same: Any = replace(there, water=before.water, water_temperature=before.water_temperature)
    assert same == before


@pytest.mark.parametrize(("excluded", "by_sea"), [(("sea",), True), ((), False)])
def test_a_water_by_the_sea_counts_as_tidal_there_too(
    case: Case, excluded: tuple[str, ...], by_sea: bool
) -> None:
    said = EstimateBasis("deep", None, excluded)  # the sea is excluded where it is connected
    high = replace(POND, kind=None, elevation=2500.0, estimate=said)
    (one,) = offered(case, high)
    assert one.case().plan.water.by_sea is by_sea
