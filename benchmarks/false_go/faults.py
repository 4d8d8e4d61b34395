"""Every fault that is tried on an answer; here those that do not depend on its content.

A change that a service documents as its way to answer "nothing here" is not a fault, and is
left out.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from benchmarks.false_go import dangers
from benchmarks.false_go.dangers import Danger
from benchmarks.false_go.fault import Fault, change_reply
from benchmarks.false_go.json_faults import list_json_faults
from benchmarks.false_go.table_faults import list_table_faults
from tests.sources.fake_server import (
    Reply,
    cut_off,
    gzipped,
    hanging,
    html_page,
    huge,
    mislabelled,
    redirect,
    slow,
    too_many,
)

REFUSALS = (400, 401, 403, 404, 408, 410, 418, 429, 451, 500, 501, 502, 503, 504)
ODD = (204, 205, 206, 226, 300, 304, 305)
# The only answers of this kind that are documented to mean that nothing is there.
MAY_BE_GONE = {(dangers.BUOY, 404), (dangers.BUOY, 410)}
WORDS = {
    "InvalidPoint": b'{"type":"https://api.weather.gov/problems/InvalidPoint","status":404}',
    "No data is available": b'{"error":true,"reason":"No data is available for this location"}',
    "No data was found": b'{"error":{"message":"No data was found. This product may not be'
    b' offered at this station at the requested time."}}',
    "No sites found": b"No sites found matching all criteria",
    "an empty collection": b'{"type":"FeatureCollection","features":[]}',
    "OK": b"OK",
}
DOCUMENTED = {
    ("InvalidPoint", dangers.POINT): (404,),
    ("No data is available", dangers.MARINE): (400,),
    ("No data was found", dangers.TIDE): (200, 400),
    ("an empty collection", dangers.GAUGES): (200,),
}
TRANSPORT: dict[str, Callable[[Reply], Reply]] = {
    "slow": lambda reply: slow(reply, 3.0),
    "hangs half-way": hanging,
    "hangs up half-way": cut_off,
    "hangs up at once": lambda reply: cut_off(reply, 0),
    "too many questions": lambda _: too_many(60),
    "a page": lambda _: html_page(200),
    "a gateway's page": lambda _: html_page(502),
    "redirected in a circle": lambda _: redirect("/again"),
    "redirected away": lambda _: redirect("http://127.0.0.1:9/data"),
    "wrong type": mislabelled,
    "broken gzip": lambda reply: replace(gzipped(reply), body=gzipped(reply).body[:40]),
    "huge": lambda _: huge(9_000_000),
}
STALLS = ("slow", "hangs half-way")
BODIES = (b"", b"{}", b"[]", b"null", b"0", b'"none"', b"true", b"[{}]", b"<xml/>", b"\x00" * 64)
ENCODINGS: dict[str, Callable[[bytes], bytes]] = {
    "UTF-16": lambda body: body.decode().encode("utf-16"),
    "a byte order mark twice": lambda body: b"\xef\xbb\xbf" * 2 + body,
    "base64": base64.b64encode,
    "twice in a row": lambda body: body + body,
    "as a text in JSON": lambda body: json.dumps(body.decode()).encode(),
    "in a list": lambda body: b"[" + body + b"]",
    "in another object": lambda body: b'{"data":' + body + b"}",
}


def list_faults(danger: Danger, path: str) -> Iterator[Fault]:
    """Yield every fault that is tried on one answer of a danger."""
    reply = danger.replies[path]
    if danger.whole:
        yield from _statuses(path)
        yield from _words(path)
        for what, spoil in TRANSPORT.items():
            yield Fault("transport", what, spoil, stalls=what in STALLS)
        yield from _truncations(reply)
        yield from _bodies(reply)
    if reply.body[:1] in (b"{", b"["):
        yield from list_json_faults(danger, path)
    else:
        yield from list_table_faults(danger, path)


def _statuses(path: str) -> Iterator[Fault]:
    for code in (*REFUSALS, *ODD):
        if (path, code) not in MAY_BE_GONE:
            yield change_reply("status", f"{code}, empty", status=code, body=b"", headers={})
            yield change_reply("status", f"{code}, {{}}", status=code, body=b"{}")


def _words(path: str) -> Iterator[Fault]:
    for words, body in WORDS.items():
        for code in (200, 400, 404, 429, 500, 503):
            documented = code in DOCUMENTED.get((words, path), ()) or (path, code) in MAY_BE_GONE
            if not documented:
                what = f"{code} {words!r}"
                yield change_reply("words in a wrong status", what, status=code, body=body)


def _truncations(reply: Reply) -> Iterator[Fault]:
    size = len(reply.body)
    lines = [found.end() for found in re.finditer(rb"\n", reply.body)][:-1]
    for length in sorted({0, 1, size // 10, size // 4, size // 2, size - 2, size - 1, *lines}):
        what = f"{length} of {size} bytes"
        yield change_reply("truncation", what, body=reply.body[:length])


def _bodies(reply: Reply) -> Iterator[Fault]:
    for body in BODIES:
        yield change_reply("another body", f"200 {body[:8]!r}", body=body)
    for what, encode in ENCODINGS.items():
        yield change_reply("encoding", what, body=encode(reply.body))
