"""Places on the shore to choose a ramp from, and a small map in letters."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from safety_check.model.place import Launch
from safety_check.waters.launches import require_launch_at_shore
from safety_check.waters.sketch import COLUMNS, MOST_ROWS, WATER, draw, sketch_shore
from tests.properties import cases

LAKE = np.array([[-99.65, 44.88], [-99.60, 44.88], [-99.60, 44.92], [-99.65, 44.92],
                 [-99.65, 44.88]])  # fmt: skip
ISLAND = np.array([[-99.63, 44.89], [-99.62, 44.89], [-99.62, 44.90], [-99.63, 44.89]])


@given(number=st.integers(1, 9), closer=st.lists(st.integers(1, 9), max_size=4))
@cases(20)
def test_every_offered_place_is_a_launch_at_the_shore(number: int, closer: list[int]) -> None:
    sketch = sketch_shore((LAKE, ISLAND))
    for near in closer:
        sketch = sketch_shore((LAKE, ISLAND), (sketch, near))
    place = sketch.places[number - 1]
    require_launch_at_shore(Launch("ramp", place.latitude, place.longitude), (LAKE, ISLAND), "x")


def test_a_closer_look_lies_around_the_place_and_halves_the_gaps() -> None:
    whole = sketch_shore((LAKE,))
    near = sketch_shore((LAKE,), (whole, 3))
    assert near.stretch < whole.stretch / 4
    middle = near.places[4]
    assert middle.at == whole.places[2].at


def test_the_map_shows_each_number_once_and_fits_a_terminal() -> None:
    sketch = sketch_shore((LAKE, ISLAND))
    drawn = "\n".join(sketch.lines[:-1])
    assert [drawn.count(str(number)) for number in range(1, 10)] == [1] * 9
    assert all(len(line) <= COLUMNS for line in sketch.lines[:-1])
    assert len(sketch.lines) <= MOST_ROWS + 1
    assert WATER in drawn
    assert sketch.lines[-1].startswith("North is up; the map is")
    assert [place.words.split()[-1] for place in sketch.places] == ["middle"] * 9


def test_north_is_up_and_east_is_right() -> None:
    square = np.array([[0.0, 0], [1000, 0], [1000, 1000], [0, 1000], [0, 0]])
    lines = draw([square], np.array([[0.0, 1000.0], [1000.0, 0.0]]))
    rows = [row for row, line in enumerate(lines[:-1]) if "1" in line or "2" in line]
    upper, lower = lines[rows[0]], lines[rows[-1]]
    assert "1" in upper
    assert "2" in lower
    assert upper.index("1") < lower.index("2")
