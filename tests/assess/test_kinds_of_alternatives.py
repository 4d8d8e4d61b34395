"""Each kind of alternative appears where it is what helps, and its own check agrees."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from safety_check.assess.alternatives import HELPS, MOST, OF_THE_PADDLER, Change, find_alternatives
from safety_check.assess.verdict import assess_case, judge
from safety_check.conditions.case import Case
from safety_check.model.place import Launch, Water
from safety_check.model.plan import Plan
from safety_check.model.verdict import Alternative, Severity
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.crafts import CraftTable
from safety_check.settings.settings import Settings
from safety_check.units import parse
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.what_else import with_alternatives
from safety_check.waters.open_water import open_water
from tests import scenes

RULES = load_rulebook()
ALONE = replace(scenes.READY, company="alone")
MIDDLE = (44.9, -99.6)
DEGREE = 111_195.0  # m


@pytest.fixture(autouse=True)
def _caches_of_their_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def place(east: float, north: float) -> tuple[float, float]:
    """Return longitude and latitude of metres east and north of the middle. [deg]."""
    across = DEGREE * np.cos(np.radians(MIDDLE[0]))
    return MIDDLE[1] + east / across, MIDDLE[0] + north / DEGREE


def lake(width: float, height: float, *launches: tuple[str, float, float]) -> Water:
    """Return a rectangular lake with launches, in metres from its south-west corner."""
    corners = [(0, 0), (width, 0), (width, height), (0, height), (0, 0)]
    ring = np.array([place(*corner) for corner in corners])
    known = tuple(Launch(name, *reversed(place(*at))) for name, *at in launches)
    return Water("Invented Lake", "America/Chicago", known, (ring,), depth=5.0)


def own(**craft: CraftTable) -> Settings:
    made = scenes.settings()
    return replace(made, user=made.user.model_copy(update={"craft": craft}))


def found(
    plan: Plan, winds: Mapping[str, float], settings: Settings | None = None, around: bool = True
) -> tuple[Case, tuple[Alternative, ...]]:
    """Return a case that is no GO, and its alternatives, each judged again by itself."""
    settings = settings or scenes.settings()
    water = open_water(plan, settings.folders.cache) if around else scenes.POND
    told = scenes.briefing(scenes.forecast(winds))
    case = Case(plan, told, water, settings, load_trust())
    made = assess_case(case, RULES)
    assert made.verdict.severity > Severity.GO
    others = with_alternatives(case, made, RULES).alternatives or ()
    assert len(others) <= MOST
    for one in others:
        anew = open_water(one.plan, settings.folders.cache) if around else water
        again = judge(replace(case, plan=one.plan, water=anew), RULES).severity
        assert again <= one.severity < made.verdict.severity, one.option
    return case, others


def of_kind(others: tuple[Alternative, ...], kind: str) -> Alternative:
    assert kind in {one.kind for one in others}, [one.option for one in others]
    return next(one for one in others if one.kind == kind)


def on(water: Water, launch: int = 0, reach: str = "2 mi", **said: object) -> Plan:
    plan = scenes.plan(hours=2)
    return replace(plan, water=water, launch=water.launches[launch],
                   reach=parse(reach, "length", ""), **said)  # type: ignore[arg-type]  # fmt: skip


def test_a_nearer_reach_where_the_swim_to_the_shore_is_too_far() -> None:
    plan = on(lake(12000, 8000, ("ramp", 6000, 30)))
    winds = {"wind_speed": 3.5, "wind_speed_of_gust": 4.5, "wind_from_direction": 90.0}
    suited = replace(scenes.READY, wearing="wetsuit")
    _, others = found(replace(plan, water_temperature=288.0, paddler=suited), winds)
    assert of_kind(others, "reach").plan.reach == pytest.approx(1609.344)


def test_close_to_the_shore_in_an_offshore_wind_on_a_large_lake() -> None:
    plan = on(lake(12000, 8000, ("ramp", 6000, 30)))
    winds = {"wind_speed": 5.0, "wind_speed_of_gust": 6.0, "wind_from_direction": 180.0}
    _, others = found(plan, winds)
    assert of_kind(others, "from_shore").severity == Severity.GO


def test_a_launch_in_the_lee() -> None:
    # The wind blows along the lake: its far end has waves, its near end hardly any.
    water = lake(6000, 800, ("east ramp", 4900, 30), ("west ramp", 2000, 30))
    plan = on(water, reach="200 m")
    winds = {"wind_speed": 5.2, "wind_speed_of_gust": 6.0, "wind_from_direction": 270.0}
    _, others = found(plan, winds)
    lee = of_kind(others, "launch")
    assert lee.plan.launch.name == "west ramp"


@pytest.mark.parametrize(
    ("kind", "plan", "winds", "option"),
    [
        ("company", scenes.plan(paddler=ALONE), {"wind_speed": 5.0, "wind_speed_of_gust": 7.0},
         "--company group"),
        ("wearing", scenes.plan(hours=2, water_temperature=288.0), {}, "--wearing wetsuit"),
        ("craft", scenes.plan(craft="float-tube", hours=2),
         {"wind_speed": 5.0, "wind_speed_of_gust": 6.5}, "--craft kayak"),
    ],
)  # fmt: skip
def test_company_clothing_and_another_craft(
    kind: str, plan: Plan, winds: Mapping[str, float], option: str
) -> None:
    kayak = CraftTable.model_validate({"class": "sit-on-top-kayak"})
    case, others = found(plan, winds, own(kayak=kayak), around=False)
    assert of_kind(others, kind).option == option
    assert case.plan == plan


@pytest.mark.parametrize(("hours", "first"), [(5, 18), (2, 14)])
def test_earlier_later_and_shorter(hours: int, first: int) -> None:
    """A blow of two hours: the trip ends before it, or begins before or after it."""
    made = scenes.forecast()
    blow = (made.time >= np.datetime64(f"2026-06-13T{first}")) & (
        made.time <= np.datetime64(f"2026-06-13T{first + 2}")
    )
    made.quantities["wind_speed"][:, blow] = 11.0
    made.quantities["wind_speed_of_gust"][:, blow] = 15.0
    plan = scenes.plan(hours=hours)
    case = Case(plan, scenes.briefing(made), scenes.POND, scenes.settings(), load_trust())
    told = with_alternatives(case, assess_case(case, RULES), RULES).alternatives or ()
    times = [one.plan for one in told if one.kind == "time" and one.severity == Severity.GO]
    assert times
    lasts = timedelta(hours=hours)
    if hours == 5:
        assert any(one.end - one.start < lasts and one.start == plan.start for one in times)
    else:
        assert any(one.start != plan.start and one.end - one.start == lasts for one in times)


@pytest.mark.parametrize("costs", [(1.0, 3.0), (3.0, 1.0)])
def test_of_alternatives_with_one_verdict_the_smallest_change_comes_first(
    costs: tuple[float, float],
) -> None:
    breeze = scenes.briefing(scenes.forecast({"wind_speed": 5.0, "wind_speed_of_gust": 7.0}))
    alone = scenes.plan(paddler=ALONE)
    case = Case(alone, breeze, scenes.POND, scenes.settings(), load_trust())
    other = replace(case, plan=scenes.plan())
    changes = [
        Change(kind, cost, f"costs {cost}", lambda: other)
        for kind, cost in zip(("company", "craft"), costs, strict=True)
    ]
    told = find_alternatives(case, assess_case(case, RULES), changes, RULES)
    assert [one.severity for one in told] == [Severity.GO] * 2
    assert [one.option for one in told] == ["costs 1.0", "costs 3.0"]


def test_company_changes_less_than_another_craft() -> None:
    canoe = scenes.plan("canoe", ALONE)
    kayak = CraftTable.model_validate({"class": "sit-on-top-kayak"})
    winds = {"wind_speed": 4.0, "wind_speed_of_gust": 5.5}
    _, others = found(canoe, winds, own(kayak=kayak), around=False)
    assert [one.severity for one in others] == [Severity.GO] * 2
    assert [one.kind for one in others] == ["company", "craft"]


def test_the_best_verdict_comes_first() -> None:
    plan = scenes.plan(paddler=ALONE)
    _, others = found(plan, {"wind_speed": 5.0, "wind_speed_of_gust": 7.0}, around=False)
    assert list(others) == sorted(others, key=lambda one: one.severity)


def test_a_change_helps_only_against_hazards_that_exist() -> None:
    named = set().union(*HELPS.values(), OF_THE_PADDLER)
    assert named <= {hazard.name for hazard in HAZARDS}
