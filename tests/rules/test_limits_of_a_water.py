"""A limit of a water: it only tightens, and of craft and water the stricter bound counts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from safety_check.errors import ConfigError
from safety_check.model.verdict import Limit
from safety_check.rules.limits import choose_limits
from safety_check.settings.limits import load_default_limits
from safety_check.settings.user_file import LimitTable
from tests import scenes

CRAFT = scenes.settings().craft("sit-on-top-kayak")
HERE = scenes.WATER.name
BOUNDS = st.one_of(st.none(), st.floats(1.0, 15.0).map(lambda speed: f"{speed:.2f} m/s"))


def wind(*tables: LimitTable, water: str = HERE) -> Limit:
    """Return the limit for wind that holds on a water."""
    defaults = load_default_limits()
    return choose_limits(CRAFT, scenes.READY, defaults, tables, water=water).limits["wind_speed"]


def of_water(
    marginal: str | None = None, no_go: str | None = None, loosen: bool = False
) -> LimitTable:
    return LimitTable(
        water=HERE, quantity="wind_speed", marginal=marginal, no_go=no_go, loosen=loosen
    )


def of_craft(marginal: str | None = None, no_go: str | None = None) -> LimitTable:
    return LimitTable(craft=CRAFT.name, quantity="wind_speed", marginal=marginal, no_go=no_go)


def test_a_limit_holds_on_its_water_alone_whatever_the_capitals() -> None:
    table = of_water("3 m/s", "5 m/s")
    assert (wind(table).marginal, wind(table).no_go) == (3.0, 5.0)
    assert wind(table, water=HERE.upper()).no_go == 5.0
    assert wind(table, water="Another Lake") == wind()


def test_the_stricter_bound_of_craft_and_water_counts() -> None:
    both = wind(of_craft("4 m/s", "4.5 m/s"), of_water("3 m/s", "5 m/s"))
    assert (both.marginal, both.no_go) == (3.0, 4.5)
    assert both.set_at == (HERE, "")
    assert both.applies_to == f"{CRAFT.name}; {HERE}"


@given(st.lists(st.tuples(st.booleans(), BOUNDS, BOUNDS), min_size=1, max_size=3))
def test_without_loosening_no_limit_of_a_water_makes_anything_milder(
    said: list[tuple[bool, str | None, str | None]],
) -> None:
    before, tables = wind(), []
    for _, marginal, no_go in said:
        tables.append(of_water(marginal, no_go))
        try:
            now = wind(*tables)
        except ConfigError:  # its no-go lies below its own caution
            return
        assert now.loosened is None
        assert (now.marginal or 0.0) <= (before.marginal or 0.0)
        assert (now.no_go or 0.0) <= (before.no_go or 0.0)
        before = now


def test_a_loosened_limit_of_a_water_is_reported_and_yields_to_a_stricter_craft() -> None:
    loose = of_water("9 m/s", "11 m/s", loosen=True)
    assert wind(loose).loosened == wind()
    assert wind(loose).no_go == 11.0
    strict = wind(loose, of_craft("3 m/s", "4 m/s"))
    assert (strict.marginal, strict.no_go, strict.loosened) == (3.0, 4.0, None)


def test_a_limit_of_nothing_is_refused() -> None:
    with pytest.raises(ValidationError, match="neither a craft nor a water"):
        LimitTable(quantity="wind_speed", no_go="5 m/s")


def test_the_reason_names_the_water_whose_limit_decides() -> None:
    breeze = scenes.forecast({"wind_speed": 4.0, "wind_speed_of_gust": 5.0})
    own = scenes.settings(of_craft(no_go="6 m/s"), of_water(no_go="3 m/s"))
    found = scenes.verdict(breeze, own=own).findings[0]
    assert found.hazard == "wind_too_strong"
    assert f"(yours for {HERE}, default " in found.reason


def test_a_default_lowered_below_the_user_s_own_limit_is_not_called_theirs() -> None:
    # Alone the default falls below the user's own limit, which decides only in company.
    breeze = scenes.forecast({"wind_speed": 6.2, "wind_speed_of_gust": 6.5})
    alone = scenes.plan(paddler=replace(scenes.READY, company="alone"))
    own = scenes.settings(of_craft(no_go="6.8 m/s"))
    reason = scenes.verdict(breeze, alone, own=own).findings[0].reason
    assert "→ alone →" in reason
    assert "your limit" not in reason
