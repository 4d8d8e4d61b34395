"""A water, its shore and its launches."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from safety_check.arrays import BoolArray, FloatArray
from safety_check.model.water_estimate import EstimateBasis

LOWEST, HIGHEST = -500.0, 9000.0  # m above sea level; no water on Earth lies outside


def is_on_earth(latitude: float, longitude: float) -> bool:
    """Return whether a latitude and a longitude are a place on Earth; NaN is none. [deg].

    Examples
    --------
    >>> is_on_earth(-90, 180), is_on_earth(90.1, 0), is_on_earth(float("nan"), 0)
    (True, False, False)
    """
    return abs(latitude) <= 90 and abs(longitude) <= 180


class WaterKind(StrEnum):
    """Whether a water moves by itself."""

    STILL = "still"
    TIDAL = "tidal"
    FLOWING = "flowing"
    BOTH = "both"


@dataclass(frozen=True)
class Launch:
    """A named point on a water.

    Parameters
    ----------
    name
        What the user calls it.
    latitude, longitude
        WGS84. [deg]
    dries
        The height of the tide at which it falls dry, above the datum of the tide table [m]; None
        where the user has not said that it does.
    """

    name: str
    latitude: float
    longitude: float
    dries: float | None = None


@dataclass(frozen=True)
class FetchTable:
    """Open water by compass direction, for a water without a polygon.

    Parameters
    ----------
    bearing : array (sector,)
        Direction from which the wind blows over that fetch, ascending. [deg true]
    fetch : array (sector,)
        Straight open water upwind of the launch. [m]
    """

    bearing: FloatArray
    fetch: FloatArray


@dataclass(frozen=True)
class LocalRule:
    """What the user learnt of a place: wind there that the forecasts do not show. It only adds.

    Parameters
    ----------
    name
        What it is about, in the user's words.
    wind_added
        To wind and gusts. [m s⁻¹]
    hours
        From which to which minute of the local day, perhaps past midnight; None for all day.
    sector
        The wind's directions, clockwise from the first to the second [deg true]; None for all.
    """

    name: str
    wind_added: float
    hours: tuple[int, int] | None = None
    sector: tuple[float, float] | None = None


@dataclass(frozen=True)
class Water:
    """A lake, reservoir, bay or river reach.

    Parameters
    ----------
    name
        What the user calls it.
    time_zone
        Name in the tz database.
    launches
        Named points at the shore.
    shoreline
        Closed rings of longitude, latitude [deg], each an array (vertex, 2);
        what an odd number of rings enclose is water, so islands are rings too.
        Empty where the water has only a fetch table.
    fetch_table
        Open water by direction where there is no polygon.
    depth
        One depth for the whole water [m]; None where it is not known, and then
        deep water is assumed, which gives the higher wave.
    attribution
        The credit that must be shown wherever the shape is drawn.
    repairs
        What was repaired in the shape when it was added, in words.
    elevation
        Height of the surface above sea level, as the user declares it [m]; None where it is not
        declared.
    estimate
        What the user declared so that its temperature may be estimated; None forbids it.
    rules
        What the user learnt of it.
    drive
        How long the user drives to it [s]; None where that was not said.
    kind
        Whether it moves, as the user says; None where that was not said.
    by_sea
        True where nobody said whether it moves, and the sea is near. Not stored.
    bar
        True where the user marked a bar, race or inlet near the launch.
    dam
        True where the user marked a dam upstream.
    """

    name: str
    time_zone: str
    launches: tuple[Launch, ...]
    shoreline: tuple[FloatArray, ...] = ()
    fetch_table: FetchTable | None = None
    depth: float | None = None
    attribution: str = ""
    repairs: tuple[str, ...] = ()
    elevation: float | None = None
    estimate: EstimateBasis | None = None
    rules: tuple[LocalRule, ...] = ()
    drive: float | None = None
    kind: WaterKind | None = None
    by_sea: bool = False
    bar: bool = False
    dam: bool = False

    @property
    def tidal(self) -> bool:
        """Whether the tide must be known: on tidal water, and by the sea if nobody said."""
        said = self.kind in (WaterKind.TIDAL, WaterKind.BOTH)
        return said or (self.kind is None and (self.by_sea or self.bar))

    @property
    def flowing(self) -> bool:
        """Whether the river must be known: where it flows, and below a dam if nobody said."""
        said = self.kind in (WaterKind.FLOWING, WaterKind.BOTH)
        return said or (self.kind is None and self.dam)

    @property
    def moves(self) -> bool:
        """Whether anything must be known of its movement."""
        return self.tidal or self.flowing


@dataclass(frozen=True)
class Frame:
    """A rectangle on a plane, in metres, its sides towards the four winds."""

    west: float
    south: float
    east: float
    north: float

    @property
    def lowest(self) -> FloatArray:
        """Its south-west corner, array (2,) [m]."""
        return np.array([self.west, self.south])

    @property
    def highest(self) -> FloatArray:
        """Its north-east corner, array (2,) [m]."""
        return np.array([self.east, self.north])


@dataclass(frozen=True)
class WholeWater:
    """A whole water, or its part in a frame, by places of a square lattice.

    Metres east and north of its middle; of the launch, where it is a part.

    Parameters
    ----------
    origin
        Longitude and latitude of the plane's origin. [deg]
    spacing
        Between neighbours. [m]
    points : array (point, 2)
        Places on the water, whole spacings apart. [m]
    bearings : array (bearing,)
        Directions from which a wind may blow, evenly spread from 0. [deg true]
    fetch : array (bearing, point)
        Straight open water upwind of each place. [m]
    smoothed : array (bearing, point)
        The same, each the mean over fifteen degrees. [m]
    depth
        One depth for the whole water [m]; infinite where it is not known.
    launch : array (2,) or None
        Where the trip starts; None without one. [m]
    frame
        The part of the water that it is; None for all of it. Places lie a little beyond it too.
    """

    origin: tuple[float, float]
    spacing: float
    points: FloatArray
    bearings: FloatArray
    fetch: FloatArray
    smoothed: FloatArray
    depth: float
    launch: FloatArray | None = None
    frame: Frame | None = None


@dataclass(frozen=True)
class OpenWater:
    """The open water around a launch, for wind and waves; metres east and north of the launch.

    Parameters
    ----------
    points : array (point, 2)
        Places that the trip may reach, the launch first. [m]
    bearings : array (bearing,)
        Directions from which a wind may blow, ascending from 0. [deg true]
    fetch : array (bearing, point)
        Straight open water upwind of each point. [m]
    radials : array (360, point)
        The same by whole degree, each the mean over fifteen. [m]
    distance_from_shore : array (point,)
        To the nearest shore; NaN where no shoreline is known. [m]
    rings
        The shoreline, closed rings of (vertex, 2); empty without one. [m]
    depth
        One depth for the whole water [m]; infinite where it is not known.
    whole
        All of the water, for the lee; None where no shoreline is known.
    near
        Its part around the trip, closer together; None where that is nearly all of it, or was
        not asked for.

    Notes
    -----
    The waters of many sites are one with the sites as the first axis of each array. Sites with
    fewer points than others repeat the launch, at a place that is NaN; the depth is an array, too.
    """

    points: FloatArray
    bearings: FloatArray
    fetch: FloatArray
    radials: FloatArray
    distance_from_shore: FloatArray
    rings: tuple[FloatArray, ...]
    depth: float
    whole: WholeWater | None = None
    near: WholeWater | None = None

    @property
    def places(self) -> BoolArray:
        """Which points are places, not repetitions, (..., point)."""
        known: BoolArray = ~np.isnan(self.points[..., 0])
        return known
