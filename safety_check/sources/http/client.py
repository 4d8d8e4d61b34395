"""The one HTTP client: a deadline, retries, and a saved answer when a service fails.

httpx and stamina are imported only when a request is made.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Provenance
from safety_check.sources.http.cache import AnswerCache, Saved
from safety_check.sources.http.error_messages import (
    AGAIN,
    SIGNAL,
    NothingToReport,
    StatusError,
    no_answer,
)
from safety_check.sources.http.exchange import (
    address_of,
    agent,
    conditional,
    lifetime,
    require_json,
    require_type,
)
from safety_check.sources.registry import Addresses, Source, load_sources

if TYPE_CHECKING:
    from safety_check.sources.http.transport import Reply, Transport

TRIES = 3
GONE = (404, 410)
Parsed = TypeVar("Parsed")
Parse = Callable[[bytes, Provenance], Parsed]


@dataclass(frozen=True)
class RetryPolicy:
    """How long to wait and how often to try.

    Parameters
    ----------
    deadline
        For all requests through one client. [s]
    patience
        For each step of one try: connecting, sending, each wait for more. [s]
    first_pause
        Before the second try; doubled before the third, and jittered. [s]
    """

    deadline: float = 10.0
    patience: float = 4.0
    first_pause: float = 0.3


class Client:
    """Make the requests of one briefing; see `open_client`.

    Parameters
    ----------
    transport
        Sends the requests.
    cache
        The saved answers.
    known
        Every source by name.
    now
        The clock.
    until
        The event loop's time at which every request is given up.
    policy
        How long to wait and how often to try.
    """

    def __init__(
        self,
        transport: Transport,
        cache: AnswerCache,
        known: Mapping[str, Source],
        now: Callable[[], datetime],
        until: float,
        policy: RetryPolicy,
    ) -> None:
        self._transport = transport
        self._cache = cache
        self._known = known
        self._now = now
        self._until = until
        self._policy = policy
        self.covered: list[SourceError | DataError] = []

    async def get(
        self,
        url: str,
        params: Mapping[str, str],
        *,
        source: str,
        max_age: timedelta | None = None,
    ) -> tuple[bytes, Provenance]:
        """Return a service's answer as bytes, and where it comes from.

        As `read`, without a parser: any JSON is accepted where the format is JSON.
        """
        kind = self._known[source].format

        def accept(body: bytes, provenance: Provenance) -> tuple[bytes, Provenance]:
            if kind == "json":
                require_json(body, provenance.source)
            return body, provenance

        return await self.read(url, params, accept, source=source, max_age=max_age)

    async def read(
        self,
        url: str,
        params: Mapping[str, str],
        parse: Parse[Parsed],
        *,
        source: str,
        max_age: timedelta | None = None,
        one_station: bool = False,
    ) -> Parsed:
        """Return what a service's answer means.

        A fresh saved answer is not requested again. Where the service fails or its answer
        can't be parsed, the last good answer is used with its age, if it is no older than
        `max_age`; the error is then kept in `covered`. Only an answer that `parse` accepted
        is ever saved.

        Parameters
        ----------
        url
            A path below the source's address, or a link from the service itself.
        params
            The query.
        parse
            Turns body and provenance into objects, or raises DataError.
        source
            A name in config/sources.toml.
        max_age
            How old a saved answer may be; the source's own by default.
        one_station
            True for the address of a single station: a status 404 or 410 then means that
            this station has nothing to report. At any other address it is a failure.

        Raises
        ------
        SourceError, DataError
            Where there is neither a good answer nor a saved one; NothingToReport where a
            working service says that there is no data.
        """
        entry = self._known[source]
        address = address_of(entry, load_sources()[source].base_url, url, params)
        limit = timedelta(seconds=entry.max_age) if max_age is None else max_age
        saved = self._usable(address, limit)

        def parsed(answer: Saved, *, recorded: bool) -> Parsed:
            return parse(answer.body, _provenance(entry, address, answer, recorded=recorded))

        if saved and self._now() < saved.fresh_until:
            with suppress(DataError):
                return parsed(saved, recorded=True)
        try:
            answer = await self._ask(entry, address, saved, one_station)
            meaning = parsed(answer, recorded=False)
        except (SourceError, DataError) as trouble:
            if saved is not None:
                with suppress(DataError):
                    stand_in = parsed(saved, recorded=True)
                    self.covered.append(trouble)
                    return stand_in
            raise
        self._cache.store(address, answer)
        return meaning

    def recall(
        self, url: str, params: Mapping[str, str], parse: Parse[Parsed], *, source: str
    ) -> Parsed | None:
        """Return what the last saved answer means, however old it is; None without one."""
        entry = self._known[source]
        address = address_of(entry, load_sources()[source].base_url, url, params)
        saved = self._cache.last(address)
        with suppress(DataError):
            if saved is not None:
                return parse(saved.body, _provenance(entry, address, saved, recorded=True))
        return None

    def _usable(self, address: str, max_age: timedelta) -> Saved | None:
        """Return the saved answer unless it is too old, or from a clock ahead of ours."""
        saved = self._cache.last(address)
        fits = saved and timedelta(0) <= self._now() - saved.fetched <= max_age
        return saved if fits else None

    # -- asking ----------------------------------------------------------------------------

    async def _ask(
        self, entry: Source, address: str, saved: Saved | None, one_station: bool
    ) -> Saved:
        """Return a new answer, or raise NothingToReport for a station that is gone."""
        try:
            return await self._ask_until_deadline(entry, address, saved)
        except StatusError as trouble:
            if one_station and trouble.status in GONE:
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
        reply = await self._transport.get(address, conditional(saved), entry.title)
        body = self._body(reply, saved, entry)
        now = self._now()
        fresh_for = lifetime(reply.headers.get("cache-control", ""), entry.ttl)
        return Saved(
            body=body,
            fetched=now,
            fresh_until=now + timedelta(seconds=fresh_for),
            etag=reply.headers.get("etag", ""),
            last_modified=reply.headers.get("last-modified", ""),
        )

    def _body(self, reply: Reply, saved: Saved | None, entry: Source) -> bytes:
        if reply.status == 304:
            if saved is None:
                why = (
                    "it says that nothing has changed, but no earlier answer is saved (status 304)"
                )
                raise no_answer(entry.title, why, AGAIN, retryable=False)
            return saved.body
        require_type(reply, entry)
        return reply.body


@asynccontextmanager
async def open_client(
    cache: Path | None,
    *,
    contact: str = "",
    addresses: Addresses | None = None,
    policy: RetryPolicy | None = None,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> AsyncIterator[Client]:
    """Open a client for one briefing; its deadline runs from here.

    Parameters
    ----------
    cache
        The folder for saved answers; None to save nothing.
    contact
        How a service can reach the user; sent to every service.
    addresses
        Base URLs in place of the shipped ones, by source or service.
    policy
        How long to wait and how often to try.
    now
        The clock.
    """
    from safety_check.sources.http.transport import Transport

    # stamina logs each retry; without a handler Python would print that over the report.
    logging.getLogger("stamina").addHandler(logging.NullHandler())
    policy = policy or RetryPolicy()
    until = asyncio.get_running_loop().time() + policy.deadline
    transport = Transport(agent(contact), policy.patience)
    saved = AnswerCache(cache, now())
    try:
        yield Client(transport, saved, load_sources(addresses), now, until, policy)
    finally:
        saved.close()
        await transport.close()


def _provenance(entry: Source, address: str, answer: Saved, *, recorded: bool) -> Provenance:
    return Provenance(
        source=entry.title,
        model="",
        url=address,
        issued=None,
        fetched=answer.fetched,
        recorded=recorded,
        attribution=entry.attribution,
    )
