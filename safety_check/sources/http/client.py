"""The one HTTP client: new answers by a deadline, and a saved one when a service fails.

httpx and stamina are imported only when a request is made.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TypeVar

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Provenance
from safety_check.sources.http.asker import Asker, RetryPolicy
from safety_check.sources.http.cache import AnswerCache, Saved
from safety_check.sources.http.exchange import address_of, agent, require_json
from safety_check.sources.http.pace import Pace
from safety_check.sources.http.request_log import log_saved, logged
from safety_check.sources.registry import Addresses, Source, load_sources

Parsed = TypeVar("Parsed")
Parse = Callable[[bytes, Provenance], Parsed]


class Client:
    """Read the answers of one briefing, new or saved; see `open_client`.

    Parameters
    ----------
    asker
        Makes the requests.
    cache
        The saved answers.
    known
        Every source by name.
    now
        The clock.
    """

    def __init__(
        self,
        asker: Asker,
        cache: AnswerCache,
        known: Mapping[str, Source],
        now: Callable[[], datetime],
    ) -> None:
        self._asker = asker
        self._cache = cache
        self._known = known
        self._now = now
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
        """Return a service's answer as the parser understands it.

        A fresh saved answer is not requested again. Where the service fails or its answer
        can't be parsed, the last good answer is used with its age, if it is no older than
        `max_age`; the error is then recorded in `covered`. Only an answer that `parse` accepted
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
                meaning = parsed(saved, recorded=True)
                log_saved(entry, address, saved)
                return meaning
        try:
            with logged(entry, address) as came:
                answer = await self._asker.ask(entry, address, saved, one_station)
                came.append(answer)
            meaning = parsed(answer, recorded=False)
        except (SourceError, DataError) as trouble:
            if saved is not None:
                with suppress(DataError):
                    stand_in = parsed(saved, recorded=True)
                    log_saved(entry, address, saved)
                    self.covered.append(trouble)
                    return stand_in
            raise
        self._cache.store(address, answer)
        return meaning

    def recall(
        self, url: str, params: Mapping[str, str], parse: Parse[Parsed], *, source: str
    ) -> Parsed | None:
        """Return the last saved answer, parsed, however old it is; None without one."""
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


@asynccontextmanager
async def open_client(
    cache: Path | None,
    *,
    contact: str = "",
    addresses: Addresses | None = None,
    policy: RetryPolicy | None = None,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> AsyncIterator[Client]:
    """Open a client for one briefing; its deadline starts now.

    Parameters
    ----------
    cache
        The folder for saved answers; None to save nothing.
    contact
        How a service can reach the user; sent only to the services that ask for one.
    addresses
        Base URLs in place of the shipped ones, by source or service.
    policy
        How long to wait and how often to try.
    now
        The clock.
    """
    from safety_check.sources.http.transport import Transport

    # stamina logs each retry; without a handler Python would print the log into the report.
    logging.getLogger("stamina").addHandler(logging.NullHandler())
    policy = policy or RetryPolicy()
    until = asyncio.get_running_loop().time() + policy.deadline
    transport = Transport(agent(""), policy.patience)
    saved = AnswerCache(cache, now())
    try:
        yield Client(
            Asker(transport, now, until, policy, contact, Pace(cache)),
            saved,
            load_sources(addresses),
            now,
        )
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
