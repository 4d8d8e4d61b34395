"""The pages that add, show, describe and remove a water."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace

from starlette.middleware import Middleware
from starlette.middleware.body_limit import RequestBodyLimitMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.errors import PlanError, SafetyCheckError
from safety_check.model.place import Water
from safety_check.use_cases import find_waters
from safety_check.use_cases.find_waters import Candidates
from safety_check.use_cases.new_water import store_water
from safety_check.use_cases.place_in_words import require_position
from safety_check.use_cases.water_facts import set_facts
from safety_check.use_cases.water_movement import read_kind
from safety_check.waters import files
from safety_check.web import water_forms, water_labels, water_views
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.found import FoundWaters
from safety_check.web.own_pages import OWN
from safety_check.web.own_views import ramp_page, water_page
from safety_check.web.session import Session
from safety_check.web.upload import GREATEST_UPLOAD, read_upload

GREATEST_BODY = 3 * GREATEST_UPLOAD  # so that a file that is too large is told at its field
UNKNOWN = "You have no water of this name. Your things list all that you have."
GONE = "This search is no longer stored. Look for the water again."


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = WaterPages(answers, session)
    large = [Middleware(RequestBodyLimitMiddleware, max_body_size=GREATEST_BODY)]
    return [
        Route("/waters/add", pages.add),
        Route("/waters/file", pages.from_file, methods=["POST"], middleware=large),
        Route("/waters/find", pages.of_name, methods=["POST"]),
        Route("/waters/near", pages.near, methods=["POST"]),
        Route("/waters/found/{key}", pages.found),
        Route("/waters/found/{key}", pages.store, methods=["POST"]),
        Route("/water/{water}", pages.water),
        Route("/water/{water}", pages.describe, methods=["POST"]),
        Route("/water/{water}/remove", pages.remove, methods=["POST"]),
    ]


class WaterPages:
    """The pages of the user's waters."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session
        self._found = FoundWaters()

    # -- look for it -------------------------------------------------------------------------

    async def add(self, request: Request) -> Response:
        """Show the three ways to add a water."""
        return self._add()

    def _add(self, given: Form | None = None, errors: Errors = NOTHING_WRONG) -> Response:
        return self.answers.page("water_add.html.j2", water_views.add(given) | {"errors": errors})

    async def from_file(self, request: Request) -> Response:
        """Read a file that the user sends."""
        upload = await read_upload(request, water_labels.FILE)

        def work(form: Form) -> Response:
            content = upload.checked(water_labels.FILE)
            with at_field(water_labels.FILE, "The file "):
                return self._to(find_waters.in_file(content, upload.name))

        return await self._look(request, work)

    async def of_name(self, request: Request) -> Response:
        """Look for a name on the map."""

        def work(form: Form) -> Response:
            name = form.get(water_labels.NAME, "").strip()
            if not name:
                raise PlanError("Write the name of the water.", field=water_labels.NAME)
            with at_field(water_labels.NAME):
                return self._to(find_waters.of_name(name, self.session.settings()))

        return await self._look(request, work)

    async def near(self, request: Request) -> Response:
        """Look for waters at a place on the map."""

        def work(form: Form) -> Response:
            place = require_position(form.get(water_labels.NEAR, ""), water_labels.NEAR)
            with at_field(water_labels.NEAR):
                return self._to(find_waters.near_place(place, self.session.settings()))

        return await self._look(request, work)

    async def _look(self, request: Request, work: Callable[[Form], Response]) -> Response:
        return await self.answers.done_once(request, work, self._add, water_labels.ADD)

    def _to(self, found: Candidates) -> Response:
        return self.answers.to(f"/waters/found/{self._found.keep(found)}")

    # -- choose and store it -----------------------------------------------------------------

    async def found(self, request: Request) -> Response:
        """Show what was found, to choose from and to name."""
        key = request.path_params["key"]
        return await self.answers.beside(lambda: self._choose(key))

    def _choose(
        self, key: str, given: Form | None = None, errors: Errors = NOTHING_WRONG
    ) -> Response:
        candidates = self._found.get(key)
        if candidates is None:
            return self.answers.message("Nothing was stored", GONE, 404)
        said = water_views.found(self.session, key, candidates, given)
        return self.answers.page("water_found.html.j2", said | {"errors": errors})

    async def store(self, request: Request) -> Response:
        """Store the water that the user chose."""
        key = request.path_params["key"]

        def work(form: Form) -> Response:
            candidates = self._found.get(key)
            if candidates is None:
                return self.answers.message("Nothing was stored", GONE, 404)
            water = self._built(candidates, form)
            self.session.change(lambda: store_water(water, self.session.settings()))
            near = candidates.near
            at = f"?at={near[0]:.5f},{near[1]:.5f}" if near else ""
            done = water_page(water.name) if water.launches else f"{ramp_page(water.name)}{at}"
            return self.answers.to(done)

        def again(form: Form, errors: Errors) -> Response:
            return self._choose(key, form, errors)

        return await self.answers.done_once(request, work, again, water_labels.FOUND)

    def _built(self, candidates: Candidates, form: Form) -> Water:
        said, kind = form.get("choice", "0"), form.get("kind", "")
        choices = dict(enumerate(candidates.options))
        chosen = choices.get(int(said) if said.isascii() and said.isdigit() else -1)
        if chosen is None:
            raise PlanError("Choose one of the waters.", field="choice")
        moves = read_kind(kind, "kind") if kind else None
        water = chosen.build(form.get("name", "").strip(), water_forms.depth(form))
        known = files.known(water.name, self.session.settings().folders.waters)
        if known and "replace" not in form:
            raise PlanError(
                f"You have a water {water.name!r}. Choose another name, or confirm that it is"
                " replaced.",
                field="name",
            )
        return replace(water, kind=moves)

    # -- one water ---------------------------------------------------------------------------

    async def water(self, request: Request) -> Response:
        """Show what is known of a water."""
        name = request.path_params["water"]
        return await self.answers.beside(lambda: self._water(name))

    def _water(
        self, name: str, given: Form | None = None, errors: Errors = NOTHING_WRONG
    ) -> Response:
        if not files.known(name, self.session.settings().folders.waters):
            return self.answers.message("No such water", UNKNOWN, 404)
        said = water_views.water(self.session, name, given)
        return self.answers.page("water.html.j2", said | {"errors": errors})

    async def describe(self, request: Request) -> Response:
        """Store what the user says of a water."""
        name = request.path_params["water"]

        def work(form: Form) -> Response:
            said, folder = water_forms.facts(form), self.session.settings().folders.waters
            self.session.change(lambda: set_facts(name, said, folder))
            return self.answers.to(water_page(name))

        def again(form: Form, errors: Errors) -> Response:
            return self._water(name, form, errors)

        return await self.answers.done_once(request, work, again, water_labels.FACTS)

    async def remove(self, request: Request) -> Response:
        """Remove a water."""
        await self.answers.form(request)
        name = request.path_params["water"]

        def work() -> None:
            files.remove(name, self.session.settings().folders.waters)

        await self.answers.beside(lambda: self.session.change(work))
        return self.answers.to(OWN)


@contextmanager
def at_field(field: str, begins: str = "") -> Iterator[None]:
    """Bring an error to the only field of a form, with words that the fault begins with."""
    try:
        yield
    except SafetyCheckError as trouble:
        trouble.field, trouble.fault = field, f"{begins}{trouble.fault}"
        raise
