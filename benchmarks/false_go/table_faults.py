"""Faults of a table of text with two header lines, as the buoys have it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from benchmarks.false_go.dangers import Danger
from benchmarks.false_go.fault import Fault
from tests.sources.fake_server import Reply

NO_NUMBERS = ("MM", "x", "nan", "inf", "-9999", "99.0", "999", "-", "1e9")
PLACE = ("LAT", "LON")
# A longitude like any other: whether a station was there or here, no answer can show.
ON_EARTH = ("LON", "99.0")
Row = list[str]
Change = Callable[[list[Row]], list[Row]]


def list_table_faults(danger: Danger, path: str) -> Iterator[Fault]:
    """Yield the faults of one table of a danger, in the same column of every row."""
    names = danger.replies[path].body.decode().split("\n")[0].lstrip("#").split()
    for at, name in enumerate(names):
        if danger.whole or name in danger.keys:
            yield from _in_column(at, name)
    if danger.whole:
        yield _table("rows", "rows one field short", _each_row(lambda row: row[:-1]))
        yield _table("rows", "rows one field long", _each_row(lambda row: [*row, "MM"]))
        yield _table("rows", "no rows", lambda lines: lines[:2])
        yield _table("rows", "no head", lambda lines: lines[2:])
        yield _table("rows", "one head line", lambda lines: [lines[0], *lines[2:]])
        day = names.index("DD")
        for what, text in (("a day old", "12"), ("tomorrow", "14"), ("no day", "32")):
            yield _cell("age", day, what, text)


def _in_column(at: int, name: str) -> Iterator[Fault]:
    for word in (word for word in NO_NUMBERS if (name, word) != ON_EARTH):
        kind = "place" if name in PLACE else "unreadable value"
        yield _cell(kind, at, name, word)
    if name in PLACE:
        yield _cell("place", at, name, "N41.967")
    yield _head("key renamed", at, name, 0, f"{name}N")
    yield _head("unit", at, name, 1, "furlong")
    yield _table("key gone", f"{name} without its column", _drop_column(at))


def _table(kind: str, what: str, change: Change) -> Fault:
    def spoil(reply: Reply) -> Reply:
        lines = [line.split() for line in reply.body.decode().splitlines()]
        text = "\n".join(" ".join(line) for line in change(lines)) + "\n"
        return replace(reply, body=text.encode())

    return Fault(kind, what, spoil)


def _each_row(change: Callable[[Row], Row]) -> Change:
    return lambda lines: [*lines[:2], *map(change, lines[2:])]


def _cell(kind: str, at: int, name: str, word: str) -> Fault:
    change = _each_row(lambda row: [*row[:at], word, *row[at + 1 :]])
    return _table(kind, f"{name} = {word!r}", change)


def _head(kind: str, at: int, name: str, line: int, word: str) -> Fault:
    def change(lines: list[Row]) -> list[Row]:
        mark = "#" if at == 0 else ""
        head = [*lines[line][:at], mark + word, *lines[line][at + 1 :]]
        return [*lines[:line], head, *lines[line + 1 :]]

    return _table(kind, f"{name}: head says {word}", change)


def _drop_column(at: int) -> Change:
    def change(lines: list[Row]) -> list[Row]:
        rows = [[*row[:at], *row[at + 1 :]] for row in lines]
        for head in rows[:2]:
            head[0] = "#" + head[0].removeprefix("#")
        return rows

    return change
