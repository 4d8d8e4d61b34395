"""A value against its bounds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.verdict import Severity
from safety_check.rules.engine import severity
from safety_check.settings.limits import load_default_limits

NEVER = np.array(np.inf)


def level(value: float, marginal: float, no_go: float, worse: str = "higher") -> Severity:
    return Severity(int(severity(np.array(value), np.array(marginal), np.array(no_go), worse)))


# A swim that never ends was NO-GO where the limit has no NO-GO, since infinity reaches infinity.
@pytest.mark.parametrize(("worse", "sign"), [("higher", 1.0), ("lower", -1.0)])
def test_an_infinite_value_reaches_no_bound_that_does_not_exist(worse: str, sign: float) -> None:
    never = sign * np.inf
    assert level(never, never, never, worse) == Severity.GO
    assert level(never, sign * 2.0, never, worse) == Severity.MARGINAL
    assert level(never, sign * 2.0, sign * 3.0, worse) == Severity.NO_GO
    assert level(-never, sign * 2.0, sign * 3.0, worse) == Severity.GO


def test_an_unknown_value_is_unknown_even_without_bounds() -> None:
    assert level(np.nan, np.inf, np.inf) == Severity.UNKNOWN
    assert level(1.0, np.nan, np.nan) == Severity.UNKNOWN


@given(st.floats(0, 100), st.floats(0, 10), st.floats(0, 10), st.floats(0, 100))
def test_a_worse_value_is_never_a_better_severity(
    value: float, marginal: float, gap: float, more: float
) -> None:
    for no_go in (marginal + gap, np.inf):
        before = level(value, marginal, no_go)
        assert level(value + more, marginal, no_go) >= before
        assert level(np.inf, marginal, no_go) >= before


def test_no_way_home_is_forbidden_by_a_bound_of_its_own() -> None:
    assert load_default_limits()["way_home_share_of_trip", "any"].no_go is not None
