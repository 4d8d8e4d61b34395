"""The pages of what the user says once: what is missing, paddler, shore contact and craft."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.settings.settings import Settings
from safety_check.use_cases.declaration import declare_paddler, set_contact
from safety_check.use_cases.own_craft import add_craft, remove_craft
from safety_check.web import own_forms, own_labels, own_views
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.session import Session

OWN = "/own"


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = OwnPages(answers, session)
    return [
        Route(OWN, pages.own),
        Route("/paddler", pages.paddler),
        Route("/paddler", pages.declare, methods=["POST"]),
        Route("/contact", pages.contact),
        Route("/contact", pages.set_contact, methods=["POST"]),
        Route("/craft", pages.craft),
        Route("/craft", pages.set_craft, methods=["POST"]),
        Route("/craft/remove", pages.remove_craft, methods=["POST"]),
    ]


class OwnPages:
    """The pages of what the user says once."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def own(self, request: Request) -> Response:
        """Show all of it, and what keeps every check from being a GO."""
        return await self.answers.beside(
            lambda: self.answers.page("own.html.j2", own_views.own(self.session))
        )

    # -- paddler and contact -----------------------------------------------------------------

    async def paddler(self, request: Request) -> Response:
        """Show the form of what the paddler brings."""
        return await self.answers.beside(self._paddler)

    def _paddler(self, given: Form | None = None, errors: Errors = NOTHING_WRONG) -> Response:
        return self._form("paddler.html.j2", own_views.paddler, given, errors)

    async def declare(self, request: Request) -> Response:
        """Store what the paddler brings."""

        def work(form: Form) -> Response:
            self.session.change(lambda: declare_paddler(own_forms.declared(form)))
            return self.answers.to(OWN)

        return await self.answers.done_once(request, work, self._paddler, own_labels.PADDLER)

    async def contact(self, request: Request) -> Response:
        """Show the form of the shore contact."""
        return await self.answers.beside(self._contact)

    def _contact(self, given: Form | None = None, errors: Errors = NOTHING_WRONG) -> Response:
        return self._form("contact.html.j2", own_views.contact, given, errors)

    async def set_contact(self, request: Request) -> Response:
        """Store the shore contact."""

        def work(form: Form) -> Response:
            self.session.change(lambda: set_contact(own_forms.contact(form)))
            return self.answers.to(OWN)

        return await self.answers.done_once(request, work, self._contact, own_labels.CONTACT)

    def _form(
        self,
        template: str,
        view: Callable[[Settings, Mapping[str, str] | None], dict[str, Any]],
        given: Form | None,
        errors: Errors,
    ) -> Response:
        said = view(self.session.settings(), given)
        return self.answers.page(template, said | {"errors": errors})

    # -- craft -------------------------------------------------------------------------------

    async def craft(self, request: Request) -> Response:
        """Show the form of a craft."""
        name = request.query_params.get("craft", "")
        return await self.answers.beside(lambda: self._craft({"known": name}))

    def _craft(self, given: Form, errors: Errors = NOTHING_WRONG) -> Response:
        typed = given if errors else None
        said = own_views.craft(self.session.settings(), given.get("known", ""), typed)
        return self.answers.page("craft.html.j2", said | {"errors": errors})

    async def set_craft(self, request: Request) -> Response:
        """Add a craft, or change one."""

        def work(form: Form) -> Response:
            name, figures = form.get("name", "").strip(), own_forms.figures(form)
            default = "default" in form
            self.session.change(lambda: add_craft(name, form.get("kind", ""), figures, default))
            return self.answers.to(OWN)

        return await self.answers.done_once(request, work, self._craft, own_labels.CRAFT)

    async def remove_craft(self, request: Request) -> Response:
        """Remove a craft and its limits."""
        form = await self.answers.form(request)
        name = form.get("craft", "")
        await self.answers.beside(lambda: self.session.change(lambda: remove_craft(name)))
        return self.answers.to(OWN)
