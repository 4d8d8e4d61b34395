"""The history of checks, and the float plan of each."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from safety_check.assess.float_plan import FloatPlan, build_float_plan
from safety_check.report import float_plan
from safety_check.report.history import row_of
from safety_check.report.map.float_plan_map import water_map
from safety_check.web.answers import Answers
from safety_check.web.check_pages import as_number, number_in
from safety_check.web.from_store import read_history
from safety_check.web.session import Session, StoredCheck

A_PAGE = 30  # checks


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = HistoryPages(answers, session)
    return [
        Route("/history", pages.history),
        Route("/plan/{number}", pages.plan),
        Route("/plan/{number}/file", pages.file),
    ]


def check_path(number: int) -> str:
    """Return the address of a check of the history."""
    return f"/check/{number}"


class HistoryPages:
    """The pages of what is stored."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def history(self, request: Request) -> Response:
        """List the checks, the newest first."""
        before = as_number(request.query_params.get("before", ""))
        return await self.answers.look(lambda: self._history(before if before > 0 else None))

    def _history(self, before: int | None) -> Response:
        found = read_history(self.session, A_PAGE + 1, before)
        said = {
            "checks": [(check_path(line.id), row_of(line)) for line in found[:A_PAGE]],
            "newest": before is None,
            "older": found[A_PAGE - 1].id if len(found) > A_PAGE else None,
        }
        return self.answers.page("history.html.j2", said)

    async def plan(self, request: Request) -> Response:
        """Show the float plan of a check, to print or to share."""
        return await self.answers.look(lambda: self._plan(number_in(request)))

    def _plan(self, number: int) -> Response:
        done = self.session.done(number)
        if done is None:
            return self.answers.message("There is no such check", GONE, 404)
        return self.answers.page("plan.html.j2", plan_view(number, done))

    async def file(self, request: Request) -> Response:
        """Send the float plan as one file to download."""
        return await self.answers.look(lambda: self._file(number_in(request)))

    def _file(self, number: int) -> Response:
        done = self.session.done(number)
        if done is None:
            return self.answers.message("There is no such check", GONE, 404)
        name = f"float-plan-{done.verdict.plan.start:%Y-%m-%d}.html"
        return HTMLResponse(
            float_plan.html(float_plan_of(done), done.settings.preferences),
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )


def float_plan_of(done: StoredCheck) -> FloatPlan:
    """Return the float plan of a check's trip."""
    contact = done.settings.user.contact
    return build_float_plan(done.verdict.plan, contact, done.verdict)


def plan_view(number: int, done: StoredCheck) -> dict[str, Any]:
    """Return the float plan of a check as its page shows it."""
    made, prefer = float_plan_of(done), done.settings.preferences
    text = float_plan.short_text(made, prefer)
    return {
        "number": number,
        "check": check_path(number),
        "summary": float_plan.summary(made),
        "unsent": float_plan.not_sent_note(made),
        "sections": float_plan.sections(made, prefer),
        "map": water_map(made.plan),
        "attribution": made.plan.water.attribution,
        "text": text,
        "mail": f"mailto:?subject={quote(float_plan.TITLE)}&body={quote(text)}",
        "sms": f"sms:?&body={quote(text)}",
        "lacks": float_plan.missing_names(made),
    }


GONE = "The history has no such check. See History for all that are stored."
