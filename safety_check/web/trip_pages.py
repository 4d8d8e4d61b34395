"""The page of the trip log, and its form."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.errors import PlanError
from safety_check.model.trip import SuggestedLimits
from safety_check.report.suggestions import rows_of, typed_limit
from safety_check.report.trips import row_of
from safety_check.units import Preferences
from safety_check.use_cases.own_limits import LimitWords, set_limit
from safety_check.use_cases.own_units import at_own_waters
from safety_check.web import forms, labels, views
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.from_store import read_suggestions
from safety_check.web.session import Session


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = TripPages(answers, session)
    return [
        Route("/trips", pages.trips),
        Route("/trips", pages.log, methods=["POST"]),
        Route("/trips/limits", pages.accept, methods=["POST"]),
    ]


class TripPages:
    """The pages of the logged trips."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def trips(self, request: Request) -> Response:
        """Show the trip log."""
        return await self.answers.look(self._trips)

    def _trips(self, form: Form | None = None, errors: Errors = NOTHING_WRONG) -> Response:
        prefer = at_own_waters(self.session.settings()).preferences
        said = {
            "trips": [row_of(trip, prefer) for trip in reversed(self.session.trips())],
            "learnt": suggested(read_suggestions(self.session), prefer),
            "labels": {},
            "errors": errors,
        }
        return self.answers.page("trips.html.j2", said)

    async def accept(self, request: Request) -> Response:
        """Set a limit that the log suggests."""

        def work(form: Form) -> Response:
            set_limit(self._suggested(form), self.session.settings())
            return self.answers.to("/trips")

        return await self.answers.done_once(request, work, self._trips, {})

    def _suggested(self, form: Form) -> LimitWords:
        """Return the limit that the log still suggests for the craft and quantity of a form."""
        prefer = at_own_waters(self.session.settings()).preferences
        asked = form.get("craft", ""), form.get("quantity", "")
        for learnt in read_suggestions(self.session):
            if (learnt.craft, asked[1]) == asked and asked[1] in rows_of(learnt, prefer):
                return LimitWords(**asdict(typed_limit(asked[1], learnt, prefer)))
        raise PlanError("the log no longer suggests this limit. Nothing was changed.")

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


def suggested(learnt: Iterable[SuggestedLimits], prefer: Preferences) -> list[dict[str, Any]]:
    """Return what the log suggests for each craft, with the limit that would be set."""
    return [
        {
            "craft": one.craft,
            "quantity": quantity,
            "rows": rows,
            "limit": _words(quantity, one, prefer),
        }
        for one in learnt
        for quantity, rows in rows_of(one, prefer).items()
    ]


def _words(quantity: str, learnt: SuggestedLimits, prefer: Preferences) -> str:
    limit = typed_limit(quantity, learnt, prefer)
    bounds = (("caution from", limit.marginal), ("no-go from", limit.no_go))
    return ", ".join(f"{word} {bound}" for word, bound in bounds if bound)
