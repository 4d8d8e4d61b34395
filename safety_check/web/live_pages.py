"""What a page asks while it is open: a newer check of its trip, and how far a check is."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from safety_check.web.answers import Answers
from safety_check.web.check_pages import number_in
from safety_check.web.session import Session
from safety_check.web.updates import Updates


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses that scripts ask."""
    pages = LivePages(answers, session)
    return [
        Route("/check/{number}/newer", pages.newer, methods=["POST"]),
        Route("/progress/{key}", pages.progress),
    ]


class LivePages:
    """The answers to the scripts of open pages; each is short, and none is held open."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers = answers
        self.updates = Updates(session, answers.beside)

    async def newer(self, request: Request) -> Response:
        """Say what a newer check of the page's trip changes, and have one made where it is due."""
        await self.answers.form(request)  # a form, because it may ask services
        number = number_in(request)
        update, due = await self.answers.look(lambda: self.updates.look(number))
        said = self.updates.answer(update, due)
        address = None if said.number is None else f"/check/{said.number}?since={number}"
        return JSONResponse(
            {"text": said.text, "address": address, "again_in": said.again_in},
            503 if said.full else 200,
        )

    async def progress(self, request: Request) -> Response:
        """Say which services have answered a check that is being made."""
        said = self.answers.progress.said(str(request.path_params["key"]))
        return Response(status_code=204) if said is None else JSONResponse(said)
