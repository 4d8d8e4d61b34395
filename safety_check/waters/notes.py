"""Read from a water's file what the user says about it: local rules, and the drive to it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from safety_check.model.place import LocalRule
from safety_check.waters.geojson import require_text

DAY = 24 * 60  # minutes
LONGEST_DRIVE = 24 * 3600.0  # s


def read_rules(own: Mapping[str, Any]) -> tuple[LocalRule, ...]:
    """Return the rules in a water's file.

    Raises
    ------
    LookupError, TypeError, ValueError
        Where one is damaged: without it a check could be too mild.
    """
    return tuple(map(_rule, own.get("rules", ())))


def _rule(table: Any) -> LocalRule:
    added, hours, sector = float(table["wind_added"]), table["hours"], table["sector"]
    name = require_text(table["name"])
    if not (math.isfinite(added) and added > 0 and name.strip()):
        raise ValueError(f"rules: wind_added = {added!r}")
    return LocalRule(
        name=name,
        wind_added=added,
        hours=None if hours is None else (_minute(hours[0]), _minute(hours[1])),
        sector=None if sector is None else (_bearing(sector[0]), _bearing(sector[1])),
    )


def _minute(value: Any) -> int:
    if not 0 <= int(value) <= DAY:
        raise ValueError(f"rules: minute {value!r} of a day")
    return int(value)


def _bearing(value: Any) -> float:
    if not 0 <= float(value) <= 360:
        raise ValueError(f"rules: direction {value!r}")
    return float(value)


def read_drive(own: Mapping[str, Any]) -> float | None:
    """Return how long the drive to a water is [s]; None where it was not said."""
    value = own.get("drive_s")
    if value is not None and not 0 <= float(value) <= LONGEST_DRIVE:
        raise ValueError(f"drive_s = {value!r}")
    return None if value is None else float(value)
