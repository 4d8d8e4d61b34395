"""When something may be seen, and which winds are told apart."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from safety_check.model.sight_table import WindClass
from safety_check.model.verdict import Severity
from safety_check.units import Preferences
from safety_check.use_cases.planning import COLDEST
from safety_check.use_cases.sight_case import Sighting, times_of_sighting
from safety_check.use_cases.sight_classes import at_least_as_bad, water_classes, wind_classes
from tests import scenes

HOUR = timedelta(hours=1)
START = scenes.plan().start


@pytest.mark.parametrize(
    ("before_start", "hours", "told"),
    [
        (10, 5, [-1, 0, 1, 3]),  # checked the evening before
        (0.5, 5, [-0.5, 0, 1, 3]),
        (0, 5, [0, 1, 3]),
        (-1, 5, [1, 2, 4]),  # checked on the water
        (10, 3, [-1, 0, 1]),  # at its end there is nothing left to decide
        (10, 1, [-1, 0]),
    ],
)
def test_it_is_looked_from_an_hour_before_the_start_to_three_hours_after(
    before_start: float, hours: float, told: list[float]
) -> None:
    plan = scenes.plan(hours=hours)
    found = times_of_sighting(plan, START - before_start * HOUR)
    assert [(time - START) / HOUR for time in found] == told


@dataclass
class NoGoFrom:
    """Judges by the wind alone."""

    wind: float

    def __call__(self, at: datetime, seen: Sighting) -> Any:
        wind = seen.wind.wind or 0.0
        return SimpleNamespace(severity=Severity.NO_GO if wind >= self.wind else Severity.GO)


def numbers(unit: str, no_go_from: float) -> list[float]:
    """Return the winds [m/s] that are entered as a number, without a gust."""
    judge: Any = NoGoFrom(no_go_from)
    found = wind_classes(judge, START, Preferences(wind=unit))
    return [
        one.wind for one in found if one.wind is not None and not one.state and one.gust is None
    ]


def test_in_beaufort_the_last_wind_before_a_worse_verdict_is_the_top_of_its_number() -> None:
    # Beaufort 4 ends below 8.0 m/s, the next number begins there (WMO table of Beaufort).
    found = numbers("Bft", 8.0)
    assert any(7.9 <= wind < 8.0 for wind in found)
    assert not any(8.0 <= wind < 10.7 for wind in found)


def test_in_miles_an_hour_it_is_the_last_whole_number() -> None:
    found = numbers("mph", 6.0)  # 13.4 mph
    assert any(wind == pytest.approx(13 * 0.44704) for wind in found)


# -- what is at least as bad -------------------------------------------------------------------

WINDS = (WindClass(), WindClass(wind=4.0), WindClass(wind=4.0, gust=6.0), WindClass(wind=8.0))
NOT_LOOKED, NORTH, SOUTH, ANY = range(4)
WATERS = (None, 285.0, 280.0)


def worse(before: tuple[int, int, int], after: tuple[int, int, int], entered: bool = True) -> bool:
    """Return whether the second class of wind, direction and water is at least as bad."""
    table = at_least_as_bad(WINDS, 4, WATERS, entered=entered)
    shape = len(WINDS), 4, len(WATERS)
    one, other = (int(np.ravel_multi_index(place, shape)) for place in (before, after))
    return bool(table[one, other])


@pytest.mark.parametrize(
    ("before", "after", "holds"),
    [(0, 1, True), (1, 0, False), (1, 2, True), (2, 1, False), (2, 3, True), (3, 2, False),
     (1, 1, True)],
)  # fmt: skip
def test_more_wind_or_gust_is_at_least_as_bad(before: int, after: int, holds: bool) -> None:
    assert worse((before, NORTH, 1), (after, NORTH, 1)) is holds


@pytest.mark.parametrize(
    ("before", "after", "holds"),
    [(NOT_LOOKED, NORTH, True), (NORTH, NOT_LOOKED, False), (NORTH, SOUTH, False),
     (NORTH, ANY, True), (ANY, NORTH, False), (NOT_LOOKED, ANY, True), (SOUTH, SOUTH, True)],
)  # fmt: skip
def test_a_known_direction_is_at_least_as_bad_and_any_direction_as_each(
    before: int, after: int, holds: bool
) -> None:
    assert worse((1, before, 1), (1, after, 1)) is holds


@pytest.mark.parametrize(
    ("before", "after", "entered", "holds"),
    [(1, 2, True, True), (2, 1, True, False), (0, 1, True, True), (0, 1, False, False),
     (1, 2, False, True), (0, 0, False, True), (1, 0, True, False)],
)  # fmt: skip
def test_colder_water_is_at_least_as_bad_and_measured_water_only_beside_what_was_entered(
    before: int, after: int, entered: bool, holds: bool
) -> None:
    assert worse((1, NORTH, before), (1, NORTH, after), entered) is holds


def test_worse_in_one_respect_and_milder_in_another_is_not_at_least_as_bad() -> None:
    assert not worse((1, NORTH, 2), (3, NORTH, 1))
    assert not worse((3, NORTH, 1), (1, NORTH, 2))


# -- water -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("unit", "last_go"),
    [("F", 283.15 + 2 / 1.8), ("C", 284.15), ("K", 284.0)],  # the next above 10 °C, or 50 °F
)
def test_the_coldest_water_that_is_still_a_go_is_found_in_the_steps_of_its_unit(
    unit: str, last_go: float
) -> None:
    class Judge:
        case = SimpleNamespace(plan=SimpleNamespace(water_temperature=None))

        def __call__(self, at: datetime, seen: Sighting) -> Any:
            assert seen.water is not None
            return SimpleNamespace(severity=Severity(3 * int(seen.water < 283.5)))

    judge: Any = Judge()
    unknown, warmest, coldest = water_classes(judge, START, unit)
    assert unknown is None
    assert warmest == pytest.approx(last_go)
    assert coldest == COLDEST
