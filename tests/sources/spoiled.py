"""Answers spoiled in every way, and what the tests of the services share."""

from __future__ import annotations

import copy
import json
import re
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import strategies as st

from safety_check.model.weather import Provenance

HTML = b"<!DOCTYPE html><html><body><h1>503 Service Unavailable</h1></body></html>"
NO_JSON = {
    "empty": b"",
    "html": HTML,
    "cut off": b'{"type": "FeatureCollection", "features": [{"id": "a',
    "429": b"Too Many Requests",
    "null": b"null",
    "a list": b"[]",
    "not UTF-8": b'{"title": "\xff\xfe"}',
    "too deep": b"[" * 5000,
}

_PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12)
_TELLING = st.sampled_from(
    [
        "",
        "MM",
        "-999999",
        "1e999",
        "2024-02-30T00:00:00Z",
        "9999-12-31T23:59:59Z/P9W",
        "P",
        "\x1b[2J",
    ]
)
_JSON = st.recursive(
    _PLAIN | _TELLING,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
    ),
    max_leaves=6,
)


def provenance(fetched: str = "2026-06-01T12:00:00+00:00", source: str = "a service") -> Provenance:
    """Return where an answer comes from, received at a fixed hour."""
    return Provenance(source, "", "", None, datetime.fromisoformat(fetched), recorded=True)


def at(text: str) -> datetime:
    """Return an instant, UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@st.composite
def spoiled_json(draw: st.DrawFn, good: Any) -> bytes:
    """Return an answer of which some parts are something else, are gone, or stand twice."""
    document = copy.deepcopy(good)
    for _ in range(draw(st.integers(1, 3))):
        document = _spoil(draw, document)
    body = json.dumps(document).encode()
    return body[: draw(st.integers(0, len(body)))] if draw(st.integers(0, 9)) == 0 else body


def any_bytes(good: Any) -> st.SearchStrategy[bytes]:
    """Return bytes: rubbish, JSON of another shape, and good answers spoiled."""
    return (
        st.binary(max_size=60)
        | _JSON.map(lambda value: json.dumps(value).encode())
        | spoiled_json(good)
    )


def _spoil(draw: st.DrawFn, part: Any) -> Any:
    keys = (
        list(part)
        if isinstance(part, dict)
        else list(range(len(part)))
        if isinstance(part, list)
        else []
    )
    if not keys or draw(st.integers(0, 4)) == 0:
        return draw(_JSON)
    key = draw(st.sampled_from(keys))
    match draw(st.integers(0, 9)):
        case 0:
            del part[key]
        case 1 if isinstance(part, list):
            part.append(copy.deepcopy(part[key]))
        case _:
            part[key] = _spoil(draw, part[key])
    return part


_RELATIVE = re.compile(
    r"date:now(?P<hour>:hour)? (?P<count>[-+]?\d+) (?P<unit>hours|minutes|seconds)"
    r"(?: / (?P<length>P\w+))?"
)


def absolute(body: bytes, now: datetime) -> bytes:
    """Return a recording with its expressions of time replaced by instants.

    To the nearest minute: the expressions were cut to whole seconds, some one short.
    """

    def instant(found: re.Match[str]) -> str:
        origin = now.replace(minute=0, second=0) if found["hour"] else now
        moment = origin + timedelta(**{found["unit"]: int(found["count"])}) + timedelta(seconds=30)
        moment = moment.replace(second=0, microsecond=0)
        return moment.isoformat() + (f"/{found['length']}" if found["length"] else "")

    return _RELATIVE.sub(instant, body.decode()).encode()
