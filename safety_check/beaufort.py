"""The Beaufort scale as a unit of wind: the forces and their printed bounds.

The bounds are those of WMO-No. 306, Manual on Codes, code table 1100 (forces 0 to 8 as several
printed tables agree, 9 to 12 from memory).
"""

from __future__ import annotations

from bisect import bisect_right

LOWEST = (0.0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
"""Lowest wind of force 0 to 12. [m s⁻¹]"""
STEP = 0.1  # m s-1; the table is printed in tenths, so a force ends a tenth below the next


def force_of(wind_speed: float) -> int:
    """Return the force of a wind. [m s⁻¹].

    Examples
    --------
    >>> force_of(5.4), force_of(5.5), force_of(40.0)
    (3, 4, 12)
    """
    return max(bisect_right(LOWEST, wind_speed) - 1, 0)


def lowest_wind(force: int) -> float:
    """Return the lowest wind of a force. [m s⁻¹]."""
    return LOWEST[force]


def highest_wind(force: int) -> float:
    """Return the highest wind of a force [m s⁻¹]; force 12 has none, so its lowest is returned.

    Examples
    --------
    >>> highest_wind(4), highest_wind(12)
    (7.9, 32.7)
    """
    return round(LOWEST[force + 1] - STEP, 1) if force + 1 < len(LOWEST) else LOWEST[force]
