"""Check each request's key and origin, and add the security headers to each response.

`app` refuses requests for other host names before this. Otherwise another site could make its
name point to this server and read the responses (DNS rebinding).
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
    "This server accepts only the link that it printed when it started. Open the complete link,"
    " including the part after the question mark."
)
FOREIGN = "This form was not sent from this server's own page. Nothing was done."


class RequestGuard:
    """Add the security headers, require the key, and refuse forms from other sites.

    Parameters
    ----------
    app
        The application behind the guard.
    headers
        Added to every response.
    key
        The secret in the printed link; None where no key is needed, as on the loopback
        address.
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
        if _equal(shown, self.key) and scope["method"] == "GET":
            return _admit(self.key, scope["scheme"] == "https")
        return None if _equal(_stored_key(headers), self.key) else PlainTextResponse(REFUSED, 403)


def _from_here(scope: Scope, headers: Headers) -> bool:
    """Return whether the browser reports that a form came from one of our own pages.

    Current browsers always report it. Any other client still needs the form's token.
    """
    origin = headers.get("origin")
    own = f"{scope['scheme']}://{headers.get('host')}"
    return headers.get("sec-fetch-site", "same-origin") == "same-origin" and origin in (None, own)


def _admit(key: str, secure: bool) -> Response:
    """Store the key in a cookie, and redirect to the page without the key in its address."""
    response = RedirectResponse("/", 303)
    response.set_cookie(COOKIE, key, MONTH, httponly=True, samesite="lax", secure=secure)
    return response


def _stored_key(headers: Headers) -> str:
    try:
        cookie = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        return ""
    return cookie.value if cookie else ""


def _equal(one: str, other: str) -> bool:
    return secrets.compare_digest(one.encode(), other.encode())
