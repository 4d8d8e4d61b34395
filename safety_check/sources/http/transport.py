"""One request over HTTP: httpx and its errors stay inside this file."""

from __future__ import annotations

import asyncio
import email.utils
import ssl
import time
from collections.abc import Mapping, Sized
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from http import HTTPStatus

import httpx

from safety_check.errors import SourceError
from safety_check.model.clean_text import clean_text
from safety_check.sources.http.error_messages import AGAIN, OURS, SIGNAL, no_answer, status_error
from safety_check.sources.http.unpack import ACCEPTED, packed, unpack

LARGEST = 8_000_000  # bytes; a year of 51 members and 3 quantities in JSON is some 8 MB
EXCERPT = 4_000  # bytes of an error's body that are read
HOPS = 3
ANSWERS = (HTTPStatus.OK, HTTPStatus.NOT_MODIFIED)
A_MINUTE = 60.0  # the shortest period of the services' limits, for a 429 without a time to wait

# The most specific class of each branch comes first: why, what to do, whether to try again.
_TROUBLES: tuple[tuple[type[Exception], str, str, bool], ...] = (
    (httpx.ConnectTimeout, "no connection in time", SIGNAL, True),
    (httpx.PoolTimeout, "too many requests at once", AGAIN, True),
    (httpx.WriteTimeout, "the request could not be sent in time", SIGNAL, True),
    (httpx.TimeoutException, "read timed out", SIGNAL, True),
    (httpx.ConnectError, "no connection", SIGNAL, True),
    (httpx.NetworkError, "the connection broke off", SIGNAL, True),
    (httpx.RemoteProtocolError, "the answer broke off or is not valid HTTP", AGAIN, True),
    (httpx.DecodingError, "the answer can't be unpacked", AGAIN, True),
    (httpx.ProxyError, "the proxy refused", "Check the proxy settings of this machine.", False),
    (httpx.TooManyRedirects, "it redirects endlessly", AGAIN, False),
    (httpx.UnsupportedProtocol, "its address is not http", OURS, False),
    (httpx.InvalidURL, "its address can't be read", OURS, False),
)
FOREIGN = (
    httpx.HTTPError,
    httpx.StreamError,
    httpx.InvalidURL,
    httpx.CookieConflict,
    OSError,
    ValueError,
)


@dataclass(frozen=True)
class Reply:
    """The response to one request.

    Parameters
    ----------
    status
        200, or 304 where the last answer still holds.
    headers
        Names in lower case.
    body
        Unpacked.
    """

    status: int
    headers: Mapping[str, str]
    body: bytes


def explain(trouble: Exception, title: str) -> SourceError:
    """Return an error of ours for one of httpx or of the operating system."""
    for kind, why, remedy, retryable in _TROUBLES:
        if isinstance(trouble, kind):
            return no_answer(title, why, remedy, retryable=retryable)
    if isinstance(trouble, OSError):
        return no_answer(title, "no connection", SIGNAL, retryable=True)
    return no_answer(title, f"the request failed ({type(trouble).__name__})", OURS, retryable=False)


@cache
def _certificates() -> ssl.SSLContext:
    """Return the trusted certificates, which take longer to load than a local answer takes."""
    return httpx.create_ssl_context()


class Transport:
    """One connection pool that names this program, limits the body and stays on one host.

    Parameters
    ----------
    agent
        The User-Agent.
    patience
        How long to wait for each step of one try. [s]
    largest
        The greatest accepted body. [bytes]
    """

    def __init__(self, agent: str, patience: float, largest: int = LARGEST) -> None:
        self._largest = largest
        self._http = httpx.AsyncClient(
            headers={"User-Agent": agent, "Accept-Encoding": ACCEPTED},
            timeout=patience,
            follow_redirects=False,
            verify=_certificates(),
        )

    async def close(self) -> None:
        """Close every connection."""
        await self._http.aclose()

    async def get(
        self, url: str, headers: Mapping[str, str], title: str, largest: int | None = None
    ) -> Reply:
        """Return the reply to one request, redirects on the same host followed.

        Parameters
        ----------
        url, headers
            The request.
        title
            The service, for an error.
        largest
            The greatest body accepted from it; None for that of all services. [bytes]

        Raises
        ------
        SourceError
            Wherever the request fails.
        """
        try:
            return await self._follow(httpx.URL(url), headers, title, largest or self._largest)
        except FOREIGN as trouble:
            raise explain(trouble, title) from trouble

    async def _follow(
        self, url: httpx.URL, headers: Mapping[str, str], title: str, largest: int
    ) -> Reply:
        seen = [url]
        while True:
            reply = await self._once(seen[-1], headers, title, largest)
            if reply.status in ANSWERS:
                return reply
            onward = seen[-1].join(reply.headers["location"])
            if not _same_host(seen[-1], onward):
                where = clean_text(onward.host or str(onward), limit=100)
                why = f"it redirects to another address ({where}), which is refused"
                raise no_answer(title, why, AGAIN, retryable=False)
            if onward in seen or len(seen) > HOPS:
                raise httpx.TooManyRedirects("it redirects too many times")
            seen.append(onward)

    async def _once(
        self, url: httpx.URL, headers: Mapping[str, str], title: str, largest: int
    ) -> Reply:
        async with self._http.stream("GET", url, headers=dict(headers)) as response:
            lower = {name.lower(): value for name, value in response.headers.items()}
            if response.has_redirect_location:
                return Reply(response.status_code, lower, b"")
            if response.status_code in ANSWERS:
                return Reply(response.status_code, lower, await _body(response, title, largest))
            excerpt = await _beginning(response)
        raise status_error(title, response.status_code, excerpt, _pause(response))


async def _body(response: httpx.Response, title: str, largest: int) -> bytes:
    """Return the body; it is unpacked in a thread, and never beyond the limit."""
    raw = bytearray()
    async for piece in response.aiter_raw():
        raw += piece
        _require_size(raw, title, largest)
    encoding = _encoding(response)
    if not packed(encoding):
        return bytes(raw)
    try:
        body = await asyncio.to_thread(unpack, bytes(raw), encoding, largest + 1)
    except ValueError as trouble:
        why = "the answer can't be unpacked"
        raise no_answer(title, why, AGAIN, retryable=True) from trouble
    _require_size(body, title, largest)
    return body


def _require_size(body: Sized, title: str, largest: int) -> None:
    if len(body) > largest:
        why = f"its answer is larger than {largest / 1e6:g} MB, which is refused"
        raise no_answer(title, why, AGAIN, retryable=False)


def _encoding(response: httpx.Response) -> str:
    return str(response.headers.get("content-encoding", "")).strip().lower()


def _same_host(url: httpx.URL, onward: httpx.URL) -> bool:
    """Return whether a redirect stays on the host, its port, and a scheme no weaker."""
    here = (url.host, url.port) == (onward.host, onward.port)
    return here and onward.scheme in (url.scheme, "https") and not onward.userinfo


async def _beginning(response: httpx.Response) -> bytes:
    """Return the beginning of the body of an error; empty where it can't be unpacked."""
    raw = bytearray()
    async for piece in response.aiter_raw():
        raw += piece
        if len(raw) >= EXCERPT:
            break
    encoding = _encoding(response)
    if not packed(encoding):
        return bytes(raw[:EXCERPT])
    with suppress(ValueError):
        return unpack(bytes(raw), encoding, EXCERPT, whole=False)
    return b""


def _pause(response: httpx.Response) -> float | None:
    """Return how long the service says to wait [s]; a minute for a 429 without a time."""
    written = response.headers.get("retry-after", "").strip()
    if written.isdecimal() and written.isascii():
        return float(written[:9])
    try:
        return max(0.0, email.utils.parsedate_to_datetime(written).timestamp() - time.time())
    except (ValueError, OverflowError, TypeError):
        return A_MINUTE if response.status_code == HTTPStatus.TOO_MANY_REQUESTS else None
