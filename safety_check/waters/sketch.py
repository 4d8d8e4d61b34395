"""A small map of a water in letters, and places on its shore to choose a ramp from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.physics.fetch import inside
from safety_check.units import compass

COLUMNS = 56
LETTER = 2.0  # a letter of a terminal is about twice as high as wide
MOST_ROWS, FEWEST_ROWS = 22, 3
MARGIN = 0.06  # of the longer side, drawn around what must be seen
PLACES = 9  # so that each has one digit
CLOSER = 2.0  # stretches between two places that the next closer look spans
WATER, LAND = "~", " "


@dataclass(frozen=True)
class ShorePlace:
    """A place on the shore that may be the ramp.

    Parameters
    ----------
    words
        Where it is, for a person.
    latitude, longitude
        [deg]
    """

    words: str
    latitude: float
    longitude: float

    @property
    def at(self) -> str:
        """The place as LAT,LON."""
        return f"{self.latitude:.5f},{self.longitude:.5f}"


@dataclass(frozen=True)
class Sketch:
    """Places on a shore, and a map with their numbers.

    Parameters
    ----------
    places
        Numbered from 1 in this order, along the shore.
    lines
        The map; north is up.
    along, stretch
        Where on the shore each place is, and how much of the shore they share. [m]
    """

    places: tuple[ShorePlace, ...]
    lines: tuple[str, ...]
    along: tuple[float, ...]
    stretch: float


def sketch_shore(
    shoreline: Sequence[FloatArray], closer: tuple[Sketch, int] | None = None
) -> Sketch:
    """Return places evenly along a water's longest shore, with their bearing from its middle.

    Parameters
    ----------
    shoreline
        As `Water.shoreline`. [deg]
    closer
        A sketch, and the number of the place in it around which to look closer.
    """
    import shapely

    from safety_check.waters.projection import local_rings, to_degrees

    corners = np.concatenate(shoreline)
    longitude, latitude = ((corners.min(axis=0) + corners.max(axis=0)) / 2).tolist()
    rings = local_rings(shoreline, longitude, latitude)
    shore = max((shapely.LinearRing(ring) for ring in rings), key=lambda ring: float(ring.length))
    along, stretch = _along(float(shore.length), closer)
    marks = shapely.get_coordinates(shapely.line_interpolate_point(shore, along))
    degrees = to_degrees(marks, longitude, latitude)
    places = tuple(
        ShorePlace(_from_middle(*mark), float(north), float(east))
        for mark, (east, north) in zip(marks.tolist(), degrees, strict=True)
    )
    lines = draw(rings, marks, None if closer is None else marks)
    return Sketch(places, lines, tuple(along.tolist()), stretch)


def _along(length: float, closer: tuple[Sketch, int] | None) -> tuple[FloatArray, float]:
    """Return where on a shore to mark places, and the stretch that they share. [m]."""
    if closer is None:
        return np.arange(PLACES) * length / PLACES, length
    before, number = closer
    stretch = CLOSER * before.stretch / PLACES
    offsets = (np.arange(PLACES) - (PLACES - 1) / 2) * stretch / (PLACES - 1)
    return (before.along[number - 1] + offsets) % length, stretch


def _from_middle(east: float, north: float) -> str:
    bearing = math.degrees(math.atan2(east, north)) % 360
    return f"{_far(math.hypot(east, north))} {compass(bearing)} of the middle"


def draw(
    rings: Sequence[FloatArray],
    marks: Sequence[FloatArray] | FloatArray,
    around: FloatArray | None = None,
) -> tuple[str, ...]:
    """Return a map as lines of letters: water, land, the numbers of places, and its scale.

    Parameters
    ----------
    rings
        Closed, metres east and north of any point.
    marks
        Places, numbered from 1. [m]
    around
        Draw only the surroundings of these places [m]; the whole water by default.
    """
    box = np.concatenate(rings) if around is None else np.array(around)
    low, high = box.min(axis=0), box.max(axis=0)
    wide, tall = high - low
    margin = MARGIN * float(max(wide, tall)) + 1.0
    step = max((wide + 2 * margin) / COLUMNS, (tall + 2 * margin) / (LETTER * MOST_ROWS))
    columns = max(1, math.ceil((wide + 2 * margin) / step))
    rows = max(FEWEST_ROWS, math.ceil((tall + 2 * margin) / (LETTER * step)))
    left, top = (low + high)[0] / 2 - columns * step / 2, (low + high)[1] / 2 + rows * step
    east = left + (np.arange(columns) + 0.5) * step
    north = top - (np.arange(rows) + 0.5) * LETTER * step
    grid = np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2)
    letters = np.where(inside(rings, grid), WATER, LAND).reshape(rows, columns)
    for number, (place_east, place_north) in enumerate(marks, 1):
        column = int(np.clip((place_east - left) / step, 0, columns - 1))
        row = int(np.clip((top - place_north) / (LETTER * step), 0, rows - 1))
        letters[row, column] = str(number)
    scale = f"North is up; the map is {_far(columns * step)} wide."
    drawn = ["".join(line).rstrip() for line in letters.tolist()]
    while drawn and not drawn[0]:
        drawn.pop(0)
    while drawn and not drawn[-1]:
        drawn.pop()
    return (*drawn, scale)


def _far(metres: float) -> str:
    return f"{metres / 1000:.1f} km" if metres >= 1000 else f"{metres:.0f} m"
