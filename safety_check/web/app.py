"""The live page: its addresses and the response of each."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any, TypeVar

from anyio import CapacityLimiter, to_thread
from jinja2 import PackageLoader
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.body_limit import RequestBodyLimitMiddleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from safety_check.errors import ConfigError, DataError, PlanError, SafetyCheckError, SourceError
from safety_check.report.page import page
from safety_check.web import forms, views
from safety_check.web.guard import RequestGuard
from safety_check.web.session import Session, StoredCheck, required

GREATEST_FORM = 32 * 1024  # bytes; the notes of a trip are the longest field
MOST_FIELDS = 40
AT_ONCE = 2  # checks; more wait
STATUS = ((PlanError, 422), (ConfigError, 422), (DataError, 502), (SourceError, 502))
LONGEST_NUMBER = 9  # digits of a check's number in an address
STATIC = {
    "worker.js": "text/javascript",
    "icon.svg": "image/svg+xml",
    "icon-192.png": "image/png",
    "icon-512.png": "image/png",
}

T = TypeVar("T")


def build_application(session: Session, hosts: Sequence[str], key: str | None = None) -> Starlette:
    """Return the live page as an ASGI application.

    Parameters
    ----------
    session
        The session that does the work of the pages.
    hosts
        The host names that it answers to; any other is refused.
    key
        The secret in the printed link, where one is required.
    """
    pages = Pages(session)
    routes = [
        Route("/", pages.home),
        Route("/check", pages.check, methods=["POST"]),
        Route("/check/{number}", pages.result),
        Route("/check/{number}/file", pages.file),
        Route("/check/{number}/limit", pages.limit, methods=["POST"]),
        Route("/last", pages.last),
        Route("/trips", pages.trips),
        Route("/trips", pages.log, methods=["POST"]),
        Route("/manifest.webmanifest", manifest),
        *(Route(f"/{name}", static) for name in STATIC),
    ]
    middleware = [
        Middleware(TrustedHostMiddleware, allowed_hosts=list(hosts), www_redirect=False),
        Middleware(RequestGuard, headers=headers(), key=key),
        Middleware(RequestBodyLimitMiddleware, max_body_size=GREATEST_FORM),
    ]
    handlers = {SafetyCheckError: pages.trouble}
    return Starlette(routes=routes, middleware=middleware, exception_handlers=handlers)


def headers() -> dict[str, str]:
    """Return the headers of every answer."""
    scripts = " ".join(page.digest(script) for script in (page.script(), _file("serve.js")))
    policy = {
        "default-src": "'none'",
        "style-src": page.digest(page.style()),
        "script-src": scripts,
        "img-src": "'self' data:",
        "connect-src": "'self'",
        "manifest-src": "'self'",
        "worker-src": "'self'",
        "form-action": "'self'",
        "frame-ancestors": "'none'",
        "base-uri": "'none'",
    }
    return {
        "Content-Security-Policy": "; ".join(f"{name} {value}" for name, value in policy.items()),
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "same-origin",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
        "Cache-Control": "no-store",
    }


@cache
def _file(name: str) -> str:
    return files("safety_check.web").joinpath("static", name).read_text(encoding="utf-8")


def static(request: Request) -> Response:
    """Answer with a file that ships with the program."""
    name = request.url.path.lstrip("/")
    body = files("safety_check.web").joinpath("static", name).read_bytes()
    return Response(body, media_type=STATIC[name])


def number_in(request: Request) -> int:
    """Return the number of a check in an address; -1 where it is not a valid number."""
    text = str(request.path_params["number"])
    short = len(text) <= LONGEST_NUMBER
    return int(text) if short and text.isascii() and text.isdigit() else -1


def status_of(trouble: Exception) -> int:
    """Return the HTTP status of an expected error."""
    return next((status for kind, status in STATUS if isinstance(trouble, kind)), 500)


def manifest(request: Request) -> Response:
    """Answer with the web app manifest, which a phone needs for its home screen."""
    said = {
        "name": "safety-check",
        "short_name": "safety-check",
        "start_url": "/last",
        "scope": "/",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#12171c",
        "icons": [
            {"src": f"/{name}", "type": STATIC[name], "sizes": sizes}
            for name, sizes in (
                ("icon.svg", "any"),
                ("icon-192.png", "192x192"),
                ("icon-512.png", "512x512"),
            )
        ],
    }
    return Response(json.dumps(said), media_type="application/manifest+json")


class Pages:
    """The pages and their forms; slow work runs in threads, with few at the same time."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.token = secrets.token_urlsafe(16)
        self._at_once = CapacityLimiter(AT_ONCE)
        self._shown: dict[int, str] = {}
        self._templates = page.environment(PackageLoader("safety_check.web"))
        self._templates.globals["serve_script"] = Markup(_file("serve.js"))
        self._templates.globals["read_hint"] = READ_HINT

    # -- pages -------------------------------------------------------------------------------

    async def home(self, request: Request) -> Response:
        """Show the form."""
        return await self._beside(self._home)

    def _home(self, trouble: str = "", given: Mapping[str, str] | None = None) -> Response:
        said = views.home(self.session, given)
        status = 422 if trouble else 200
        return self._page("home.html.j2", said | {"trouble": trouble}, status)

    async def result(self, request: Request) -> Response:
        """Show a check as it was written when it was made."""
        text = self._shown.get(number_in(request))
        return HTMLResponse(text) if text else self._forgotten()

    async def file(self, request: Request) -> Response:
        """Send a check as one file to download."""
        done = self.session.done(number_in(request))
        if done is None:
            return self._forgotten()
        text = await self._beside(lambda: page.render_page(done.verdict, done.settings, done.lake))
        name = f"safety-check-{done.verdict.plan.start:%Y-%m-%d}.html"
        return HTMLResponse(text, headers={"Content-Disposition": f'attachment; filename="{name}"'})

    async def last(self, request: Request) -> Response:
        """Go to the newest check, or to the form where there is none."""
        newest = max(self._shown, default=None)
        return RedirectResponse(f"/check/{newest}" if newest else "/", 303)

    async def trips(self, request: Request) -> Response:
        """Show the trip log."""
        return await self._beside(lambda: self._page("trips.html.j2", views.trips(self.session)))

    # -- forms -------------------------------------------------------------------------------

    async def check(self, request: Request) -> Response:
        """Check what a form asks for; an error is shown above the form."""
        form = await self._form(request)
        if isinstance(form, Response):
            return form
        try:
            return await self._beside(lambda: self._to(self.session.check(forms.asked(form))))
        except PlanError as trouble:
            said = str(trouble)
            return await self._beside(lambda: self._home(said, form))

    async def limit(self, request: Request) -> Response:
        """Set or remove a limit of the user's own, and repeat the check."""
        form = await self._form(request)
        if isinstance(form, Response):
            return form
        before = required(self.session.done(number_in(request)))
        return await self._beside(lambda: self._to(self._changed(before, form)))

    def _changed(self, before: StoredCheck, form: Mapping[str, str]) -> StoredCheck:
        if "reset" in form:
            return self.session.default_limit(before, form.get("quantity", ""))
        return self.session.limit(before, forms.limit(form))

    async def log(self, request: Request) -> Response:
        """Log a trip."""
        form = await self._form(request)
        if isinstance(form, Response):
            return form
        await self._beside(lambda: self.session.log(forms.told(form)))
        return RedirectResponse("/trips", 303)

    async def _form(self, request: Request) -> dict[str, str] | Response:
        """Return the fields of a form from one of our own pages, else the refusal."""
        async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
            fields = {name: value for name, value in form.items() if isinstance(value, str)}
        if not secrets.compare_digest(fields.pop("token", "").encode(), self.token.encode()):
            return self._message("Nothing was done", OLD_FORM, 403)
        return fields

    # -- answers -----------------------------------------------------------------------------

    async def _beside(self, work: Callable[[], T]) -> T:
        return await to_thread.run_sync(work, limiter=self._at_once)

    def _to(self, done: StoredCheck) -> Response:
        """Write a check's page and redirect to it."""
        text = self._written("check.html.j2", views.result(done))
        kept = {
            number: written for number, written in self._shown.items() if self.session.done(number)
        }
        self._shown = {**kept, done.number: text}
        return RedirectResponse(f"/check/{done.number}", 303)

    def trouble(self, request: Request, trouble: Exception) -> Response:
        """Show an expected error."""
        return self._message("That did not work", str(trouble), status_of(trouble))

    def _forgotten(self) -> Response:
        return self._message("This check is no longer available", FORGOTTEN, 404)

    def _message(self, title: str, text: str, status: int) -> Response:
        return self._page("message.html.j2", {"title": title, "text": text}, status)

    def _page(self, name: str, said: Mapping[str, Any], status: int = 200) -> Response:
        return HTMLResponse(self._written(name, said), status)

    def _written(self, name: str, said: Mapping[str, Any]) -> str:
        return self._templates.get_template(name).render(said, token=self.token)


READ_HINT = (
    "If you have read the warnings of your weather service and none is in force: when, by the"
    " water's clock. Leave it empty otherwise."
)
FORGOTTEN = (
    "Only the newest checks are available here. To list all checks, run: safety-check history list"
)
OLD_FORM = (
    "The server was restarted after this form was loaded. Go back, reload the page, and send the"
    " form again."
)
