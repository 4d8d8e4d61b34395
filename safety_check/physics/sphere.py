"""Distance between two places on the Earth, for thresholds of kilometres."""

from __future__ import annotations

import math

EARTH_RADIUS = 6_371_008.8
"""Mean radius of the WGS 84 ellipsoid, (2a + b) / 3. [m]"""


def great_circle_distance(
    latitude: float, longitude: float, other_latitude: float, other_longitude: float
) -> float:
    """Return the distance between two places over a sphere. [m].

    Parameters
    ----------
    latitude, longitude, other_latitude, other_longitude
        [deg]

    Returns
    -------
    float
        Within 0.6 % of the distance over the WGS 84 ellipsoid; NaN where an argument is.

    Notes
    -----
    Good for holding a station or a grid point against a limit of kilometres, without loading
    a geodesy library. Shorelines are projected on the ellipsoid.

    References
    ----------
    .. [Sinnott1984] Sinnott, Virtues of the haversine, Sky and Telescope 68(2), 1984 (from
       memory, not read).

    Examples
    --------
    >>> round(great_circle_distance(0.0, 0.0, 0.0, 1.0))
    111195
    """
    north, other_north = math.radians(latitude), math.radians(other_latitude)
    half_north = (other_north - north) / 2
    half_east = math.radians(other_longitude - longitude) / 2
    chord = (
        math.sin(half_north) ** 2
        + math.cos(north) * math.cos(other_north) * math.sin(half_east) ** 2
    )
    return 2 * EARTH_RADIUS * math.asin(math.sqrt(min(chord, 1.0)))
