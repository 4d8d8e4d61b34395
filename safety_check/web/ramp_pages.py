"""The page that points out a ramp on the outline of a water; it needs no script."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.errors import PlanError
from safety_check.model.place import Launch, Water
from safety_check.use_cases.place_in_words import require_position
from safety_check.use_cases.ramp_place import add_launch, nearest_shore, remove_launch
from safety_check.waters import files
from safety_check.web import ramp_views, water_labels
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.form_errors import at_fields
from safety_check.web.own_pages import OWN
from safety_check.web.own_views import water_page
from safety_check.web.session import Session


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = RampPages(answers, session)
    return [
        Route("/water/{water}/ramp", pages.ramp),
        Route("/water/{water}/ramp", pages.store, methods=["POST"]),
        Route("/water/{water}/launch/remove", pages.remove, methods=["POST"]),
        Route("/water/{water}/outline.svg", pages.outline),
    ]


class RampPages:
    """The pages of the launches of a water."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    def _known(self, request: Request) -> Water:
        water = files.load(request.path_params["water"], self.session.settings().folders.waters)
        return ramp_views.require_shoreline(water)

    async def ramp(self, request: Request) -> Response:
        """Show the outline; after a tap, lead to a closer view."""
        said = dict(request.query_params)
        return await self.answers.beside(lambda: self._ramp(request, said))

    def _ramp(self, request: Request, said: Form, errors: Errors = NOTHING_WRONG) -> Response:
        water = self._known(request)
        if to := ramp_views.tapped(water, said):
            return self.answers.to(to)
        try:
            values = ramp_views.ramp(self.session.settings(), water, said, errors)
        except PlanError as trouble:
            errors = at_fields(trouble, water_labels.RAMP)
            values = ramp_views.ramp(self.session.settings(), water, said, errors)
        return self.answers.page("ramp.html.j2", values, 422 if errors else 200)

    async def store(self, request: Request) -> Response:
        """Store the place as a launch, on the shore."""

        def work(form: Form) -> Response:
            water = self._known(request)
            at = require_position(form.get("at", ""), "at")
            (latitude, longitude), _ = nearest_shore(water, at)
            launch = Launch(form.get("name", "").strip(), latitude, longitude)
            folder = self.session.settings().folders.waters
            self.session.change(lambda: add_launch(water.name, launch, folder))
            return self.answers.to(OWN)

        def again(form: Form, errors: Errors) -> Response:
            return self._ramp(request, form, errors)

        return await self.answers.done_once(request, work, again, water_labels.RAMP)

    async def remove(self, request: Request) -> Response:
        """Remove a launch."""
        form = await self.answers.form(request)
        name, folder = request.path_params["water"], self.session.settings().folders.waters
        await self.answers.beside(
            lambda: self.session.change(lambda: remove_launch(name, form.get("launch", ""), folder))
        )
        return self.answers.to(water_page(name))

    async def outline(self, request: Request) -> Response:
        """Draw the outline of a view."""
        said = dict(request.query_params)
        text = await self.answers.beside(
            lambda: ramp_views.outline(self.session.settings(), self._known(request), said)
        )
        return Response(text, media_type="image/svg+xml")
