"""The page of the trip log, and its form."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.web import forms, labels, views
from safety_check.web.answers import Answers, Errors, Form
from safety_check.web.session import Session


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = TripPages(answers, session)
    return [Route("/trips", pages.trips), Route("/trips", pages.log, methods=["POST"])]


class TripPages:
    """The pages of the logged trips."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def trips(self, request: Request) -> Response:
        """Show the trip log."""
        return await self.answers.beside(
            lambda: self.answers.page("trips.html.j2", views.trips(self.session))
        )

    async def log(self, request: Request) -> Response:
        """Log a trip, once."""

        def work(form: Form) -> Response:
            self.session.log(forms.told(form))
            return self.answers.to("/trips")

        def again(form: Form, errors: Errors) -> Response:
            said: dict[str, Any] = {"title": "Log this trip", "nothing_done": "Not logged."}
            said |= {"form": "forms/trip.html.j2", "errors": errors}
            values = views.trip_form_again(form, self.session.settings())
            return self.answers.page("form.html.j2", values | said)

        return await self.answers.done_once(request, work, again, labels.TRIP)
