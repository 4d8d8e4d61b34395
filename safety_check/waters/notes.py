"""Read what the user says of a water from its file: local rules, and the drive to it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from safety_check.model.place import LocalRule

DAY = 24 * 60  # minutes


def read_rules(own: Mapping[str, Any]) -> tuple[LocalRule, ...]:
    """Return the rules in a water's file.

    Raises
    ------
    LookupError, TypeError, ValueError
        Where one is damaged: a lost rule could permit what it forbids.
    """
    return tuple(map(_rule, own.get("rules", ())))


def _rule(said: Any) -> LocalRule:
    added, hours, sector = float(said["wind_added"]), said["hours"], said["sector"]
    if not (math.isfinite(added) and added > 0 and str(said["name"]).strip()):
        raise ValueError(f"rules: wind_added = {added!r}")
    return LocalRule(
        name=str(said["name"]),
        wind_added=added,
        hours=None if hours is None else (_minute(hours[0]), _minute(hours[1])),
        sector=None if sector is None else (_bearing(sector[0]), _bearing(sector[1])),
    )


def _minute(said: Any) -> int:
    if not 0 <= int(said) <= DAY:
        raise ValueError(f"rules: minute {said!r} of a day")
    return int(said)


def _bearing(said: Any) -> float:
    if not 0 <= float(said) <= 360:
        raise ValueError(f"rules: direction {said!r}")
    return float(said)


def read_drive(own: Mapping[str, Any]) -> float | None:
    """Return how long the drive to a water is [s]; None where that was not said."""
    said = own.get("drive_s")
    if said is not None and not 0 <= float(said) < math.inf:
        raise ValueError(f"drive_s = {said!r}")
    return None if said is None else float(said)
