"""Count a measurement once where two services report it: an aerodrome's, for example."""

from __future__ import annotations

import re
from collections.abc import Iterable

from safety_check.model.weather import Observation

_LETTERS = re.compile(r"[A-Z][A-Z0-9]{3}(?!\S)")  # an aerodrome's place indicator (ICAO)
_Key = tuple[str, str, object]


def count_once(observations: Iterable[Observation]) -> tuple[Observation, ...]:
    """Return the observations without those that another service of the same station repeats.

    The same station, quantity and minute is one measurement. Of two different values the higher
    is kept, because it is the more cautious wind. Several sensors that one service reports for a
    station all stay, and so do reports of different minutes: an earlier gust still counts.
    """
    kept: dict[_Key, list[Observation]] = {}
    for seen in observations:
        key = _key(seen)
        same = kept.setdefault(key, [])
        other = next((old for old in same if _source(old) != _source(seen)), None)
        if other is None or not key[0]:
            same.append(seen)
        elif seen.value > max(old.value for old in same):
            kept[key] = [seen]
    return tuple(seen for same in kept.values() for seen in same)


def _key(seen: Observation) -> _Key:
    """Return what makes a measurement the same one; the letters are empty for other stations."""
    found = _LETTERS.match(seen.station)
    minute = seen.time.replace(second=0, microsecond=0)
    return (found[0] if found else "", seen.quantity, minute)


def _source(seen: Observation) -> str:
    return seen.provenance.source
