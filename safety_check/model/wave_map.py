"""The sea on a water as a map shows it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

import numpy as np

from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.model.advice import Drift
from safety_check.model.place import Frame, Launch, Water, WholeWater


@dataclass(frozen=True)
class MapGrid:
    """What every map of a water shares, metres east and north of the water's middle.

    Parameters
    ----------
    water
        Its name, its time zone and the credit for its shape.
    whole
        Its grid of places, and the open water around each.
    radials : array (360, point)
        Open water by whole degree at every place. [m]
    rings
        The shoreline, closed rings of (vertex, 2). [m]
    launches
        Each with its place, array (2,); for a trip its own launch first. [m]
    reach
        How far a trip goes from its launch [m]; None without one.
    route : array (point, 2) or None
        The way out, its launch first. [m]
    on_trip : array (place,) of bool
        At which places the trip may be; None for all of them.
    sheltered : array (place,) of bool
        The lee of all the trip, as the verdict's words speak of it; None where it is not known.
    """

    water: Water
    whole: WholeWater
    radials: FloatArray
    rings: tuple[FloatArray, ...]
    launches: tuple[tuple[Launch, FloatArray], ...]
    reach: float | None = None
    route: FloatArray | None = None
    on_trip: BoolArray | None = None
    sheltered: BoolArray | None = None

    @property
    def frame(self) -> Frame:
        """The part of the plane that a map shows."""
        if self.whole.frame is not None:
            return self.whole.frame
        shore = np.concatenate(self.rings)
        return Frame(*shore.min(axis=0).tolist(), *shore.max(axis=0).tolist())

    @cached_property
    def cells(self) -> tuple[IntArray, IntArray]:
        """Row from the south and column from the west of every place on the grid."""
        steps = (self.whole.points - self.whole.points.min(axis=0)) / self.whole.spacing
        column, row = np.rint(steps).astype(np.int64).T
        return row, column

    def on_grid(self, values: FloatArray) -> FloatArray:
        """Lay values of the places on a grid (row, column), south-west first; NaN off them."""
        row, column = self.cells
        grid = np.full((row.max() + 1, column.max() + 1), np.nan)
        grid[row, column] = values
        return grid

    @property
    def corner(self) -> FloatArray:
        """The middle of the grid's south-west cell, array (2,) [m]."""
        lowest: FloatArray = self.whole.points.min(axis=0)
        return lowest


@dataclass(frozen=True)
class WaveMap:
    """The sea on a water.

    Parameters
    ----------
    grid
        The water.
    height : array (point,)
        Significant wave height at each place of the grid; NaN where it is not known. [m]
    wind_speed, wind_from_direction
        The wind that raises it; NaN where it is not known. [m s⁻¹, deg true]
    caution, no_go
        Heights at which the craft's caution starts and its limit lies; infinite where there
        is none. [m]
    time
        Start of the hour, UTC; None for a wind of no particular hour.
    drifts
        Where a disabled craft and a swimmer go from this hour on. [m east and north of the launch]
    in_trip
        Whether the hour is one of the trip's.
    """

    grid: MapGrid
    height: FloatArray
    wind_speed: float
    wind_from_direction: float
    caution: float = np.inf
    no_go: float = np.inf
    time: datetime | None = None
    drifts: tuple[Drift, ...] = ()
    in_trip: bool = True

    @property
    def worst(self) -> int:
        """The place with the highest waves among those where the trip may be."""
        there = self.grid.on_trip
        height = self.height if there is None else np.where(there, self.height, -1.0)
        return int(np.argmax(height))


@dataclass(frozen=True)
class TripMaps:
    """The maps of the hours around a trip.

    Parameters
    ----------
    near
        One for each hour, around the trip; none where the water has no shoreline.
    whole
        The whole water at the same hours, of a long plan at the first of the trip; none where
        the maps around the trip show it already.
    """

    near: tuple[WaveMap, ...] = ()
    whole: tuple[WaveMap, ...] = ()
