"""The float plan as text and as a page to print; the page needs nothing but itself."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.assess.float_plan import FloatPlan
from safety_check.model.verdict import Severity
from safety_check.report.json import level
from safety_check.report.map.float_plan_map import water_map
from safety_check.report.terminal import WIDTH
from safety_check.units import Preferences, show

TITLE = "Float plan"
LABEL = 14  # columns of a label
MARKS = {True: "[x]", False: "[!]", None: "[ ]"}
POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
UNSAID = "not said"
SAID_ONCE = ("name", "phone", "emergency_name", "emergency_phone", "vehicle", "colours")
WEARING = {"none": "no immersion clothing", "wetsuit": "a wetsuit", "drysuit": "a drysuit"}
ALLOWS = {
    Severity.GO: "enough for this water",
    Severity.MARGINAL: "only with caution",
    Severity.UNKNOWN: "not known whether it is enough",
    Severity.NO_GO: "not enough: do not go",
}


@dataclass(frozen=True)
class Section:
    """A heading, and what stands under it: label and text; no label continues."""

    title: str
    rows: tuple[tuple[str, str], ...]


def text(made: FloatPlan, prefer: Preferences) -> str:
    """Return the float plan as text of eighty columns."""
    parts = [f"{TITLE.upper()}: {_summary(made)}", not_sent_note(made)]
    for section in sections(made, prefer):
        parts += ["", section.title, *(_row(*row) for row in section.rows)]
    return "\n".join(textwrap.fill(each, WIDTH) if each in parts[:2] else each for each in parts)


def html(made: FloatPlan, prefer: Preferences) -> str:
    """Return the float plan as one page, for paper."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("safety_check.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("float_plan.html.j2").render(
        title=TITLE,
        summary=_summary(made),
        unsent=not_sent_note(made),
        sections=sections(made, prefer),
        map=water_map(made.plan),
        attribution=made.plan.water.attribution,
    )


def as_json(made: FloatPlan, prefer: Preferences) -> dict[str, Any]:
    """Return the float plan as plain values, and as the text says it."""
    return {
        "return_by": made.plan.end.isoformat(),
        "alarm": made.alarm.isoformat(),
        "sunset": made.sunset.isoformat() if made.sunset else None,
        "water_temperature": None if math.isnan(made.water_temperature) else made.water_temperature,
        "clothing": {name: level(allows) for name, allows in made.clothing},
        "gear": [{"what": each.what, "ready": each.ready} for each in made.gear],
        "sections": {
            each.title: [list(row) for row in each.rows] for each in sections(made, prefer)
        },
    }


def missing_entries(made: FloatPlan) -> str:
    """Return what the user can still say once for all float plans; nothing where all is said."""
    unsaid = [name for name in SAID_ONCE if not getattr(made.contact, name)]
    if not unsaid:
        return ""
    return (
        f"This float plan lacks {', '.join(unsaid)}. Say each once: safety-check settings set"
        f" contact.{unsaid[0]} …"
    )


def not_sent_note(made: FloatPlan) -> str:
    """Return who must be given this, since nothing has been sent."""
    whom = made.contact.emergency_name or "someone who stays ashore"
    return f"Nothing has been sent. Give this yourself to {whom}, and say when you are back."


def sections(made: FloatPlan, prefer: Preferences) -> list[Section]:
    """Return all that the float plan says, in the order in which it is read."""
    return [
        Section("If I am not back", tuple(_overdue(made, prefer))),
        Section("Who", tuple(_who(made))),
        Section("Craft", tuple(_craft(made, prefer))),
        Section("Where and when", tuple(_where(made, prefer))),
        Section("Water and clothing", tuple(_water(made, prefer))),
        Section("Gear", tuple((MARKS[each.ready], each.what) for each in made.gear)),
        Section("Weather", tuple(_weather(made))),
        *([Section("Note", (("", made.note),))] if made.note else []),
    ]


Rows = Iterator[tuple[str, str]]


def _overdue(made: FloatPlan, prefer: Preferences) -> Rows:
    contact, plan = made.contact, made.plan
    yield _clock(made, plan.end), "I am off the water and tell you so."
    reached = f"Call me: {contact.phone}." if contact.phone else "Call me."
    look = f" Look for the vehicle: {contact.vehicle}." if contact.vehicle else ""
    yield "after that", f"{reached}{look}"
    yield _clock(made, made.alarm), "Raise the alarm. Do not wait longer, and do not search alone."
    yield "call", f"The emergency number: {made.numbers}. {made.coast}"
    yield "say", _spoken(made, prefer)


def _spoken(made: FloatPlan, prefer: Preferences) -> str:
    """Return what to read out to the emergency service."""
    plan, launch = made.plan, made.plan.launch
    who = made.contact.name or "Someone"
    company = {"alone": ", alone,", "group": ", in company,"}.get(plan.paddler.company or "", "")
    looks = f" ({made.contact.colours})" if made.contact.colours else ""
    said = [
        f"{who}{company} launched a {plan.craft.label}{looks} at {_clock(made, plan.start)} from"
        f" {launch.name}, {launch.latitude:.5f}, {launch.longitude:.5f}, on {plan.water.name}, and"
        f" was to be back by {_clock(made, plan.end)}.",
        f"{_goes(made, prefer)}.",
        {"worn": "A life jacket is worn."}.get(plan.paddler.life_jacket or "", ""),
    ]
    if not math.isnan(made.water_temperature):
        said.append(f"The water is at {_degrees(made, prefer)}.")
    if made.downwind is not None:
        said.append(f"The wind drives what drifts to the {_compass(made.downwind)}.")
    return " ".join(each for each in said if each)


def _who(made: FloatPlan) -> Rows:
    contact, paddler = made.contact, made.plan.paddler
    yield "name", contact.name or UNSAID
    yield "phone", contact.phone or UNSAID
    yield (
        "company",
        {"alone": "none: alone", "group": "in company"}.get(paddler.company or "", "not declared"),
    )
    ashore = " ".join(each for each in (contact.emergency_name, contact.emergency_phone) if each)
    yield "waits ashore", ashore or UNSAID


def _craft(made: FloatPlan, prefer: Preferences) -> Rows:
    craft, contact = made.plan.craft, made.contact
    name = craft.label if craft.name == craft.kind else f"{craft.name}, a {craft.label}"
    size = " by ".join(show(each, "length", prefer.wave) for each in (craft.length, craft.beam))
    yield "craft", f"{name}, {size}"
    yield "colours", contact.colours or UNSAID
    yield "vehicle", contact.vehicle or UNSAID


def _where(made: FloatPlan, prefer: Preferences) -> Rows:
    plan, launch = made.plan, made.plan.launch
    hours = (plan.end - plan.start) / timedelta(hours=1)
    yield "water", plan.water.name
    yield "launch", f"{launch.name} ({launch.latitude:.5f}, {launch.longitude:.5f})"
    yield "goes", _goes(made, prefer)
    yield "out", f"{_moment(made, plan.start)}, for {hours:g} h"
    yield "back by", f"{_moment(made, plan.end)} ({plan.water.time_zone})"
    if made.sunset is not None:
        yield "sunset", f"{_moment(made, made.sunset)}"


def _goes(made: FloatPlan, prefer: Preferences) -> str:
    plan = made.plan
    shore = ""
    if math.isfinite(plan.from_shore):
        shore = f", at most {show(plan.from_shore, 'length', prefer.distance)} from the shore"
    if plan.route is None:
        return f"Up to {show(plan.reach, 'length', prefer.distance)} from the launch{shore}"
    corners = "; ".join(f"{latitude:.5f}, {longitude:.5f}" for longitude, latitude in plan.route)
    return f"From the launch by {corners}, and back{shore}"


def _water(made: FloatPlan, prefer: Preferences) -> Rows:
    worn = made.plan.paddler.wearing
    yield "water", _degrees(made, prefer)
    yield "wearing", WEARING[worn] if worn else "not declared"
    for name, allows in made.clothing:
        yield "", f"{WEARING[name]}: {ALLOWS[allows]}"
    least, most = made.exhaustion
    if math.isfinite(most):
        yield (
            "in the water",
            f"exhausted after {_span(least)} to {_span(most)} by the search and rescue table,"
            " with a life jacket, in calm water; swimming fails far sooner",
        )


def _weather(made: FloatPlan) -> Rows:
    verdict = made.verdict
    if verdict is None:
        yield "forecast", "none was weighed for this float plan: safety-check check"
        return
    at = f"{_moment(made, verdict.at)}"
    yield "last check", f"{verdict.severity}, made {at}"
    for each in verdict.findings:
        if each.severity == verdict.severity > Severity.GO:
            yield "", each.reason
    if made.downwind is not None:
        blows = _compass((made.downwind + 180) % 360)
        yield "strongest wind", f"from {blows}: what drifts goes to the {_compass(made.downwind)}"


# -- words ---------------------------------------------------------------------------------------


def _summary(made: FloatPlan) -> str:
    plan, who = made.plan, made.contact.name or "a paddler"
    return (
        f"{who} on {plan.water.name}, {_day(made, plan.start)}, back by {_clock(made, plan.end)};"
        f" alarm at {_clock(made, made.alarm)}"
    )


def _row(label: str, said: str) -> str:
    return textwrap.fill(
        said,
        WIDTH,
        initial_indent=f" {label:{LABEL}} ",
        subsequent_indent=" " * (LABEL + 2),
        break_on_hyphens=False,
    )


def _local(made: FloatPlan, moment: datetime) -> datetime:
    return moment.astimezone(ZoneInfo(made.plan.water.time_zone))


def _day(made: FloatPlan, moment: datetime) -> str:
    local = _local(made, moment)
    return f"{local:%a} {local.day} {local:%b %Y}"


def _clock(made: FloatPlan, moment: datetime) -> str:
    """Return the time of day; with the day where that is not the day of the launch."""
    local, start = _local(made, moment), _local(made, made.plan.start)
    return f"{local:%H:%M}" if local.date() == start.date() else f"{local:%a %H:%M}"


def _moment(made: FloatPlan, moment: datetime) -> str:
    return f"{_day(made, moment)} {_local(made, moment):%H:%M}"


def _degrees(made: FloatPlan, prefer: Preferences) -> str:
    if math.isnan(made.water_temperature):
        return "not known: dress for the coldest that it may be"
    return show(made.water_temperature, "temperature", prefer.temperature)


def _span(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds < 7200 else f"{seconds / 3600:.0f} h"


def _compass(degrees: float) -> str:
    return POINTS[round(degrees / 45) % 8]
