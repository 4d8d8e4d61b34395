"""A plane in metres around a launch: azimuthal, equidistant, on the WGS84 ellipsoid."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from safety_check.arrays import FloatArray

if TYPE_CHECKING:
    from pyproj import Proj


def local_rings(
    shoreline: Sequence[FloatArray], longitude: float, latitude: float
) -> tuple[FloatArray, ...]:
    """Project a shoreline onto a plane around a point.

    Parameters
    ----------
    shoreline
        Rings of longitude, latitude, each (vertex, 2); they may cross the antimeridian. [deg]
    longitude, latitude
        The launch, or the middle of the water: the plane's origin. [deg]

    Returns
    -------
    tuple of arrays (vertex, 2)
        Metres east and north of the origin; edges are straight on the plane.

    Notes
    -----
    From the origin, distances and bearings are true. Elsewhere a length across the line of
    sight from the origin is drawn too long, by a share of (distance / Earth's radius)² / 6,
    and north is off by the convergence of the meridians. Measured against geodesics between
    vertices of eighteen lakes, with the origin at the vertex farthest out: waters up to 35 km
    across, lengths within 0.001 % and bearings within 0.3°; up to 160 km, 0.01 % and 0.7°;
    Lake Superior, 600 km, 0.12 % and 6° at its other end. So use a plane around the launch.
    """
    if not len(shoreline):
        return ()
    ends = np.cumsum([len(ring) for ring in shoreline])[:-1]
    return tuple(np.split(to_metres(np.concatenate(shoreline), longitude, latitude), ends))


def to_metres(positions: FloatArray, longitude: float, latitude: float) -> FloatArray:
    """Return positions (point, 2), longitude and latitude, as metres east and north of a point.

    NaN where a position is not finite.
    """
    known = np.isfinite(positions).all(axis=1)
    metres = np.full(positions.shape, np.nan)
    metres[known] = np.column_stack(_plane(longitude, latitude)(*positions[known].T))
    return metres


def to_degrees(points: FloatArray, longitude: float, latitude: float) -> FloatArray:
    """Return points (point, 2) of the plane around a position as longitude and latitude.

    Longitudes from -180 to 180; NaN where a point is not finite.
    """
    known = np.isfinite(points).all(axis=1)
    degrees = np.full(points.shape, np.nan)
    east, north = points[known].T
    degrees[known] = np.column_stack(_plane(longitude, latitude)(east, north, inverse=True))
    return degrees


def _plane(longitude: float, latitude: float) -> Proj:
    from pyproj import Proj

    return Proj(proj="aeqd", lon_0=longitude, lat_0=latitude, datum="WGS84", units="m")
