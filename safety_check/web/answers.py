"""What every module of pages uses: read a form, work beside the server, write a page."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from anyio import CapacityLimiter, to_thread
from jinja2 import PackageLoader
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from safety_check.errors import ConfigError, DataError, PlanError, SafetyCheckError, SourceError
from safety_check.report.page import page
from safety_check.web import assets
from safety_check.web.form_errors import at_fields, in_words
from safety_check.web.once import FIELD, REMEMBERED, Once
from safety_check.web.progress import Progress

GREATEST_FORM = 32 * 1024  # bytes; the notes of a trip are the longest field
MOST_FIELDS = 40
AT_ONCE = 2  # pieces of work; more wait
LOOKS_AT_ONCE = 4  # pages that are read and drawn, which no check may hold up
TEMPLATES = PackageLoader("safety_check.web")
STATUS = ((PlanError, 422), (ConfigError, 422), (DataError, 502), (SourceError, 502))

T = TypeVar("T")
Form = Mapping[str, str]  # the fields of a form by name, as they were typed
Errors = Mapping[str, str]  # what is wrong by the name of the field; "" for the whole form
NOTHING_WRONG: Errors = {}


class OldFormError(SafetyCheckError):
    """A form that carries no token of this run of the server."""


class Answers:
    """The answers of the live page; slow work runs in threads, with few at the same time.

    Attributes
    ----------
    token
        What each form of this run of the server carries.
    once
        The forms that are at work, so that a double tap does it once.
    progress
        Which services have answered them.
    """

    def __init__(self) -> None:
        self.token = secrets.token_urlsafe(16)
        self.once = Once()
        self.progress = Progress()
        self._at_once = CapacityLimiter(AT_ONCE)
        self._looks = CapacityLimiter(LOOKS_AT_ONCE)
        self._templates = page.environment(TEMPLATES)
        self._templates.globals["new_key"] = lambda: secrets.token_urlsafe(12)
        self._templates.globals["script_of"] = lambda name: Markup(assets.script(name))

    async def form(self, request: Request) -> dict[str, str]:
        """Return the fields of a form from one of our own pages.

        Raises
        ------
        OldFormError
            Where the form does not carry the token.
        """
        async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
            fields = {name: value for name, value in form.items() if isinstance(value, str)}
        self.require_token(fields.pop("token", ""))
        return fields

    async def done_once(
        self,
        request: Request,
        work: Callable[[Form], Response],
        again: Callable[[Form, Errors], Response],
        labels: Mapping[str, str],
        remembered: float = REMEMBERED,
    ) -> Response:
        """Do what a form asks for; after an error show the form again, with the error at its field.

        Parameters
        ----------
        request
            With a form of one of our own pages.
        work
            Does it; runs in a thread.
        again
            Shows the form as it was typed, with what is wrong by field.
        labels
            The labels of the form, by field.
        remembered
            How long the same form gets the same answer. [s]
        """
        form = await self.form(request)

        def followed() -> Response:
            with self.progress.of(form.get(FIELD, "")):
                return work(form)

        async def answer() -> Response:
            try:
                return await self.beside(followed)
            except SafetyCheckError as trouble:
                errors, status = at_fields(trouble, labels), status_of(trouble)
            shown = await self.beside(lambda: again(form, errors))
            shown.status_code = status
            return shown

        return await self.once.answer(request.url.path, form, answer, remembered)

    def require_token(self, token: str) -> None:
        """Refuse a form that does not carry the token."""
        if not secrets.compare_digest(token.encode(), self.token.encode()):
            raise OldFormError(OLD_FORM)

    async def beside(self, work: Callable[[], T]) -> T:
        """Return the result of slow work, done in a thread."""
        return await to_thread.run_sync(work, limiter=self._at_once)

    async def look(self, work: Callable[[], T]) -> T:
        """Return the result of reading and drawing, done in a thread; it waits for no check."""
        return await to_thread.run_sync(work, limiter=self._looks)

    def page(self, name: str, said: Mapping[str, Any], status: int = 200) -> Response:
        """Return a template as a page."""
        return HTMLResponse(self.written(name, said), status)

    def written(self, name: str, said: Mapping[str, Any]) -> str:
        """Return the text of a template."""
        return self._templates.get_template(name).render(said, token=self.token)

    def to(self, path: str) -> Response:
        """Lead to a page of our own after a form was processed."""
        return RedirectResponse(path, 303)

    def message(self, title: str, text: str, status: int) -> Response:
        """Return a page that holds one message."""
        return self.page("message.html.j2", {"title": title, "text": text}, status)

    def trouble(self, request: Request, trouble: Exception) -> Response:
        """Show an expected error."""
        if isinstance(trouble, OldFormError):
            return self.message("Nothing was done", str(trouble), 403)
        said = in_words(trouble) if isinstance(trouble, SafetyCheckError) else str(trouble)
        return self.message("That did not work", said, status_of(trouble))


def status_of(trouble: Exception) -> int:
    """Return the HTTP status of an expected error."""
    return next((status for kind, status in STATUS if isinstance(trouble, kind)), 500)


OLD_FORM = (
    "The server was restarted after this form was loaded. Go back, reload the page, and send the"
    " form again."
)
