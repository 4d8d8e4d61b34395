"""The pages of the limits: all that hold, and the form of one."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.use_cases.own_limits import reset_limits, set_limit
from safety_check.web import limit_views, own_forms, own_labels
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.limit_views import Whose
from safety_check.web.session import Session


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = LimitPages(answers, session)
    return [
        Route("/limits", pages.limits),
        Route("/limits/one", pages.limit),
        Route("/limits/one", pages.set, methods=["POST"]),
    ]


def whose(said: Mapping[str, str]) -> Whose:
    """Return for which craft and water a form or an address asks."""
    return Whose(said.get("craft", ""), said.get("water", ""))


class LimitPages:
    """The pages of the limits."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def limits(self, request: Request) -> Response:
        """Show all limits that hold for a craft on a water."""
        asked = whose(request.query_params)
        return await self.answers.beside(
            lambda: self.answers.page(
                "limits.html.j2", limit_views.limits(self.session.settings(), asked)
            )
        )

    async def limit(self, request: Request) -> Response:
        """Show the form of one limit."""
        asked = dict(request.query_params)
        return await self.answers.beside(lambda: self._limit(asked))

    def _limit(self, asked: Form, errors: Errors = NOTHING_WRONG) -> Response:
        typed = asked if errors else None
        quantity = asked.get("quantity", "")
        said = limit_views.limit(self.session.settings(), whose(asked), quantity, typed)
        return self.answers.page("limit.html.j2", said | {"errors": errors})

    async def set(self, request: Request) -> Response:
        """Set a limit, or go back to the default."""

        def work(form: Form) -> Response:
            self.session.change(lambda: self._changed(form))
            return self.answers.to(whose(form).page())

        return await self.answers.done_once(request, work, self._limit, own_labels.LIMIT)

    def _changed(self, form: Form) -> None:
        said = own_forms.limit(form)
        if "reset" in form:
            reset_limits(said.craft, said.water, said.name)
        else:
            set_limit(said, self.session.settings())
