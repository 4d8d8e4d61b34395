"""The ramp: one screen of big buttons for what one sees, and the answer of a real re-check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.errors import PlanError
from safety_check.model.changes import CompletedRecheck
from safety_check.model.local_clock import LocalClock
from safety_check.report import changes, words
from safety_check.report.page.eyes import POINTS, STATES
from safety_check.units import Preferences
from safety_check.use_cases.launch_observation import LaunchObservation
from safety_check.use_cases.recheck import RecheckRequest, recheck_plan
from safety_check.web.answers import NOTHING_WRONG, Answers, Errors, Form
from safety_check.web.check_pages import number_in
from safety_check.web.session import Session, StoredCheck, required

LABELS = {
    "wind": "Wind",
    "gust": "Gusts",
    "water_temperature": "Water",
    "state": "The water",
    "from_direction": "Wind comes from",
}


def routes(answers: Answers, session: Session) -> list[Route]:
    """Return the addresses of these pages."""
    pages = RecheckPages(answers, session)
    return [
        Route("/check/{number}/ramp", pages.form),
        Route("/check/{number}/ramp", pages.recheck, methods=["POST"]),
    ]


class RecheckPages:
    """The form of what is seen at the launch, and what it makes of a check."""

    def __init__(self, answers: Answers, session: Session) -> None:
        self.answers, self.session = answers, session

    async def form(self, request: Request) -> Response:
        """Show the buttons."""
        return await self.answers.look(
            lambda: self._form(required(self.session.done(number_in(request))))
        )

    def _form(
        self,
        done: StoredCheck,
        given: Mapping[str, str] | None = None,
        errors: Errors = NOTHING_WRONG,
    ) -> Response:
        said = {"labels": LABELS, "errors": errors, "value": given or {}, **_plan(done)}
        prefer = done.settings.preferences
        said |= {"states": STATES, "points": POINTS, "units": prefer}
        return self.answers.page("recheck.html.j2", said)

    async def recheck(self, request: Request) -> Response:
        """Check again with what is seen, and show what changed first."""
        done = required(self.session.done(number_in(request)))

        def work(form: Form) -> Response:
            again = request_of(done, form, self.session)
            result = recheck_plan(again, self.session.settings())
            return self.answers.page("recheck_answer.html.j2", answer(done, result))

        def again(form: Form, errors: Errors) -> Response:
            return self._form(done, form, errors)

        return await self.answers.done_once(request, work, again, LABELS)


def request_of(done: StoredCheck, form: Form, session: Session) -> RecheckRequest:
    """Return the re-check that a form asks for."""
    if done.number < 0:
        raise PlanError("this check is not in the history, so it cannot be re-checked. Check anew.")
    return RecheckRequest(
        number=done.number,
        seen=seen_in(form, done.settings.preferences),
        forecast=session.forecast,
        as_of=session.as_of,
    )


def seen_in(form: Mapping[str, str], prefer: Preferences) -> LaunchObservation:
    """Return what one sees, from the fields of a form; an empty field counts as not given."""
    said = {name: text.strip() for name, text in form.items() if text.strip()}
    more = {
        "gust": _with_unit(said.get("gust"), prefer.wind),
        "from_direction": said.get("from_direction"),
        "water_temperature": _with_unit(said.get("water_temperature"), prefer.temperature),
    }
    wind = _with_unit(said.get("wind"), prefer.wind)
    if wind or "state" not in said:
        return LaunchObservation(wind=wind, **more)  # type: ignore[arg-type]
    return LaunchObservation.of_state(said["state"], **more)


def _with_unit(number: str | None, unit: str) -> str | None:
    """Return a number with the unit beside its field; a text that names its own unit as it is."""
    if number is None:
        return None
    plain = number.replace(",", ".")
    return f"{plain} {unit}" if plain.replace(".", "", 1).isdigit() else number


def _plan(done: StoredCheck) -> dict[str, Any]:
    plan = done.verdict.plan
    zone = ZoneInfo(plan.water.time_zone)
    return {
        "number": done.number,
        "verdict": done.verdict,
        "plan": plan,
        "when": words.period(plan.start.astimezone(zone), plan.end.astimezone(zone)),
    }


def answer(done: StoredCheck, result: CompletedRecheck) -> dict[str, Any]:
    """Return what changed, then the verdict, for the page of the answer."""
    verdict = result.verdict
    prefer = done.settings.at(verdict.plan.launch).preferences
    local = LocalClock.of(verdict.plan)
    zone = ZoneInfo(verdict.plan.water.time_zone)
    return {
        **_plan(done),
        "verdict": verdict,
        "next_number": result.number or done.number,
        "head": changes.headline(result.changes, verdict.at, zone),
        "changed": changes.describe_changes(result.changes, prefer, local),
        "means": words.MEANS[verdict.severity],
        "reasons": [one.short for one in verdict.findings if one.severity == verdict.severity][:3],
        "remarks": result.remarks,
        "made": words.clock(verdict.at.astimezone(zone)),
    }
