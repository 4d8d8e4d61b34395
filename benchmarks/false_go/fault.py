"""A fault of one answer."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from tests.sources.fake_server import Reply


@dataclass(frozen=True)
class Fault:
    """One fault of one answer.

    Parameters
    ----------
    kind
        The kind under which it is counted.
    what
        The fault in a few words.
    spoil
        Turns the good reply into the faulty one.
    stalls
        True where the answer never ends, so that only a deadline ends the wait.
    """

    kind: str
    what: str
    spoil: Callable[[Reply], Reply]
    stalls: bool = False


def change_document(kind: str, what: str, change: Callable[[Any], None]) -> Fault:
    """Return a fault that changes the JSON document of an answer in place."""

    def spoil(reply: Reply) -> Reply:
        document = json.loads(reply.body)
        change(document)
        return replace(reply, body=json.dumps(document).encode())

    return Fault(kind, what, spoil)


def change_reply(kind: str, what: str, **parts: Any) -> Fault:
    """Return a fault that gives an answer another status or body."""
    return Fault(kind, what, lambda reply: replace(reply, **parts))
