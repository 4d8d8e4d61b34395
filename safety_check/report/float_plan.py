"""The float plan as text and as a page to print that needs no other file."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from safety_check.assess.float_plan import FloatPlan
from safety_check.model.clean_text import visible
from safety_check.model.craft import with_article
from safety_check.model.local_clock import LocalClock
from safety_check.model.verdict import Severity
from safety_check.report.credits import data_credits, with_links
from safety_check.report.json import level
from safety_check.report.layout import WIDTH
from safety_check.report.leave_signs import LEAVE_TITLE, leave_lines
from safety_check.report.map.float_plan_map import water_map
from safety_check.report.moving_water import TITLE_OF_MOVEMENT, movement_lines
from safety_check.report.words import clock, day
from safety_check.units import Preferences, compass, show, show_radius

TITLE = "Float plan"
LABEL = 14  # columns of a label
MARKS = {True: "[x]", False: "[!]", None: "[ ]"}
NOT_GIVEN = "not given"
CONTACT_ENTRIES = ("name", "phone", "emergency_name", "emergency_phone", "vehicle", "colours")
WEARING = {"none": "no immersion clothing", "wetsuit": "a wetsuit", "drysuit": "a drysuit"}
ALLOWS = {
    Severity.GO: "within the limits for this water temperature",
    Severity.MARGINAL: "extra caution in this water temperature",
    Severity.UNKNOWN: "not known: no water temperature",
    Severity.NO_GO: "not enough for this water temperature: do not go",
}


@dataclass(frozen=True)
class Section:
    """A heading and its rows of label and text; a row without a label continues the one above."""

    title: str
    rows: tuple[tuple[str, str], ...]


def text(made: FloatPlan, prefer: Preferences) -> str:
    """Return the float plan as text of eighty columns."""
    parts = [f"{TITLE.upper()}: {summary(made)}", not_sent_note(made)]
    for section in sections(made, prefer):
        parts += ["", section.title, *(_row(*row) for row in section.rows)]
    return "\n".join([*(textwrap.fill(part, WIDTH) for part in parts[:2]), *parts[2:]])


def short_text(made: FloatPlan, prefer: Preferences) -> str:
    """Return the float plan as one paragraph, short enough for a text message."""
    plan, launch, contact = made.plan, made.plan.launch, made.contact
    alone = {"alone": ", alone", "group": ", in company"}.get(plan.paddler.company or "", "")
    looks = f" ({contact.colours})" if contact.colours else ""
    call = f" Call {contact.phone}." if contact.phone else ""
    look = f" Vehicle: {contact.vehicle}." if contact.vehicle else ""
    return (
        f"{contact.name or 'Float plan'}{alone}, {plan.craft.label}{looks}, {plan.water.name} from"
        f" {launch.latitude:.5f},{launch.longitude:.5f}, {day(_local(made, plan.start))}"
        f" {_clock(made, plan.start)}, back by {_clock(made, plan.end)}. {_goes(made, prefer)}."
        f" Not heard from me by {_clock(made, made.alarm)}: raise the alarm.{call}{look}"
    )


def html(made: FloatPlan, prefer: Preferences) -> str:
    """Return the float plan as one page, for paper."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("safety_check.report"),
        autoescape=True,
        finalize=visible,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["links"] = with_links
    return environment.get_template("float_plan.html.j2").render(
        title=TITLE,
        summary=summary(made),
        unsent=not_sent_note(made),
        sections=sections(made, prefer),
        map=water_map(made.plan),
        attribution=made.plan.water.attribution,
    )


def as_json(made: FloatPlan, prefer: Preferences) -> dict[str, Any]:
    """Return the float plan as plain values, and in the words of the text."""
    return {
        "return_by": made.plan.end.isoformat(),
        "alarm": made.alarm.isoformat(),
        "sunset": made.sunset.isoformat() if made.sunset else None,
        "water_temperature": None if math.isnan(made.water_temperature) else made.water_temperature,
        "credits": _credits(made),
        "clothing": {name: level(allows) for name, allows in made.clothing},
        "gear": [{"what": item.what, "ready": item.ready} for item in made.gear],
        "sections": {
            section.title: [list(row) for row in section.rows] for section in sections(made, prefer)
        },
    }


def _moving(made: FloatPlan, prefer: Preferences) -> list[Section]:
    """Return high and low water and the turn of the current; nothing on still water."""
    lines = movement_lines(made.verdict, prefer) if made.verdict else []
    return _if_any(TITLE_OF_MOVEMENT, lines)


def _leave(made: FloatPlan, prefer: Preferences) -> list[Section]:
    """Return the signs that it is time to leave, for the paddler."""
    lines = leave_lines(made.verdict, prefer) if made.verdict else []
    return [Section(LEAVE_TITLE, tuple(("", line) for line in lines))] if lines else []


def missing_names(made: FloatPlan) -> list[str]:
    """Return the keys of [contact] that are empty."""
    return [name for name in CONTACT_ENTRIES if not getattr(made.contact, name)]


def missing_entries(made: FloatPlan) -> str:
    """Return which entries the user can still fill in for all float plans; empty for none."""
    missing = missing_names(made)
    if not missing:
        return ""
    return (
        f"This float plan lacks {', '.join(missing)}. Enter each once: safety-check settings set"
        f" contact.{missing[0]} …"
    )


def not_sent_note(made: FloatPlan) -> str:
    """Return to whom the user must give this, since nothing has been sent."""
    whom = made.contact.emergency_name or "someone who stays ashore"
    return f"Nothing has been sent. Give this to {whom} yourself, and report when you are back."


def sections(made: FloatPlan, prefer: Preferences) -> list[Section]:
    """Return the sections of the float plan in reading order."""
    return [
        Section("If I am not back", tuple(_overdue(made, prefer))),
        Section("Who", tuple(_who(made))),
        Section("Craft", tuple(_craft(made, prefer))),
        Section("Where and when", tuple(_where(made, prefer))),
        Section("Water and clothing", tuple(_water(made, prefer))),
        *_moving(made, prefer),
        *_leave(made, prefer),
        Section("Gear", tuple((MARKS[item.ready], item.what) for item in made.gear)),
        Section("Weather", tuple(_weather(made))),
        *_if_any("Note", [made.note] if made.note else []),
        *_if_any("Credits", _credits(made)),
    ]


def _if_any(title: str, texts: list[str]) -> list[Section]:
    return [Section(title, tuple(("", text) for text in texts))] if texts else []


def _credits(made: FloatPlan) -> list[str]:
    return data_credits(made.verdict.provenance if made.verdict else (), made.plan.water)


Rows = Iterator[tuple[str, str]]


def _overdue(made: FloatPlan, prefer: Preferences) -> Rows:
    contact, plan = made.contact, made.plan
    yield _clock(made, plan.end), "I will be off the water and will tell you."
    reached = f"Call me: {contact.phone}." if contact.phone else "Call me."
    look = f" Look for the vehicle: {contact.vehicle}." if contact.vehicle else ""
    yield "if overdue", f"{reached}{look}"
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
        f"{who}{company} launched {with_article(plan.craft.label)}{looks} at"
        f" {_clock(made, plan.start)} from {launch.name}, {launch.latitude:.5f},"
        f" {launch.longitude:.5f}, on {plan.water.name},"
        f" due back by {_clock(made, plan.end)}.",
        f"{_goes(made, prefer)}.",
        {"worn": "A life jacket is worn."}.get(plan.paddler.life_jacket or "", ""),
    ]
    if not math.isnan(made.water_temperature):
        said.append(f"The water temperature is {_degrees(made, prefer)}.")
    if made.downwind is not None:
        said.append(f"The wind pushes anything adrift to the {compass(made.downwind)}.")
    return " ".join(sentence for sentence in said if sentence)


def _who(made: FloatPlan) -> Rows:
    contact, paddler = made.contact, made.plan.paddler
    yield "name", contact.name or NOT_GIVEN
    yield "phone", contact.phone or NOT_GIVEN
    yield (
        "company",
        {"alone": "none: alone", "group": "in company"}.get(paddler.company or "", "not declared"),
    )
    ashore = " ".join(filter(None, (contact.emergency_name, contact.emergency_phone)))
    yield "shore contact", ashore or NOT_GIVEN


def _craft(made: FloatPlan, prefer: Preferences) -> Rows:
    craft, contact = made.plan.craft, made.contact
    name = craft.label if craft.name == craft.kind else f"{craft.name}, {with_article(craft.label)}"
    size = " by ".join(show(side, "length", prefer.wave) for side in (craft.length, craft.beam))
    yield "craft", f"{name}, {size}"
    yield "colours", contact.colours or NOT_GIVEN
    yield "vehicle", contact.vehicle or NOT_GIVEN


def _where(made: FloatPlan, prefer: Preferences) -> Rows:
    plan, launch = made.plan, made.plan.launch
    hours = (plan.end - plan.start) / timedelta(hours=1)
    yield "water", plan.water.name
    yield "launch", f"{launch.name} ({launch.latitude:.5f}, {launch.longitude:.5f})"
    yield "route", _goes(made, prefer)
    yield "out", f"{_moment(made, plan.start)}, for {hours:g} h"
    yield "back by", f"{_moment(made, plan.end)} ({plan.water.time_zone})"
    if made.sunset is not None:
        yield "sunset", f"{_moment(made, made.sunset)}"


def _goes(made: FloatPlan, prefer: Preferences) -> str:
    plan = made.plan
    shore = ""
    if math.isfinite(plan.from_shore):
        shore = f", at most {show_radius(plan.from_shore, prefer.distance)} from the shore"
    if plan.route is None:
        assumed = " (assumed: no reach was given)" if plan.reach_assumed else ""
        return f"Up to {show_radius(plan.reach, prefer.distance)} from the launch{assumed}{shore}"
    corners = "; ".join(f"{latitude:.5f}, {longitude:.5f}" for longitude, latitude in plan.route)
    return f"From the launch via {corners}, and back{shore}"


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
            " with a life jacket, in calm water; the ability to swim fails far sooner",
        )


def _weather(made: FloatPlan) -> Rows:
    verdict = made.verdict
    if verdict is None:
        yield "forecast", "not checked for this float plan. Run safety-check check."
        return
    at = f"{_moment(made, verdict.at)}"
    yield "last check", f"{verdict.severity}, made {at}"
    for finding in verdict.findings:
        if finding.severity == verdict.severity > Severity.GO:
            yield "", finding.reason
    if made.downwind is not None:
        blows, drifts = (compass(bearing) for bearing in (made.downwind + 180, made.downwind))
        yield "strongest wind", f"from {blows}; anything adrift drifts to the {drifts}"


# -- words ---------------------------------------------------------------------------------------


def summary(made: FloatPlan) -> str:
    """Return who goes where, until when, and when to raise the alarm."""
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
    return f"{day(local)} {local:%Y}"


def _clock(made: FloatPlan, moment: datetime) -> str:
    return LocalClock.of(made.plan).time(moment)


def _moment(made: FloatPlan, moment: datetime) -> str:
    return f"{_day(made, moment)} {clock(_local(made, moment))}"


def _degrees(made: FloatPlan, prefer: Preferences) -> str:
    if math.isnan(made.water_temperature):
        return "not known: dress for the coldest it may be"
    shown = show(made.water_temperature, "temperature", prefer.temperature)
    water = made.verdict.water if made.verdict else None
    estimated = water is not None and water.warmest is not None
    if estimated and made.plan.water_temperature is None:
        return f"{shown}, the cold end of an estimate: nobody measured it"
    return shown


def _span(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds < 7200 else f"{seconds / 3600:.0f} h"
