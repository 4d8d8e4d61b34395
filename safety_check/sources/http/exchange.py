"""Check one request and its reply: address, headers, type."""

from __future__ import annotations

import re
from collections.abc import Mapping
from email.utils import parsedate_to_datetime
from typing import TYPE_CHECKING
from urllib.parse import urlencode, urlsplit

from safety_check import __version__
from safety_check.errors import DataError
from safety_check.sources.http.cache import Saved
from safety_check.sources.http.error_messages import AGAIN, OURS, no_answer
from safety_check.sources.registry import Source

if TYPE_CHECKING:
    from safety_check.sources.http.transport import Reply

_TYPES = {
    "json": ("/json", "+json"),
    "text": ("text/plain", "octet-stream"),
    "xml": ("/xml", "+xml", "text/plain", "octet-stream"),
}


def agent(contact: str) -> str:
    """Return the User-Agent of this program.

    Examples
    --------
    >>> agent("me@example.org").partition(" ")[2], agent("").partition("/")[0]
    ('(+me@example.org)', 'safety-check')
    """
    plain = re.sub(r"[^!-'*-~]", "", contact)
    return f"safety-check/{__version__}" + (f" (+{plain})" if plain else "")


def address_of(entry: Source, shipped: str, url: str, params: Mapping[str, str]) -> str:
    """Return the whole URL; a link to the shipped address is rewritten to the user's own."""
    for base in (shipped, entry.base_url):
        if url == base or url.startswith((f"{base}/", f"{base}?")):
            url = url[len(base) :] or "/"
            break
    if not url.startswith("/") or url.startswith("//"):
        host = urlsplit(url).netloc or url
        why = f"it points to another host ({host[:100]!r}), which is refused"
        raise no_answer(entry.title, why, OURS, retryable=False)
    joint = "&" if "?" in url else "?"
    return entry.base_url + url + (joint + urlencode(params, safe=",:") if params else "")


def conditional(saved: Saved | None) -> dict[str, str]:
    """Return the headers that request only a changed answer."""
    if saved is None:
        return {}
    headers = {"If-None-Match": saved.etag, "If-Modified-Since": saved.last_modified}
    return {name: value for name, value in headers.items() if value}


def lifetime(cache_control: str, ttl: float) -> float:
    """Return for how long an answer need not be requested again [s].

    The service's own header shortens our time and never lengthens it.

    Examples
    --------
    >>> lifetime("public, max-age=60", 900.0), lifetime("no-cache", 900.0), lifetime("", 9.0)
    (60.0, 0.0, 9.0)
    """
    directives = cache_control.lower()
    if "no-cache" in directives or "no-store" in directives:
        return 0.0
    limit = re.search(r"max-age\s*=\s*\"?(\d{1,9})", directives)
    return min(ttl, float(limit[1])) if limit else ttl


def until_expiry(headers: Mapping[str, str]) -> float | None:
    """Return in how many seconds an answer expires, by the service's own clock.

    None where it does not say, or where its times cannot be read.

    Examples
    --------
    >>> date = "Fri, 27 Nov 2026 10:00:00 GMT"
    >>> until_expiry({"date": date, "expires": "Fri, 27 Nov 2026 10:31:00 GMT"})
    1860.0
    >>> until_expiry({"date": date, "expires": "0"}) is None
    True
    """
    try:
        said, ends = (parsedate_to_datetime(headers[name]) for name in ("date", "expires"))
        return max((ends - said).total_seconds(), 0.0)
    except (KeyError, ValueError, TypeError, OverflowError):
        return None


def require_type(reply: Reply, entry: Source) -> None:
    """Raise SourceError where the service sent a web page instead of data."""
    kind = reply.headers.get("content-type", "").partition(";")[0].strip().lower()
    start = reply.body.lstrip()[:1]
    wrong = entry.content_type and kind and not kind.endswith(_TYPES[entry.format])
    if wrong or (entry.format == "json" and start == b"<"):
        why = f"it sent {kind or 'something'!r} where {entry.format} was expected"
        raise no_answer(entry.title, why, AGAIN, retryable=False)


def require_json(body: bytes, title: str) -> None:
    """Raise DataError where a body is not complete JSON."""
    from pydantic_core import from_json

    try:
        from_json(body)
    except ValueError as trouble:
        raise DataError(
            f"{title}: the answer is not complete JSON ({len(body)} bytes) and can't be used."
            f" {AGAIN}"
        ) from trouble
