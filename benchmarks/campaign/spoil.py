"""Spoil recorded answers: bytes, numbers, times, units, and the shape of JSON."""

from __future__ import annotations

import copy
import json
import random
import re
from collections.abc import Callable
from typing import Any

TELLING: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1e308, -1e308, 10**30, 1e-320, float("nan"), float("inf")),
    *("", " ", "MM", "NaN", "-999999", "1e999", "P", "2024-02-30T00:00:00Z", "0001-01-01T00:00Z"),
    *("9999-12-31T23:59:59Z/P9W", "\x1b[2J", "\u202e", "\x00", "é" * 300),
    *([], {}, [[]], [None], {"": None}),
)
NUMBERS = (b"-999999", b"1e308", b"NaN", b"inf", b"-0", b"", b"9" * 400, b"0x10", b"1,5")
TIME = re.compile(rb"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(?::\d\d)?(?:Z|[+-]\d\d:?\d\d)?")
NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
UNIT = re.compile(
    rb"km/h|m/s|mph|mp/h|kn|wmoUnit:\w+|ft|meters?|cfs|ft3/s|mm|inch|hPa|degC|\xc2\xb0[CF]"
)
UNITS = (
    *(b"km/h", b"m/s", b"mph", b"kn", b"wmoUnit:degF", b"wmoUnit:m_s-1"),
    *(b"ft", b"m", b"K", b"", b"?"),
)
ENCODINGS = ("utf-16", "utf-32-le", "cp1252", "utf-8-sig")
DEEP = b"[" * 3000


def spoil(body: bytes, chance: random.Random) -> tuple[bytes, str]:
    """Return an answer with one to three faults, and their names."""
    done = []
    for _ in range(chance.randint(1, 3)):
        kind = chance.choice(KINDS)
        body = kind(body, chance)
        done.append(kind.__name__.lstrip("_"))
    return body, ", ".join(done)


def _flip(body: bytes, chance: random.Random) -> bytes:
    changed = bytearray(body)
    for _ in range(chance.randint(1, 4)):
        if changed:
            changed[chance.randrange(len(changed))] = chance.randrange(256)
    return bytes(changed)


def _cut_off(body: bytes, chance: random.Random) -> bytes:
    return body[: chance.randint(0, len(body))]


def _lose_a_part(body: bytes, chance: random.Random) -> bytes:
    begin, end = sorted(chance.randint(0, len(body)) for _ in range(2))
    return body[:begin] + body[min(end, begin + 200) :]


def _repeat_a_part(body: bytes, chance: random.Random) -> bytes:
    begin, end = sorted(chance.randint(0, len(body)) for _ in range(2))
    return body[:end] + body[begin : min(end, begin + 2000)] + body[end:]


def _change_lines(body: bytes, chance: random.Random) -> bytes:
    lines = body.splitlines(keepends=True)
    if len(lines) < 2:
        return body
    one, other = (chance.randrange(len(lines)) for _ in range(2))
    if chance.random() < 0.5:
        lines[one], lines[other] = lines[other], lines[one]
    else:
        del lines[one]
    return b"".join(lines)


def _change_number(body: bytes, chance: random.Random) -> bytes:
    return _change_match(NUMBER, lambda _: chance.choice(NUMBERS), body, chance)


def _change_time(body: bytes, chance: random.Random) -> bytes:
    def other(was: bytes) -> bytes:
        year = b"%04d" % chance.choice((1, 1969, 2038, 2999, 9999))
        return chance.choice((year + was[4:], was[:16], was[:10], b"", was + b"+99:99", was[::-1]))

    return _change_match(TIME, other, body, chance)


def _change_unit(body: bytes, chance: random.Random) -> bytes:
    return _change_match(UNIT, lambda _: chance.choice(UNITS), body, chance)


def _change_match(
    pattern: re.Pattern[bytes],
    other: Callable[[bytes], bytes],
    body: bytes,
    chance: random.Random,
) -> bytes:
    found = list(pattern.finditer(body))
    if not found:
        return body
    one = chance.choice(found)
    return body[: one.start()] + other(one.group()) + body[one.end() :]


def _encode_otherwise(body: bytes, chance: random.Random) -> bytes:
    text = body.decode("utf-8", "replace")
    return text.encode(chance.choice(ENCODINGS), "replace")


def _nest_deeply(body: bytes, chance: random.Random) -> bytes:
    place = chance.randint(0, len(body))
    return body[:place] + DEEP + body[place:]


def _change_shape(body: bytes, chance: random.Random) -> bytes:
    """Lose, repeat, replace or reorder a part of a JSON document; other bodies stay."""
    try:
        document = copy.deepcopy(json.loads(body))
    except (ValueError, RecursionError):
        return body
    return json.dumps(_changed_part(document, chance)).encode()


def _changed_part(part: Any, chance: random.Random) -> Any:
    if not part or not isinstance(part, dict | list) or chance.random() < 0.12:
        return chance.choice(TELLING)
    is_list = isinstance(part, list)
    key = chance.randrange(len(part)) if is_list else chance.choice(list(part))
    return _changed_entry(part, key, is_list, chance)


def _changed_entry(part: Any, key: Any, is_list: bool, chance: random.Random) -> Any:
    match chance.randrange(8):
        case 0:
            del part[key]
        case 1 if is_list:
            part.insert(key, copy.deepcopy(part[key]))
        case 1:
            part[f"{key} "] = copy.deepcopy(part[key])
        case 2 if is_list:
            chance.shuffle(part)
        case _:
            part[key] = _changed_part(part[key], chance)
    return part


KINDS = (
    *(_flip, _cut_off, _lose_a_part, _repeat_a_part, _change_lines, _change_number, _change_time),
    *(_change_unit, _encode_otherwise, _nest_deeply, *(_change_shape,) * 8),
)
