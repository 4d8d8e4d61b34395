"""Which tests run every day, and which only in a thorough look.

`@pytest.mark.thorough` leaves a test to a thorough look: it takes long, and a shorter one holds the
same promise every day. `@pytest.mark.one_in(n)` runs one in n of a test's cases every day, always
the same ones, drawn by their names. `HYPOTHESIS_PROFILE=thorough pytest` runs all.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from zlib import crc32

import pytest

from tests.properties import PROFILE

EVERYDAY = PROFILE == "repeatable"


def left_out(items: Sequence[pytest.Item]) -> set[pytest.Item]:
    """Return the tests that do not run every day."""
    cases: dict[str, list[pytest.Item]] = defaultdict(list)
    for item in items:
        cases[item.nodeid.partition("[")[0]].append(item)
    return {one for several in cases.values() for one in _left_out_of(several)}


def _left_out_of(cases: Sequence[pytest.Item]) -> Sequence[pytest.Item]:
    if cases[0].get_closest_marker("thorough"):
        return cases
    mark = cases[0].get_closest_marker("one_in")
    if mark is None:
        return ()
    drawn = sorted(cases, key=lambda item: crc32(item.nodeid.encode()))
    return drawn[math.ceil(len(cases) / mark.args[0]) :]
