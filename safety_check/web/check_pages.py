"""The pages of a check: its form, its result, and one of its limits changed."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from safety_check.errors import DataError
from safety_check.report.page import page
from safety_check.use_cases.sight_table import sightings_of_stored
from safety_check.web import forms, labels, updates, views
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.form_errors import WHOLE
from safety_check.web.news import BY_LIMIT, news_since
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
        Route("/check/{number}/again", pages.again, methods=["POST"]),
        Route("/check/{number}/limit", pages.limit, methods=["POST"]),
        Route("/last", pages.last),
    ]


def number_in(request: Request) -> int:
    """Return the number of a check in an address; 0 where it is not a valid number."""
    return as_number(str(request.path_params["number"]))


def as_number(text: str) -> int:
    """Return the number of a check; 0 where the text is not a valid number.

    Examples
    --------
    >>> as_number("12"), as_number("-1"), as_number("1.5"), as_number("9" * 10)
    (12, -1, 0, 0)
    """
    digits = text.removeprefix("-")
    short = len(digits) <= LONGEST_NUMBER
    return int(text) if short and digits.isascii() and digits.isdigit() else 0


class CheckPages:
    """The pages of the checks in the history, whoever made them."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def home(self, request: Request) -> Response:
        """Show the form."""
        return await self.answers.look(self._home)

    def _home(self, given: Form | None = None, errors: Errors = NOTHING_WRONG) -> Response:
        said = views.home(self.session, given)
        return self.answers.page("home.html.j2", said | {"errors": errors, "read_hint": READ_HINT})

    async def check(self, request: Request) -> Response:
        """Check what a form asks for, once."""

        def work(form: Form) -> Response:
            return self.answers.to(f"/check/{self.session.check(forms.asked(form)).number}")

        return await self.answers.done_once(request, work, self._home, labels.PLAN)

    async def result(self, request: Request) -> Response:
        """Show a stored check."""
        return await self.answers.look(lambda: self._result(request))

    def _result(self, request: Request, errors: Errors = NOTHING_WRONG) -> Response:
        done = self._done(request)
        if isinstance(done, Response):
            return done
        since = as_number(request.query_params.get("since", ""))
        by = request.query_params.get("by", "")
        news = news_since(since, done.number, by, done.settings) if since else []
        said = views.result(done, news, self.session.over(done))
        said |= {"read_hint": READ_HINT, "errors": errors, "listens": updates.LISTENS}
        return self.answers.page("check.html.j2", said)

    async def file(self, request: Request) -> Response:
        """Send a check as one file to download."""
        return await self.answers.look(lambda: self._file(request))

    def _file(self, request: Request) -> Response:
        done = self._done(request)
        if isinstance(done, Response):
            return done
        sight = sightings_of_stored(done.number, done.settings)
        text = page.render_page(done.verdict, done.settings, done.lake, sight)
        name = f"safety-check-{done.verdict.plan.start:%Y-%m-%d}.html"
        return HTMLResponse(text, headers={"Content-Disposition": f'attachment; filename="{name}"'})

    def _done(self, request: Request) -> StoredCheck | Response:
        """Return the check of an address, or the page that says why there is none."""
        try:
            done = self.session.done(number_in(request))
        except DataError as trouble:
            return self.answers.message("This check can't be shown", str(trouble), 410)
        return done or self.answers.message("There is no such check", NONE_SUCH, 404)

    async def again(self, request: Request) -> Response:
        """Check the same trip again, with newer data."""

        def work(form: Form) -> Response:
            before = required(self.session.done(number_in(request)))
            done = self.session.again(before, form.get("read_at", "").strip() or None)
            return self.answers.to(f"/check/{done.number}?since={before.number}")

        def shown(form: Form, errors: Errors) -> Response:
            if WHOLE in errors:
                return self.answers.message("Not checked again", errors[WHOLE], 422)
            return self._result(request, errors)

        return await self.answers.done_once(request, work, shown, labels.PLAN, remembered=0.0)

    async def limit(self, request: Request) -> Response:
        """Set or remove a limit of the user's own, and repeat the check."""
        before = await self.answers.look(lambda: self.session.done(number_in(request)))

        def work(form: Form) -> Response:
            old = required(before)
            done = self._changed(old, form)
            return self.answers.to(f"/check/{done.number}?since={old.number}&by={BY_LIMIT}")

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
        newest = await self.answers.look(self.session.shelf.newest)
        return self.answers.to(f"/check/{newest}" if newest else "/")


READ_HINT = (
    "If you have read the warnings of your weather service and none is in force: when, by the"
    " water's clock. Leave it empty otherwise."
)
NONE_SUCH = (
    "The history has no check of this number. To list all checks, run: safety-check history list"
)
