"""The forms of a water's page that add and remove what the user learnt of its wind."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.use_cases.water_notes import add_rule, remove_rule
from safety_check.web import water_forms, water_labels, water_views
from safety_check.web.answers import Answers, Errors, Form
from safety_check.web.own_views import water_page
from safety_check.web.session import Session


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these forms."""
    pages = RulePages(answers, session)
    return [
        Route("/water/{water}/rule", pages.add, methods=["POST"]),
        Route("/water/{water}/rule/remove", pages.remove, methods=["POST"]),
    ]


class RulePages:
    """The forms of the local rules of a water."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def add(self, request: Request) -> Response:
        """Add a rule, or replace the one of the same name."""
        name = request.path_params["water"]

        def work(form: Form) -> Response:
            rule, folder = water_forms.rule(form), self.session.settings().folders.waters
            self.session.change(lambda: add_rule(name, rule, folder))
            return self.answers.to(water_page(name))

        def again(form: Form, errors: Errors) -> Response:
            said = water_views.water(self.session, name, form, facts=False)
            return self.answers.page("water.html.j2", said | {"errors": errors})

        return await self.answers.done_once(request, work, again, water_labels.RULE)

    async def remove(self, request: Request) -> Response:
        """Remove a rule."""
        form = await self.answers.form(request)
        name, folder = request.path_params["water"], self.session.settings().folders.waters
        await self.answers.beside(
            lambda: self.session.change(lambda: remove_rule(name, form.get("rule", ""), folder))
        )
        return self.answers.to(water_page(name))
