"""Faults of the hourly columns of Open-Meteo."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from benchmarks.false_go.dangers import Danger
from benchmarks.false_go.fault import Fault, change_document

TRIP = slice(38, 44)  # the rows that the trip touches, with those before and after it
Column = list[Any]
Change = Callable[[Column], Any]
Names = tuple[str, ...]


def _in_trip(column: Column, value: Any) -> Column:
    return [*column[: TRIP.start], *[value] * (TRIP.stop - TRIP.start), *column[TRIP.stop :]]


NULL, ROWS = "null column", "rows"
UNREADABLE, IMPOSSIBLE = "unreadable value", "impossible value"
COLUMN_FAULTS: dict[str, tuple[str, Change]] = {
    "all null": (NULL, lambda column: [None] * len(column)),
    "null during the trip": (NULL, lambda column: _in_trip(column, None)),
    "one null": (NULL, lambda column: [*column[:40], None, *column[41:]]),
    "null": (NULL, lambda _: None),
    "empty": (ROWS, lambda _: []),
    "one short": (ROWS, lambda column: column[:-1]),
    "one long": (ROWS, lambda column: [*column, column[-1]]),
    "nested": (ROWS, lambda column: [[value] for value in column]),
    "a number": (ROWS, lambda column: column[0]),
    "x": (UNREADABLE, lambda column: ["x"] * len(column)),
    "x during the trip": (UNREADABLE, lambda column: _in_trip(column, "x")),
    "true": (UNREADABLE, lambda column: [True] * len(column)),
    "NaN": (IMPOSSIBLE, lambda column: [float("nan")] * len(column)),
    "Infinity": (IMPOSSIBLE, lambda column: [float("inf")] * len(column)),
    "-9999": (IMPOSSIBLE, lambda column: [-9999] * len(column)),
    "-9999 during the trip": (IMPOSSIBLE, lambda column: _in_trip(column, -9999)),
    "with its unit": (UNREADABLE, lambda column: [f"{value} m/s" for value in column]),
    "as a list": (UNREADABLE, lambda column: [column] * len(column)),
    "beyond all numbers": (IMPOSSIBLE, lambda column: [10**400] * len(column)),
    "-9999 as text": (IMPOSSIBLE, lambda column: ["-9999"] * len(column)),
}
# A sea model gives nothing but null where it has no sea: that is an answer and not a fault.
NO_SEA = {("open_meteo_marine", "all null")}
TIME_FAULTS: dict[str, Change] = {
    "ten days ago": lambda time: [second - 864_000 for second in time],
    "a year ago": lambda time: [second - 31_536_000 for second in time],
    "in milliseconds": lambda time: [second * 1000 for second in time],
    "half hours": lambda time: [second + 1800 for second in time],
    "one short": lambda time: time[:-1],
    "all the same": lambda time: [time[0]] * len(time),
    "null": lambda time: [None] * len(time),
    "a year ahead": lambda time: [second + 31_536_000 for second in time],
    "as text without a zone": lambda time: [f"{second}" for second in time],
}
CUTS: dict[str, Change] = {
    "ends before the trip": lambda column: column[: TRIP.start],
    "begins after the trip": lambda column: column[TRIP.stop :],
    "has every other hour": lambda column: column[::2],
    "has one hour": lambda column: column[:1],
    "has no hour": lambda column: [],
}


def list_column_faults(danger: Danger, good: Any) -> Iterator[Fault]:
    """Yield faults of the columns that carry a danger, in all of them at once."""
    for what, (kind, change) in COLUMN_FAULTS.items():
        if (danger.service, what) not in NO_SEA:
            yield _columns(kind, what, danger.keys, change)
    for unit in ("furlong", "undefined", None):
        yield _units(f"unit {unit!r}", danger.keys, unit)
    yield _without("columns removed", danger.keys)
    yield _without("columns renamed", danger.keys, "renamed_")
    if danger.whole:
        yield from _whole_model(danger, good)
        for what, change in TIME_FAULTS.items():
            yield _columns("age", what, ("time",), change)
        for days in (1, 5):
            yield _stored_on_the_way(days)
        for what, change in CUTS.items():
            yield _columns(ROWS, what, tuple(good["hourly"]), change)


def _whole_model(danger: Danger, good: Any) -> Iterator[Fault]:
    """Yield faults of all columns of the danger's model."""
    model = danger.keys[0].partition("10m_")[2]
    columns = tuple(column for column in good["hourly"] if model and column.endswith(model))
    if columns:
        yield _columns(NULL, "whole model null", columns, lambda column: [None] * len(column))
        yield _without("whole model removed", columns)


def _columns(kind: str, what: str, names: Names, change: Change) -> Fault:
    def spoil(document: Any) -> None:
        for name in names:
            document["hourly"][name] = change(document["hourly"][name])

    return change_document(kind, f"{names[0]}: {what}", spoil)


def _stored_on_the_way(days: int) -> Fault:
    """Return an old answer that still reaches over the trip, in which the day is calm."""

    def spoil(document: Any) -> None:
        rows = document["hourly"]
        first, size = rows["time"][0] - days * 86_400, len(rows["time"]) + days * 24
        for name, column in rows.items():
            rows[name] = [column[0]] * size
        rows["time"] = [first + 3600 * hour for hour in range(size)]

    return change_document("age", f"an answer of {days} days before", spoil)


def _units(what: str, names: Names, unit: Any) -> Fault:
    def spoil(document: Any) -> None:
        document["hourly_units"] |= dict.fromkeys(names, unit)

    return change_document("unit", f"{names[0]}: {what}", spoil)


def _without(what: str, names: Names, prefix: str = "") -> Fault:
    def spoil(document: Any) -> None:
        for table in (document["hourly"], document["hourly_units"]):
            for name in names:
                value = table.pop(name, None)
                if prefix:
                    table[prefix + name] = value

    return change_document("column gone", f"{names[0]}: {what}", spoil)
