"""The pages of a check: its form, its result, and one of its limits changed."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from safety_check.report.page import page
from safety_check.web import forms, labels, views
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.form_errors import WHOLE
from safety_check.web.session import Session, StoredCheck, required

LONGEST_NUMBER = 9  # digits of a check's number in an address


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = CheckPages(answers, session)
    return [
        Route("/", pages.home),
        Route("/check", pages.check, methods=["POST"]),
        Route("/check/{number}", pages.result),
        Route("/check/{number}/file", pages.file),
        Route("/check/{number}/limit", pages.limit, methods=["POST"]),
        Route("/last", pages.last),
    ]


def number_in(request: Request) -> int:
    """Return the number of a check in an address; -1 where it is not a valid number."""
    text = str(request.path_params["number"])
    short = len(text) <= LONGEST_NUMBER
    return int(text) if short and text.isascii() and text.isdigit() else -1


class CheckPages:
    """The pages of the checks that were made since the server started."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session
        self._shown: dict[int, str] = {}

    async def home(self, request: Request) -> Response:
        """Show the form."""
        return await self.answers.beside(self._home)

    def _home(self, given: Form | None = None, errors: Errors = NOTHING_WRONG) -> Response:
        said = views.home(self.session, given)
        return self.answers.page("home.html.j2", said | {"errors": errors, "read_hint": READ_HINT})

    async def check(self, request: Request) -> Response:
        """Check what a form asks for, once."""

        def work(form: Form) -> Response:
            return self._to(self.session.check(forms.asked(form)))

        return await self.answers.done_once(request, work, self._home, labels.PLAN)

    async def result(self, request: Request) -> Response:
        """Show a check as it was written when it was made."""
        text = self._shown.get(number_in(request))
        return HTMLResponse(text) if text else self._forgotten()

    async def file(self, request: Request) -> Response:
        """Send a check as one file to download."""
        done = self.session.done(number_in(request))
        if done is None:
            return self._forgotten()
        text = await self.answers.beside(
            lambda: page.render_page(done.verdict, done.settings, done.lake)
        )
        name = f"safety-check-{done.verdict.plan.start:%Y-%m-%d}.html"
        return HTMLResponse(text, headers={"Content-Disposition": f'attachment; filename="{name}"'})

    async def limit(self, request: Request) -> Response:
        """Set or remove a limit of the user's own, and repeat the check."""
        before = self.session.done(number_in(request))

        def work(form: Form) -> Response:
            return self._to(self._changed(required(before), form))

        def again(form: Form, errors: Errors) -> Response:
            if before is None:
                return self.answers.message("Nothing was done", errors[WHOLE], 422)
            said: dict[str, Any] = {
                "title": "Change one of your limits",
                "nothing_done": "Nothing was changed.",
            }
            said |= {"form": "forms/limit.html.j2", "errors": errors}
            return self.answers.page("form.html.j2", views.limit_form(before, form) | said)

        # A limit may be set, removed and set again from the same page: only a double tap is one.
        return await self.answers.done_once(request, work, again, labels.LIMIT, remembered=0.0)

    def _changed(self, before: StoredCheck, form: Form) -> StoredCheck:
        if "reset" in form:
            return self.session.default_limit(before, form.get("quantity", ""))
        return self.session.limit(before, forms.limit(form))

    async def last(self, request: Request) -> Response:
        """Go to the newest check, or to the form where there is none."""
        newest = max(self._shown, default=None)
        return self.answers.to(f"/check/{newest}" if newest else "/")

    def _to(self, done: StoredCheck) -> Response:
        """Write a check's page and redirect to it."""
        said = views.result(done) | {"read_hint": READ_HINT}
        text = self.answers.written("check.html.j2", said)
        kept = {
            number: written for number, written in self._shown.items() if self.session.done(number)
        }
        self._shown = {**kept, done.number: text}
        return self.answers.to(f"/check/{done.number}")

    def _forgotten(self) -> Response:
        return self.answers.message("This check is no longer available", FORGOTTEN, 404)


READ_HINT = (
    "If you have read the warnings of your weather service and none is in force: when, by the"
    " water's clock. Leave it empty otherwise."
)
FORGOTTEN = (
    "Only the newest checks are available here. To list all checks, run: safety-check history list"
)
