"""Who may ask, and what a browser may do with the answer.

Names other than the server's own are refused before this (a page of another site that has
its name point here would read the answers: DNS rebinding); see `app`.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "safety-check"
OPEN = ("/manifest.webmanifest", "/worker.js", "/icon.svg", "/icon-192.png", "/icon-512.png")
MONTH = 30 * 24 * 3600
REFUSED = (
    "This server answers only to the link that it printed when it started. Open that link again,"
    " whole, with what stands after the question mark."
)
FOREIGN = "This form was not sent from this server's own page. Nothing was done."


class RequestGuard:
    """Add the headers, ask for the key, and refuse what another site sends.

    Parameters
    ----------
    app
        What is guarded.
    headers
        Added to every answer.
    key
        What the printed link holds; None where everybody who reaches the server may ask,
        as on a machine's own loopback address.
    """

    def __init__(self, app: ASGIApp, headers: Mapping[str, str], key: str | None = None) -> None:
        self.app, self.headers, self.key = app, headers, key

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(dict(self.headers))
            await send(message)

        refusal = self._refusal(scope)
        await (refusal or self.app)(scope, receive, with_headers)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if scope["method"] == "POST" and not _from_here(scope, headers):
            return PlainTextResponse(FOREIGN, 403)
        if self.key is None or scope["path"] in OPEN:
            return None
        shown = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
        if _same(shown, self.key) and scope["method"] == "GET":
            return _admitted(self.key, scope["scheme"] == "https")
        return None if _same(_kept(headers), self.key) else PlainTextResponse(REFUSED, 403)


def _from_here(scope: Scope, headers: Headers) -> bool:
    """Return whether a browser says that a form came from one of our own pages.

    A client that says nothing is no browser of today; it still needs the form's token.
    """
    origin = headers.get("origin")
    own = f"{scope['scheme']}://{headers.get('host')}"
    return headers.get("sec-fetch-site", "same-origin") == "same-origin" and origin in (None, own)


def _admitted(key: str, secure: bool) -> Response:
    """Return the way on to the page without the key in its address, the key in a cookie."""
    response = RedirectResponse("/", 303)
    response.set_cookie(COOKIE, key, MONTH, httponly=True, samesite="lax", secure=secure)
    return response


def _kept(headers: Headers) -> str:
    try:
        cookie = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        return ""
    return cookie.value if cookie else ""


def _same(one: str, other: str) -> bool:
    return secrets.compare_digest(one.encode(), other.encode())
