"""The parts of a judgement that are not weighed: the lee, limits, the verdict in brief."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from safety_check.assess import verdict
from safety_check.assess.verdict import (
    find_shelter,
    judge_in_brief,
    newest_forecast,
    reason_context,
    require_sound_limit,
)
from safety_check.conditions.case import Case
from safety_check.conditions.lee import Winds
from safety_check.errors import PlanError
from safety_check.model.craft import Paddler
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing
from safety_check.settings.crafts import CraftTable
from safety_check.settings.settings import Settings
from safety_check.settings.user_file import LimitTable
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from tests import scenes

RULES = load_rulebook()
HOUR = timedelta(hours=1)
CASE = Case(scenes.plan(), scenes.briefing(), scenes.POND, scenes.settings(), load_trust())


def test_the_newest_forecast_counts_from_its_run_or_from_when_it_was_received() -> None:
    def newest(*origins: tuple[float | None, float]) -> datetime | None:
        made = [
            replace(
                scenes.FROM_A_FILE,
                issued=None if issued is None else scenes.NOW - issued * HOUR,
                fetched=scenes.NOW - received * HOUR,
            )
            for issued, received in origins
        ]
        forecasts = tuple(scenes.forecast(provenance=one) for one in made)
        return newest_forecast(Briefing(scenes.NOW, forecasts))

    assert newest() is None
    assert newest((6, 0), (9, 1)) == scenes.NOW - 6 * HOUR
    assert newest((6, 0), (None, 2)) == scenes.NOW - 2 * HOUR


@pytest.mark.parametrize(
    ("winds", "severity", "reason"),
    [
        ({}, Severity.GO, ""),
        ({"wind_speed": 9.0, "wind_speed_of_gust": 9.0}, Severity.NO_GO, "20 mph"),
        ({"wind_speed": 6.0, "wind_speed_of_gust": 6.0}, Severity.MARGINAL, "13 mph"),
        ({"weather_code": 95.0}, Severity.NO_GO, "hunder"),
    ],
)
def test_a_verdict_in_brief_has_the_reason_that_decides(
    winds: dict[str, float], severity: Severity, reason: str
) -> None:
    case = replace(CASE, briefing=scenes.briefing(scenes.forecast(winds)))
    found, why = judge_in_brief(case, RULES)
    assert found == severity
    assert reason in why
    assert bool(why) == bool(reason)


# -- the lee ---------------------------------------------------------------------------------------

BEFORE = 24  # hours of wind that are kept before the first hour, for the sea that they raised


def sheltered(
    monkeypatch: pytest.MonkeyPatch, marginal: float | None = 0.2, **water: object
) -> tuple[object, list[tuple[Any, ...]]]:
    """Return the lee of a trip in the hours 2 to 4 of 6, and what it was looked for with.

    The first of two members is out of date. The wind of each instant is its number.
    """
    asked: list[tuple[Any, ...]] = []

    def look(*given: Any) -> object:
        asked.append(given)
        return f"lee of {given[0]}"

    monkeypatch.setattr(verdict, "find_lee", look)
    monkeypatch.setattr(verdict, "with_near", lambda *given: given)
    instants = np.tile(np.arange(BEFORE + 7.0), (2, 1))
    waves = 0.1 * np.arange(6.0)[None, :]
    limits = {} if marginal == 0 else {verdict.WAVES: SimpleNamespace(marginal=marginal)}
    weighed: Any = SimpleNamespace(
        trip=np.array([2, 3, 4]),
        members=SimpleNamespace(
            quantities={"wind_speed": instants, "wind_from_direction": 10 * instants},
            stale=np.array([True, False]),
            weights=np.array([0.3, 0.7]),
        ),
        conditions=SimpleNamespace(quantities={verdict.WAVES: waves}),
        context=SimpleNamespace(limits=SimpleNamespace(limits=limits)),
        tolerance=SimpleNamespace(share=0.1),
    )
    fetch = np.array([[100.0, 300.0], [200.0, 50.0]])
    place: Any = SimpleNamespace(**{"whole": "lake", "near": None, "fetch": fetch, **water})
    return find_shelter(replace(CASE, water=place), weighed), asked


def test_the_lee_is_looked_for_from_the_hours_before_to_the_end_of_the_trip(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found, [(water, winds, bound, share, reach)] = sheltered(monkeypatch)
    assert found == "lee of lake"
    assert (water, bound, share) == ("lake", 0.2, 0.1)
    assert reach.tolist() == [300.0, 200.0]  # the longest fetch of any place, by bearing
    assert isinstance(winds, Winds)
    # The trip's last hour, number 4, ends at instant 5 after the 24 before.
    assert winds.speed[1].tolist() == list(range(BEFORE + 6))
    assert winds.direction[1].tolist() == [10 * number for number in range(BEFORE + 6)]
    assert np.isnan(winds.speed[0]).all()  # an out-of-date wind is unknown
    assert winds.lead_in == BEFORE + 2
    assert winds.sea is not None
    assert winds.sea.tolist() == [pytest.approx([0.2, 0.3, 0.4])]


def test_the_lee_around_the_trip_is_known_better(monkeypatch: pytest.MonkeyPatch) -> None:
    found, asked = sheltered(monkeypatch, near="bay")
    assert found == ("lee of lake", "lake", "bay", "lee of bay")
    assert [given[0] for given in asked] == ["lake", "bay"]
    for one, other in zip(asked[0][2:], asked[1][2:], strict=True):
        np.testing.assert_array_equal(one, other)


def test_without_a_shoreline_or_a_caution_for_waves_there_is_no_lee(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert sheltered(monkeypatch, whole=None) == (None, [])
    assert sheltered(monkeypatch, marginal=None) == (None, [])
    assert sheltered(monkeypatch, marginal=0) == (None, [])  # no limit at all


# -- limits of one's own ---------------------------------------------------------------------------


def own(*crafts: str, limits: tuple[LimitTable, ...] = ()) -> Settings:
    made = scenes.settings(*limits)
    tables = {name: CraftTable.model_validate({"class": name}) for name in crafts}
    return replace(made, user=made.user.model_copy(update={"craft": tables}))


def test_reasons_are_written_for_the_water_and_the_paddler() -> None:
    of_water = LimitTable(water=scenes.WATER.name, quantity="wind_speed", no_go="3 m/s")
    settings = own(limits=(of_water,))
    kayak = settings.craft("sit-on-top-kayak")
    there, anywhere = (
        reason_context(settings, kayak, scenes.READY, water=water) for water in (scenes.WATER, None)
    )
    assert there.limits.limits["wind_speed"].no_go == 3.0
    assert anywhere.limits.limits["wind_speed"].no_go == 6.9  # of every kayak, limits.toml
    assert str(there.clock.zone) == "America/Chicago"
    assert str(anywhere.clock.zone) == "UTC"
    assert "water_temperature" not in there.limits.undeclared
    # Without a paddler it is the one of the settings, who has declared nothing here.
    assert settings.paddler == Paddler()
    assert "water_temperature" in reason_context(settings, kayak).limits.undeclared


# Wind becomes no-go at 6.9 m/s for a kayak and at 8.0 m/s for a skiff, limits.toml.
KAYAK, SKIFF = "sit-on-top-kayak", "small-motor-skiff"


def sound(settings: Settings, **limit: object) -> bool:
    try:
        require_sound_limit(settings, {"quantity": "wind_speed", **limit})
    except PlanError as refused:
        return "would change nothing" not in str(refused)
    return True


@pytest.mark.parametrize("crafts", [(KAYAK, SKIFF), (SKIFF, KAYAK)])
def test_a_limit_of_a_water_must_be_stricter_for_one_craft_at_least(
    crafts: tuple[str, ...],
) -> None:
    settings = own(*crafts)
    assert sound(settings, water="pond", no_go="6.8 m/s")
    assert sound(settings, water="pond", no_go="7.5 m/s")  # for the skiff alone
    assert not sound(settings, water="pond", no_go="8.0 m/s")
    assert not sound(settings, water="pond", no_go="9.0 m/s")


def test_a_limit_of_one_craft_is_for_that_craft_whatever_it_changes() -> None:
    settings = own(KAYAK, SKIFF)
    assert sound(settings, craft=KAYAK, no_go="6.9 m/s")  # as the default
    assert sound(settings, craft=KAYAK, no_go="6 m/s")


def test_without_a_craft_of_ones_own_the_usual_one_counts() -> None:
    settings = own()
    usual = replace(settings, user=settings.user.model_copy(update={"default_craft": KAYAK}))
    assert sound(usual, water="pond", no_go="6.8 m/s")
    assert not sound(usual, water="pond", no_go="7.5 m/s")
