"""Limits chosen for a paddler, lowered by Beaufort numbers, and the user's own."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from safety_check.errors import ConfigError, PlanError
from safety_check.model.verdict import Limit
from safety_check.rules.limits import bounds_after_reduction, choose_limits, total_reduction
from safety_check.rules.personal_limits import (
    kind_of_limit,
    looser,
    own_limits,
    personal_limit,
    whose,
)
from safety_check.settings.limits import ReductionEntry
from safety_check.settings.user_file import LimitTable
from tests import scenes

DAY = date(2026, 6, 1)


def limit(
    quantity: str = "wind_speed",
    whom: str = "canoe",
    marginal: float | None = 5.0,
    no_go: float | None = 7.0,
    unit: str = "m s-1",
    worse: str = "higher",
) -> Limit:
    return Limit(
        quantity=quantity,
        applies_to=whom,
        unit=unit,
        worse=worse,
        marginal=marginal,
        no_go=no_go,
        basis="judgement",
        source="a test",
        since=DAY,
        checked=DAY,
    )


def table(**said: Any) -> LimitTable:
    return LimitTable(**{"quantity": "wind_speed", **said})


# -- reductions ----------------------------------------------------------------------------------


def entry(when: str, beaufort: float, **bound: float) -> ReductionEntry:
    return ReductionEntry(
        when=when, beaufort=beaufort, unit="1", basis="judgement", source="a test",
        since=DAY, checked=DAY, **bound,
    )  # fmt: skip


REDUCTIONS = [
    entry("alone", 0.5, above=0.5),
    entry("distance", 0.25, above=200.0),
    entry("distance", 0.25, above=500.0),
    entry("water", 0.5, below=288.15),
]


def reduced(alone: float, distance: float, water: float, greatest: float = 9.0) -> float:
    facts = {"alone": alone, "distance": distance, "water": water}
    arrays = {name: np.array(fact) for name, fact in facts.items()}
    total, parts = total_reduction(REDUCTIONS, arrays, greatest)
    assert float(total) == min(sum(float(part) for part in parts.values()), greatest)
    return float(total)


@pytest.mark.parametrize(
    ("alone", "distance", "water", "total"),
    [
        (0.0, 100.0, 295.0, 0.0),
        (1.0, 100.0, 295.0, 0.5),
        (0.5, 200.0, 288.16, 0.0),  # a fact at its bound is spared, where more is worse
        (0.0, 200.1, 295.0, 0.25),
        (0.0, 500.1, 295.0, 0.5),
        (0.0, 0.0, 288.15, 0.5),  # and is not, where less is worse
        (1.0, 900.0, 280.0, 1.5),
        (float("nan"), float("nan"), float("nan"), 1.5),  # what is not known lowers the limit
    ],
)
def test_reductions_that_hold_add_up(
    alone: float, distance: float, water: float, total: float
) -> None:
    assert reduced(alone, distance, water) == total


def test_all_together_lower_a_limit_by_no_more_than_the_most() -> None:
    assert reduced(1.0, 900.0, 280.0, greatest=1.25) == 1.25


def test_a_reduction_without_a_bound_is_refused() -> None:
    with pytest.raises(ConfigError, match="neither above nor below"):
        total_reduction([entry("alone", 0.5)], {"alone": np.array(1.0)}, 9.0)


# Half a Beaufort number below 5 and 7 m/s by v = 0.836 B^1.5, worked apart: 3.906 and 5.766.
HALF = np.array(0.5)


def lowered(own: Limit | None = None) -> list[float]:
    defaults = {("wind_speed", "canoe"): limit()}
    chosen = choose_limits(scenes.settings().craft("canoe"), scenes.READY, defaults, ())
    if own is not None:
        chosen = replace(chosen, limits={"wind_speed": own})
    return [float(one) for one in bounds_after_reduction(chosen, "wind_speed", HALF)]


def test_a_default_falls_along_the_beaufort_scale() -> None:
    assert lowered() == pytest.approx([3.906, 5.766], abs=0.001)  # so rounded


def test_an_own_limit_stays_but_never_above_the_lowered_default() -> None:
    assert lowered(limit(marginal=3.0, no_go=6.5)) == pytest.approx([3.0, 5.766], abs=0.001)


def test_a_loosened_limit_stays_as_it_was_set() -> None:
    own = replace(limit(marginal=8.0, no_go=9.0), loosened=limit())
    assert lowered(own) == [8.0, 9.0]


def test_a_missing_caution_is_the_no_go_and_a_missing_bound_is_never_reached() -> None:
    for worse, never in (("higher", np.inf), ("lower", -np.inf)):
        defaults = {
            ("a", "any"): limit("a", "any", None, 2.0, worse=worse),
            ("b", "any"): limit("b", "any", 1.0, None, worse=worse),
            ("c", "any"): limit("c", "any", None, None, worse=worse),
        }
        chosen = choose_limits(scenes.settings().craft("canoe"), scenes.READY, defaults, ())
        bounds = [
            tuple(float(one) for one in bounds_after_reduction(chosen, name, None))
            for name in "abc"
        ]
        assert bounds == [(2.0, 2.0), (1.0, never), (never, never)]


# -- which limits hold ---------------------------------------------------------------------------

OF_LIGHT = {
    ("dark", whom): limit("dark", whom) for whom in ("light no", "light yes", "light yes at night")
}
OF_WEARING = {("cold", f"wearing {one}"): limit("cold", f"wearing {one}") for one in ("none", "x")}


@pytest.mark.parametrize(
    ("light", "night", "whom"),
    [
        (False, False, "light no"),
        (False, True, "light no"),
        (True, False, "light yes"),
        (True, True, "light yes at night"),
    ],
)
def test_the_limit_of_what_the_paddler_brings_holds(light: bool, night: bool, whom: str) -> None:
    paddler = replace(scenes.READY, light=light)
    chosen = choose_limits(scenes.settings().craft("canoe"), paddler, OF_LIGHT, (), night)
    assert chosen.limits["dark"].applies_to == whom
    assert chosen.undeclared == frozenset()


def test_what_is_not_declared_leaves_its_limits_open() -> None:
    paddler = replace(scenes.READY, light=None, wearing=None)
    craft = scenes.settings().craft("canoe")
    whole = {**OF_LIGHT, **OF_WEARING, ("wind_speed", "canoe"): limit()}
    chosen = choose_limits(craft, paddler, whole, ())
    assert chosen.undeclared == {"dark", "cold"}
    assert set(chosen.limits) == {"wind_speed"}


# -- the user's own ------------------------------------------------------------------------------

DEFAULTS = {
    "wind_speed": limit(),
    "water_temperature": limit("water_temperature", "any", 294.15, 288.75, "K", "lower"),
    "life_jacket_worn": limit("life_jacket_worn", "any", None, 0.0, "1", "lower"),
    "river_gauge_height": limit("river_gauge_height", "any", None, None, "m"),
}


def test_an_own_limit_is_in_si_and_says_whose_it_is() -> None:
    own = personal_limit(table(craft="canoe", water="Orvel Lake", no_go="10 mph"), DEFAULTS)
    assert own.no_go == pytest.approx(4.4704)
    assert own.marginal == pytest.approx(4.4704)  # the default caution of 5 m/s lies beyond
    assert own.applies_to == "canoe at Orvel Lake"
    assert own.set_at == ("Orvel Lake", "Orvel Lake")
    assert (own.basis, own.loosened) == ("personal", None)
    assert personal_limit(table(craft="canoe", no_go="6 m/s"), DEFAULTS).marginal == 5.0
    assert personal_limit(table(craft="canoe", marginal="4 m/s"), DEFAULTS).no_go == 7.0
    assert personal_limit(table(craft="canoe", no_go="6 m/s"), DEFAULTS).set_at == ("", "")


@pytest.mark.parametrize(
    ("said", "whom"),
    [
        ({"craft": "my kayak"}, "my kayak"),
        ({"water": "Orvel Lake"}, "Orvel Lake"),
        ({"craft": "my kayak", "water": "Orvel Lake"}, "my kayak at Orvel Lake"),
    ],
)
def test_whose_a_limit_is(said: dict[str, str], whom: str) -> None:
    assert whose(table(**said)) == whom


@pytest.mark.parametrize(
    ("said", "error", "words"),
    [
        ({"quantity": "wnd_speed", "no_go": "1 m/s"}, PlanError, "Did you mean 'wind_speed'"),
        ({"quantity": "life_jacket_worn", "no_go": "1"}, PlanError, "cannot be changed"),
        ({"marginal": "6 m/s", "no_go": "4 m/s"}, ConfigError, "cannot be reached before"),
        ({"no_go": "8 m/s"}, ConfigError, "looser than the default"),
        ({"marginal": "6 m/s"}, ConfigError, "looser than the default"),
    ],
)
def test_a_limit_that_cannot_stand_says_why(
    said: dict[str, str], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        personal_limit(table(craft="canoe", **said), DEFAULTS)


def test_a_loosened_limit_keeps_the_default_that_it_left() -> None:
    own = personal_limit(table(craft="canoe", no_go="8 m/s", loosen=True), DEFAULTS)
    assert (own.marginal, own.no_go, own.loosened) == (5.0, 8.0, DEFAULTS["wind_speed"])
    tight = personal_limit(table(craft="canoe", no_go="6 m/s", loosen=True), DEFAULTS)
    assert tight.loosened is None


def test_a_looser_limit_of_a_water_for_all_craft_changes_nothing_for_a_stricter_craft() -> None:
    own = personal_limit(table(water="Orvel Lake", marginal="4 m/s", no_go="8 m/s"), DEFAULTS)
    assert (own.marginal, own.no_go, own.loosened) == (4.0, 7.0, None)
    assert own.set_at == ("Orvel Lake", "")


@pytest.mark.parametrize(
    ("marginal", "no_go", "is_looser"),
    [
        (5.0, 7.0, False),
        (4.0, 6.0, False),
        (5.1, 7.0, True),
        (5.0, 7.1, True),
        (None, 7.0, True),
        (5.0, None, True),
    ],
)
def test_looser_is_what_permits_more_by_either_bound(
    marginal: float | None, no_go: float | None, is_looser: bool
) -> None:
    assert looser(limit(marginal=marginal, no_go=no_go), limit()) is is_looser
    colder = limit("t", "any", 290.0, 285.0, "K", "lower")
    turned = replace(
        colder,
        marginal=None if marginal is None else 295.0 - marginal,
        no_go=None if no_go is None else 292.0 - no_go,
    )
    assert looser(turned, colder) is is_looser


def test_of_the_limits_of_craft_and_water_the_stricter_bounds_count() -> None:
    tables = [
        table(craft="canoe", marginal="3 m/s"),
        table(water="ORVEL lake", no_go="6 m/s"),
        table(craft="another", no_go="1 m/s"),
        table(water="Other Lake", no_go="1 m/s"),
    ]
    own = own_limits(tables, "canoe", "Orvel Lake", DEFAULTS)["wind_speed"]
    assert (own.marginal, own.no_go) == (3.0, 6.0)
    assert own.applies_to == "canoe; ORVEL lake"
    assert own.set_at == ("", "ORVEL lake")
    elsewhere = own_limits(tables, "canoe", "Pond", DEFAULTS)["wind_speed"]
    assert (elsewhere.marginal, elsewhere.no_go) == (3.0, 7.0)
    assert own_limits(tables, "tube", "Pond", DEFAULTS) == {}


def test_a_loosened_limit_yields_to_a_stricter_one_and_is_loose_no_more() -> None:
    tables = [
        table(craft="canoe", no_go="9 m/s", loosen=True),
        table(craft="canoe", water="Orvel Lake", no_go="6 m/s"),
    ]
    assert own_limits(tables, "canoe", "Orvel Lake", DEFAULTS)["wind_speed"].loosened is None
    at_pond = own_limits(tables, "canoe", "Pond", DEFAULTS)["wind_speed"]
    assert at_pond.loosened == DEFAULTS["wind_speed"]
    still_loose = [tables[0], table(craft="canoe", water="Orvel Lake", no_go="8 m/s", loosen=True)]
    both = own_limits(still_loose, "canoe", "Orvel Lake", DEFAULTS)["wind_speed"]
    assert (both.no_go, both.loosened) == (8.0, DEFAULTS["wind_speed"])


def test_the_kind_of_unit_that_a_limit_is_written_in() -> None:
    kinds = {name: kind_of_limit(one) for name, one in DEFAULTS.items()}
    assert kinds == {
        "wind_speed": "wind limit",
        "water_temperature": "temperature",
        "life_jacket_worn": None,
        "river_gauge_height": "length",
    }
    assert kind_of_limit(limit("wind_rise")) == "speed"
    assert kind_of_limit(limit("wind_speed_of_gust")) == "wind limit"
    assert kind_of_limit(limit("offshore_wind_speed")) == "wind limit"
    assert kind_of_limit(limit("river_discharge", unit="m3 s-1")) == "flow"
