"""The changes to a plan that are tried: which, how far, in which order, and for whom."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from safety_check.assess import enough_warmth
from safety_check.conditions.case import Case
from safety_check.model.place import FetchTable, Launch
from safety_check.model.verdict import Severity, Verdict, WaterReading
from safety_check.settings.crafts import CraftTable
from safety_check.settings.user_file import UnitsTable
from safety_check.use_cases import what_else
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.what_else import changes_of, with_alternatives, without_alternatives
from tests import scenes

DEGREE = 6_371_000.0 * np.pi / 180  # m, on a sphere of the mean radius
YARD, MILE = 0.9144, 1609.344  # m
SURE = replace(scenes.READY, wearing="drysuit")
ROUND = replace(scenes.WATER, fetch_table=FetchTable(np.array([0.0, 180.0]), np.full(2, 300.0)))
CLOSE = 50.0  # m; so near to the shore that no change brings it nearer


@pytest.fixture
def case(tmp_path: Path) -> Case:
    """Return a trip to which there is nothing to change: in a drysuit, near and not alone."""
    own = scenes.settings()
    own = replace(own, folders=replace(own.folders, cache=tmp_path))
    trip = replace(scenes.plan(paddler=SURE), water=ROUND, reach=CLOSE, from_shore=CLOSE)
    return Case(trip, scenes.briefing(), scenes.POND, own, load_trust())


def planned(case: Case, **said: Any) -> Case:
    return replace(case, plan=replace(case.plan, **said))


def own(case: Case, **said: Any) -> Case:
    user = case.settings.user.model_copy(update=said)
    return replace(case, settings=replace(case.settings, user=user))


def options(case: Case) -> list[str]:
    return [change.option for change in changes_of(case)]


def test_nothing_is_offered_to_one_who_has_done_all(case: Case) -> None:
    assert options(case) == []


@pytest.mark.parametrize(
    ("company", "offered"), [("alone", ["--company group"]), ("group", []), (None, [])]
)
def test_company_is_offered_to_one_who_goes_alone(
    case: Case, company: str | None, offered: list[str]
) -> None:
    trip = planned(case, paddler=replace(SURE, company=company))
    assert options(trip) == offered
    assert [one.case().plan.paddler.company for one in changes_of(trip)] == ["group"] * len(offered)


@pytest.mark.parametrize(
    ("wearing", "warmer"),
    [("none", ["wetsuit", "drysuit"]), ("wetsuit", ["drysuit"]), ("drysuit", []), (None, [])],
)
def test_warmer_clothing_than_what_is_worn_is_offered(
    case: Case, wearing: str | None, warmer: list[str]
) -> None:
    trip = planned(case, paddler=replace(SURE, wearing=wearing))
    assert options(trip) == [f"--wearing {one}" for one in warmer]
    assert [one.case().plan.paddler.wearing for one in changes_of(trip)] == warmer


def test_two_other_crafts_of_the_user_are_offered(case: Case) -> None:
    names = ["sit-on-top-kayak", "red one", "blue", "green"]
    crafts = {name: CraftTable.model_validate({"class": "canoe"}) for name in names}
    trip = own(case, craft=crafts)
    assert options(trip) == ["--craft 'red one'", "--craft blue"]
    assert [one.case().plan.craft.name for one in changes_of(trip)] == ["red one", "blue"]
    assert all(one.case().plan.craft.kind == "canoe" for one in changes_of(trip))


@pytest.mark.parametrize(
    ("unit", "option", "metres"),
    [
        ("mi", "100 yd", 100 * YARD),
        ("nmi", "100 yd", 100 * YARD),
        ("km", "100 m", 100.0),
    ],
)
def test_a_trip_along_the_shore_is_offered_in_the_units_of_the_user(
    case: Case, unit: str, option: str, metres: float
) -> None:
    units = UnitsTable.model_validate({"distance": unit})
    trip = own(planned(case, from_shore=np.inf), units=units)
    (change,) = changes_of(trip)
    assert change.option == f'--from-shore "{option}"'
    assert change.case().plan.from_shore == pytest.approx(metres)
    assert change.elsewhere


@pytest.mark.parametrize(("metres", "offered"), [(100.0, 0), (100.1, 1)])
def test_a_trip_that_already_stays_so_near_is_offered_nothing_nearer(
    case: Case, metres: float, offered: int
) -> None:
    trip = own(planned(case, from_shore=metres), units=UnitsTable(distance="km"))
    assert len(options(trip)) == offered


@pytest.mark.parametrize(
    ("unit", "metres", "steps"),
    [
        ("mi", MILE, ["2 mi", "1 mi", "1/2 mi", "1/4 mi"]),
        ("nmi", 1852.0, ["2 nmi", "1 nmi", "1/2 nmi", "1/4 nmi"]),
        ("km", 1000.0, ["3 km", "2 km", "1 km", "500 m"]),
    ],
)
def test_a_reach_is_shortened_by_one_step_at_a_time(
    case: Case, unit: str, metres: float, steps: list[str]
) -> None:
    far = planned(case, reach=50 * metres, reach_assumed=True)
    trip = own(far, units=UnitsTable.model_validate({"distance": unit}))
    for step in steps:
        (change,) = changes_of(trip)
        assert change.option == f'--reach "{step}"'
        assert change.elsewhere
        trip = replace(trip, plan=change.case().plan)
        assert not trip.plan.reach_assumed
    assert options(trip) == []


def test_the_water_is_seen_anew_from_where_a_change_leads(case: Case) -> None:
    (change,) = changes_of(planned(case, reach=MILE))
    assert change.case().water is not case.water
    (paddler,) = changes_of(planned(case, paddler=replace(SURE, company="alone")))
    assert paddler.case().water is case.water
    assert not paddler.elsewhere


def launches(*metres: float) -> tuple[Launch, ...]:
    """Return launches north of the usual one, each named for its distance."""
    here = scenes.LAUNCH
    return tuple(
        replace(here, name=f"at {away:g} m", latitude=here.latitude + away / DEGREE)
        for away in metres
    )


def test_another_launch_is_offered_where_the_same_forecast_holds(case: Case) -> None:
    around = (scenes.LAUNCH, *launches(10, 2990, 3010))
    trip = planned(case, water=replace(ROUND, launches=around))
    assert options(trip) == ["--launch 'at 10 m'", "--launch 'at 2990 m'"]
    assert [one.case().plan.launch.name for one in changes_of(trip)] == ["at 10 m", "at 2990 m"]
    assert all(one.elsewhere for one in changes_of(trip))


def test_a_route_is_neither_shortened_nor_moved(case: Case) -> None:
    trip = planned(
        case,
        reach=MILE,
        from_shore=np.inf,
        water=replace(ROUND, launches=(scenes.LAUNCH, *launches(10))),
        route=np.array([[-99.6, 44.91]]),
        paddler=replace(SURE, company="alone"),
    )
    assert options(trip) == ["--company group"]


def test_each_change_costs_as_much_as_some_hours_of_another_time(case: Case) -> None:
    trip = own(
        planned(
            case,
            paddler=replace(SURE, company="alone", wearing="none"),
            reach=MILE,
            from_shore=np.inf,
            water=replace(ROUND, launches=(scenes.LAUNCH, *launches(1500, 2700))),
        ),
        craft={"red": CraftTable.model_validate({"class": "canoe"})},
    )
    assert {one.option: one.cost for one in changes_of(trip)} == pytest.approx(
        {
            "--company group": 2,
            "--wearing wetsuit": 1,
            "--wearing drysuit": 2,
            "--craft red": 3,
            '--from-shore "100 yd"': 1,
            '--reach "1/2 mi"': 1.5,
            "--launch 'at 1500 m'": 3,
            "--launch 'at 2700 m'": 3.4,
        },
        rel=1e-6,
    )
    assert [one.kind for one in changes_of(trip)] == [
        "company", "wearing", "wearing", "craft", "from_shore", "reach", "launch", "launch",
    ]  # fmt: skip


# -- a verdict with them, and without ------------------------------------------------------------


def test_a_verdict_without_alternatives_has_lost_nothing_else() -> None:
    bare = Verdict(scenes.plan(), scenes.NOW, Severity.GO, (), (), (), (), (), ())
    assert without_alternatives(replace(bare, alternatives=())) == bare
    read = WaterReading(285.0, "an estimate", warmest=290.0)
    told = replace(bare, alternatives=(), water=replace(read, enough=288.0))
    assert without_alternatives(told) == replace(bare, water=read)


@pytest.mark.parametrize(
    ("read", "enough"),
    [
        (None, None),
        (WaterReading(285.0, "as you entered it"), None),
        (WaterReading(285.0, "an estimate", warmest=290.0), 288.0),
    ],
)
def test_how_warm_the_water_must_be_is_told_where_it_is_only_estimated(
    case: Case, monkeypatch: pytest.MonkeyPatch, read: WaterReading | None, enough: float | None
) -> None:
    bare = Verdict(case.plan, scenes.NOW, Severity.GO, (), (), (), (), (), (), water=read)
    monkeypatch.setattr(enough_warmth, "find_enough_warmth", lambda *_: 288.0)
    monkeypatch.setattr(what_else, "find_alternatives", lambda _, __, changes, ___: tuple(changes))
    made: Any = SimpleNamespace(verdict=bare)
    given: Any = ("one of the water's",)
    told = with_alternatives(planned(case, reach=MILE), made, load_rulebook(), given)
    water = read and replace(read, enough=enough)
    assert told == replace(bare, water=water, alternatives=told.alternatives)
    assert [one if one in given else one.option for one in told.alternatives or ()] == [
        '--reach "1/2 mi"', "one of the water's",
    ]  # fmt: skip
