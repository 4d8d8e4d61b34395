"""Ask a service until it answers, its tries are used up, or the deadline has passed.

stamina is imported only when a request is made.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from safety_check.errors import SourceError
from safety_check.sources.http.cache import Saved
from safety_check.sources.http.error_messages import (
    AGAIN,
    SIGNAL,
    NothingToReport,
    StatusError,
    no_answer,
)
from safety_check.sources.http.exchange import (
    agent,
    conditional,
    lifetime,
    require_type,
    until_expiry,
)
from safety_check.sources.http.pace import Pace
from safety_check.sources.registry import Source

if TYPE_CHECKING:
    from safety_check.sources.http.transport import Reply, Transport

TRIES = 3
GONE = (404, 410)


@dataclass(frozen=True)
class RetryPolicy:
    """How long to wait and how often to try.

    Parameters
    ----------
    deadline
        For all requests through one client. [s]
    patience
        For each step of one try: connecting, sending, each wait for more data. [s]
    first_pause
        Before the second try; doubled before the third, and varied at random. [s]
    """

    deadline: float = 10.0
    patience: float = 4.0
    first_pause: float = 0.3


class Asker:
    """Make the requests of one briefing, each tried again while the deadline allows.

    Parameters
    ----------
    transport
        Sends the requests.
    now
        The clock.
    until
        The event loop's time at which every request ends.
    policy
        How long to wait and how often to try.
    contact
        How a service that asks for a contact can reach the user.
    pace
        The turns at services that limit requests.
    """

    def __init__(
        self,
        transport: Transport,
        now: Callable[[], datetime],
        until: float,
        policy: RetryPolicy,
        contact: str = "",
        pace: Pace | None = None,
    ) -> None:
        self._transport = transport
        self._now = now
        self._until = until
        self._policy = policy
        self._contact = contact
        self._pace = pace or Pace(None)

    async def ask(
        self, entry: Source, address: str, saved: Saved | None, one_station: bool
    ) -> Saved:
        """Return a new answer, or raise NothingToReport where there is none by the documents.

        That is the answer for a station that is gone, and the status by which a service says
        that it has no data for a request.
        """
        try:
            return await self._ask_until_deadline(entry, address, saved)
        except StatusError as trouble:
            if trouble.status == entry.empty_status or (one_station and trouble.status in GONE):
                raise NothingToReport(str(trouble)) from trouble
            raise

    async def _ask_until_deadline(self, entry: Source, address: str, saved: Saved | None) -> Saved:
        """Return a new answer; every try, and every pause between, ends at the deadline."""
        import stamina

        last: SourceError | None = None
        try:
            async with asyncio.timeout_at(self._until):
                async for attempt in stamina.retry_context(
                    on=self._next_try,
                    attempts=TRIES,
                    timeout=None,
                    wait_initial=self._policy.first_pause,
                    wait_jitter=self._policy.first_pause,
                ):
                    with attempt:
                        try:
                            return await self._once(entry, address, saved)
                        except SourceError as trouble:
                            last = trouble
                            raise
        except TimeoutError:
            why = f"no answer within {self._policy.deadline:g} s, the time limit of a check"
            raise last or no_answer(entry.title, why, SIGNAL, retryable=True) from None
        raise AssertionError("a try either answers or raises")

    def _next_try(self, trouble: Exception) -> bool | float:
        """Return whether, or in how many seconds, to ask again."""
        if not isinstance(trouble, SourceError) or not trouble.retryable:
            return False
        if trouble.retry_after is None:
            return True
        left = self._until - asyncio.get_running_loop().time()
        return trouble.retry_after if trouble.retry_after < left else False

    async def _once(self, entry: Source, address: str, saved: Saved | None) -> Saved:
        named = {"User-Agent": agent(self._contact if entry.contact else "")}
        wait = self._pace.reserve(urlsplit(address).netloc, entry.pause, time.time())
        await asyncio.sleep(wait)
        headers = conditional(saved) | named
        reply = await self._transport.get(address, headers, entry.title, entry.largest)
        body = self._body(reply, saved, entry)
        now = self._now()
        expiry = until_expiry(reply.headers) if entry.expires else None
        ttl = entry.ttl if expiry is None else min(expiry, entry.ttl)
        fresh_for = lifetime(reply.headers.get("cache-control", ""), ttl)
        return Saved(
            body=body,
            fetched=now,
            fresh_until=now + timedelta(seconds=fresh_for),
            etag=reply.headers.get("etag", ""),
            last_modified=reply.headers.get("last-modified", _unchanged(reply, saved)),
        )

    def _body(self, reply: Reply, saved: Saved | None, entry: Source) -> bytes:
        if reply.status == 304:
            if saved is None:
                why = "it reports no change, but no earlier answer is saved (status 304)"
                raise no_answer(entry.title, why, AGAIN, retryable=False)
            return saved.body
        require_type(reply, entry)
        return reply.body


def _unchanged(reply: Reply, saved: Saved | None) -> str:
    """Return the time of the last change of an answer that the service reports as unchanged."""
    return saved.last_modified if saved is not None and reply.status == 304 else ""
