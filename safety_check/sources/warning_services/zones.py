"""The zones for which European services warn: which are near a place, and their other codes."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache

from safety_check.settings.folders import shipped_file
from safety_check.settings.outlines import Outlines, read_outlines
from safety_check.sources.warning_services.services import Place

ZONES = "EMMA_ID"  # the codes of the shipped shapes; all other systems are names for them


@cache
def _outlines() -> Outlines:
    return read_outlines(shipped_file("warning_zones.npz"))


@cache
def known_zones() -> frozenset[str]:
    """Return the codes of all zones whose shapes are shipped."""
    return frozenset(map(str, _outlines().names))


@cache
def _aliases() -> Mapping[str, Mapping[str, str]]:
    listed: dict[str, dict[str, str]] = json.loads(
        shipped_file("warning_zones.json").read_text(encoding="utf-8")
    )
    return {system.casefold(): codes for system, codes in listed.items()}


def zones_near(places: Iterable[tuple[Place, float]]) -> frozenset[str]:
    """Return the zones that any of the places is in, or near.

    Parameters
    ----------
    places
        Each with the distance up to which a zone is near it. [m]
    """
    return frozenset(
        zone for place, within in places for zone in _outlines().distances(*place, within)
    )


def zones_named(system: str, code: str) -> frozenset[str]:
    """Return the zones that a code means; empty where their shapes are not shipped.

    Parameters
    ----------
    system
        The system of codes, as a message names it.
    code
        The code.

    Examples
    --------
    >>> sorted(zones_named("EMMA_ID", "DE808")), sorted(zones_named("NUTS3", "FR101"))
    (['DE808'], ['FR101'])
    >>> sorted(zones_named("an unknown system", "1"))
    []
    """
    if system.casefold() == ZONES.casefold():
        return frozenset({code}) & known_zones()
    return frozenset(_aliases().get(system.casefold(), {}).get(code, "").split())
