"""Faults of a JSON answer: keys, values, units, times and places.

They go through the answer itself, so that a new field of a fake is damaged too.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from benchmarks.false_go import dangers
from benchmarks.false_go.column_faults import list_column_faults
from benchmarks.false_go.dangers import Danger
from benchmarks.false_go.fault import Fault, change_document

Key = str | int
Path = tuple[Key, ...]

UNREADABLE: tuple[Any, ...] = (None, "x", "", True, [], {}, "\x1b[2J")
IMPOSSIBLE: tuple[Any, ...] = (float("nan"), float("inf"), -9999, -999999.0, 1e30, "-9999")
AGES = {
    "1970": "1970-01-01T00:00:00+00:00",
    "a day old": "2026-06-12T12:00:00+00:00",
    "a year old": "2025-06-13T13:58:00+00:00",
    "tomorrow": "2026-06-14T15:00:00+00:00",
    "no time": "soon",
}
UNIT_KEYS = ("uom", "unitCode", "unit_of_measure")
TIME_KEYS = ("updated", "updateTime", "timestamp", "time", "t", "dateTime")
PLACE_KEYS = ("lat", "lng", "latitude", "longitude")
# A station without a report for two days counts as out of service, which is right.
OUT_OF_SERVICE = ("1970", "a year old")
STATIONS = (dangers.LATEST, dangers.TIDE, dangers.GAUGES, dangers.OLDER_GAUGES)
# What a service documents as its way to answer that nothing is there or in force.
OLDER_SENSOR: Path = ("value", "timeSeries", 0, "values", 0, "value")
SAYS_NOTHING: tuple[tuple[str, Path, Any], ...] = (
    (dangers.ALERTS, ("features",), []),
    (dangers.GRID, ("properties", "waveHeight", "values"), []),
    (dangers.GRID, ("properties", "probabilityOfThunder", "values"), []),
    (dangers.GAUGES, ("features",), []),
    (dangers.OLDER_GAUGES, ("value", "timeSeries"), []),
    (dangers.OLDER_GAUGES, OLDER_SENSOR, []),
    (dangers.OLDER_GAUGES, (*OLDER_SENSOR, 0, "value"), -999999.0),
)


OF_THE_AIR = ("frost", "heat")


def list_json_faults(danger: Danger, path: str) -> Iterator[Fault]:
    """Yield the faults of one JSON answer of a danger."""
    good = json.loads(danger.replies[path].body)
    if "hourly" in good:
        yield from list_column_faults(danger, good)
        header = {key: value for key, value in good.items() if not key.startswith("hourly")}
        places = [*_places(header), ("hourly_units",), ("hourly",), ("hourly", "time")]
    else:
        places = list(_places(good))
    for place in places:
        if danger.whole or _carries(danger, place):
            yield from _faults_at(path, good, place)


def _carries(danger: Danger, place: Path) -> bool:
    """Return whether a part of an answer carries a danger; a temperature rests on its height."""
    height = "elevation" in place and danger.hazard in OF_THE_AIR
    return height or any(key in place for key in danger.keys)


def _places(part: Any, here: Path = ()) -> Iterator[Path]:
    """Yield the way to every part of a document, in a list only to its first entry."""
    if here:
        yield here
    if isinstance(part, dict):
        for key, value in part.items():
            yield from _places(value, (*here, key))
    elif isinstance(part, list) and part:
        yield from _places(part[0], (*here, 0))


def _faults_at(path: str, good: Any, place: Path) -> Iterator[Fault]:
    value = _get(good, place)
    if isinstance(place[-1], str):
        yield _change("key gone", f"{_name(place)} removed", place, _remove)
        yield _change("key renamed", f"{_name(place)} renamed", place, _rename)
    for other in _differing(UNREADABLE, value):
        if (path, place, other) not in SAYS_NOTHING:
            yield _set("unreadable value", place, other)
    for other in _differing(IMPOSSIBLE, value) if not isinstance(value, dict | list) else ():
        if (path, place, other) not in SAYS_NOTHING:
            yield _set("impossible value", place, other)
    yield from _in_wrong_units(place, value)
    yield from _at_wrong_times(path, place, value)
    yield from _elsewhere(good, place, value)


def _differing(others: Iterable[Any], value: Any) -> list[Any]:
    """Return those of some values that are another value, so that a fault changes something."""
    return [other for other in others if json.dumps(other) != json.dumps(value)]


def _in_wrong_units(place: Path, value: Any) -> Iterator[Fault]:
    units = ("furlong", "wmoUnit:kt", "K") if place[-1] in UNIT_KEYS else ()
    for unit in _differing(units, value):
        yield _set("unit", place, unit)


def _at_wrong_times(path: str, place: Path, value: Any) -> Iterator[Fault]:
    if place[-1] in ("onset", "ends"):
        for when in ("1970-01-01T00:00:00+00:00", "2062-06-13T14:00:00+00:00", "soon"):
            yield _set("age", place, when)
    if place[-1] in TIME_KEYS and isinstance(value, str):
        for age, text in AGES.items():
            if path not in STATIONS or age not in OUT_OF_SERVICE:
                yield _set("age", place, text)


def _elsewhere(good: Any, place: Path, value: Any) -> Iterator[Fault]:
    wrong: list[Any] = []
    if place[-1] == "coordinates":
        wrong = [["N41.967", "W87.9"], value[::-1], [None, None], [999, 999], value[:1]]
    elif place[-1] == "geometry" and "validTimes" in good.get("properties", {}):
        wrong = [_moved(value, by) for by in (0.5, 30.0)]
    elif place[-1] == "elevation" or place[-2:] == ("elevation", "value"):
        wrong = [3000.0, -400.0, 8999.0]
    elif place[-1] in PLACE_KEYS:
        wrong = ["N41.967", 200.0]
        wrong += [12.5, 76.0, -44.9] if "hourly" in good else []
    for other in _differing(wrong, value):
        yield _set("place", place, other)


def _moved(outline: Any, degrees: float) -> Any:
    """Return the outline of a grid cell farther north."""
    [corners] = outline["coordinates"]
    moved = [[east, north + degrees] for east, north in corners]
    return outline | {"coordinates": [moved]}


def _get(part: Any, place: Path) -> Any:
    for key in place:
        part = part[key]
    return part


def _name(place: Path) -> str:
    return ".".join(map(str, place))


def _set(kind: str, place: Path, value: Any) -> Fault:
    def change(holder: Any, key: Key) -> None:
        holder[key] = value

    return _change(kind, f"{_name(place)} = {value!r}", place, change)


def _change(kind: str, what: str, place: Path, change: Callable[[Any, Key], None]) -> Fault:
    return change_document(
        kind, what, lambda document: change(_get(document, place[:-1]), place[-1])
    )


def _remove(holder: Any, key: Key) -> None:
    del holder[key]


def _rename(holder: Any, key: Key) -> None:
    holder[f"{key}New"] = holder.pop(key)
