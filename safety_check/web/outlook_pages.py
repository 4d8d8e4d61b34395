"""The coming days at the user's waters: a form, the days as cards, and a calendar of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.assess.outlook import best_first
from safety_check.errors import PlanError
from safety_check.model.outlook import Day, Outlook
from safety_check.report import outlook
from safety_check.report.calendar import windows_calendar
from safety_check.use_cases.outlook import MOST_DAYS, USUAL_HOURS, OutlookRequest, compare_outlooks
from safety_check.use_cases.plan_request import MOVEMENT, PlanRequest
from safety_check.web import forms, labels, views
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.check_pages import READ_HINT
from safety_check.web.session import Session

USUAL_DAYS = 3
PLACE = "place"  # and a number: one field for each place of the form


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = OutlookPages(answers, session)
    return [
        Route("/outlook", pages.form),
        Route("/outlook", pages.look, methods=["POST"]),
    ]


@dataclass(frozen=True)
class Ahead:
    """The coming days at the chosen waters.

    Parameters
    ----------
    asked
        What was asked of all of them.
    found
        One for each water.
    remarks
        What the user should know about the history.
    """

    asked: PlanRequest
    found: list[Outlook]
    remarks: tuple[str, ...]


class OutlookPages:
    """The form of an outlook, and its result."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def form(self, request: Request) -> Response:
        """Show the form."""
        return await self.answers.look(self._form)

    def _form(self, given: Form | None = None, errors: Errors = NOTHING_WRONG) -> Response:
        said = outlook_form(self.session, given)
        return self.answers.page(
            "outlook_form.html.j2", said | {"errors": errors, "read_hint": READ_HINT}
        )

    async def look(self, request: Request) -> Response:
        """Show the coming days, or send them as a calendar."""

        def work(form: Form) -> Response:
            ahead = look_ahead(self.session, form)
            if "calendar" in form:
                return _calendar(ahead)
            return self.answers.page("outlook.html.j2", result(ahead, self.session, form))

        return await self.answers.done_once(request, work, self._form, labels.OUTLOOK)


def _calendar(ahead: Ahead) -> Response:
    headers = {"Content-Disposition": 'attachment; filename="safety-check.ics"'}
    return Response(windows_calendar(ahead.found), headers=headers, media_type="text/calendar")


def look_ahead(session: Session, form: Form) -> Ahead:
    """Return the coming days that a form asks for."""
    asked = replace(forms.asked({**form, "place": ""}), as_of=session.as_of)
    remarks: list[str] = []
    ahead = OutlookRequest(
        waters=_places(form),
        days=_days(form.get("days", "")),
        hours=None if asked.hours is None else str(asked.hours),
        forecasts=() if session.forecast is None else (session.forecast,),
        asked=replace(asked, hours=None),
    )
    found = compare_outlooks(ahead, session.settings(), remarks.append)
    return Ahead(asked, found, tuple(dict.fromkeys(remarks)))


def _days(text: str) -> int:
    if not (text.strip().isascii() and text.strip().isdigit()):
        raise PlanError(
            f"{text!r} is not a number of days. Give from 1 to {MOST_DAYS}.", field="days"
        )
    return int(text.strip()[:4])


def _places(form: Form) -> tuple[str, ...]:
    """Return the chosen launches, as the command line names them."""
    chosen = [text for name, text in form.items() if name.startswith(PLACE) and text]
    if not chosen:
        raise PlanError("choose at least one.", field="places")
    found = [forms.chosen_place(text) for text in chosen]
    return tuple(f"{water}:{launch}" if launch else str(water) for water, launch in found)


# -- the values of the pages ---------------------------------------------------------------------


def outlook_form(session: Session, given: Form | None = None) -> dict[str, Any]:
    """Return the values of the form; `given` is what the user typed before an error."""
    said = views.home(session, given)
    places = said["places"]
    usual = {f"{PLACE}{number}": key for number, (key, _, _) in enumerate(places)}
    before = {
        **dict.fromkeys((*MOVEMENT, "read_at"), ""),
        "days": str(USUAL_DAYS),
        "hours": USUAL_HOURS,
        **usual,
    }
    return said | {
        "labels": labels.OUTLOOK,
        "movement": labels.MOVEMENT_AHEAD,
        "value": said["value"] | (before if given is None else given),
    }


def result(ahead: Ahead, session: Session, form: Form) -> dict[str, Any]:
    """Return the coming days as the page shows them, the best of all first."""
    prefer = session.settings().at(ahead.found[0].plan.launch).preferences
    ranked = best_first(ahead.found)
    best = ranked[0] if ranked and ranked[0].window else None
    return {
        "first": outlook.first_line(ahead.found, ranked),
        "best": best and check_fields(best, ahead.asked),
        "assumptions": outlook.assumptions(ahead.found, prefer),
        "notes": outlook.notes(ahead.found, prefer),
        "remarks": ahead.remarks,
        "hours": ahead.found[0].hours,
        "waters": [
            {
                "name": one.plan.water.name,
                "launch": one.plan.launch.name,
                "craft": one.plan.craft.label,
                "days": [_card(day, ahead.asked, day is best) for day in one.days],
            }
            for one in ahead.found
        ],
        "again": {name: text for name, text in form.items() if name != "calendar"},
    }


def _card(day: Day, asked: PlanRequest, best: bool) -> dict[str, Any]:
    return {
        "row": outlook.row_of(day),
        "best": best,
        "check": check_fields(day, asked) if day.window else None,
    }


def check_fields(day: Day, asked: PlanRequest) -> dict[str, str]:
    """Return the fields of a form that checks the best trip of a day."""
    plan, zone = day.plan, ZoneInfo(day.plan.water.time_zone)
    request = replace(
        asked,
        water=plan.water.name,
        launch=plan.launch.name,
        craft=plan.craft.name,
        start=f"{plan.start.astimezone(zone):%Y-%m-%dT%H:%M}",
        hours=f"{(plan.end - plan.start).total_seconds() / 3600:g}",
    )
    read = {"read_at": asked.read_at} if asked.read_at else {}
    return views.repeat_fields(request) | read
