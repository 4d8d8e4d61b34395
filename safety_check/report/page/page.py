"""The verdict as one page that needs nothing else: no network, no other file, no script to read."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any
from zoneinfo import ZoneInfo

from jinja2 import BaseLoader, ChoiceLoader, Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from safety_check.assess.float_plan import build_float_plan as planned_ashore
from safety_check.model.verdict import HourVerdict, Severity, Verdict
from safety_check.report import advice, float_plan, words
from safety_check.report.map import lake_map
from safety_check.report.page.chart import build_chart
from safety_check.report.page.chart_parts import key
from safety_check.report.page.page_map import PageMap
from safety_check.report.page.page_reasons import explain
from safety_check.settings.settings import Settings

LONGEST_NAME = 80  # characters in a title; the whole name stands in the float plan
ESSENTIAL = ("If I am not back", "Who", "Craft", "Where and when")


def render_page(verdict: Verdict, settings: Settings, lake: PageMap | None = None) -> str:
    """Return the page as one self-contained HTML document.

    Parameters
    ----------
    verdict
        Every number and sentence comes from it.
    settings
        The units that the user reads in, and whom to call.
    lake
        The map, as `page_map.drawn` returns it.
    """
    return environment().get_template("page.html.j2").render(view(verdict, settings, lake))


def view(verdict: Verdict, settings: Settings, lake: PageMap | None = None) -> dict[str, Any]:
    """Return what the template places, all of it text or places on the paper."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    reasons = explain(verdict, settings)
    rows = _rows(verdict, settings, zone)
    return {
        "verdict": verdict,
        "means": words.MEANS[verdict.severity],
        "when": _when(verdict, zone),
        "made": _moment(verdict, zone),
        "weighty": [each for each in reasons if each.severity > Severity.GO],
        "within": [each for each in reasons if each.severity == Severity.GO],
        "chart": build_chart(verdict, settings.preferences),
        "map": lake,
        "units": settings.preferences,
        "rows": rows,
        "worst_hour": max(
            range(len(rows)), key=lambda at: rows[at].in_trip and rows[at].hour.severity + 1
        ),
        "windows": [words.window(each, zone) for each in verdict.windows[:2]],
        "advice": advice.advice_paragraphs(verdict, settings.preferences),
        "ashore": _ashore(verdict, settings),
        "origins": [words.origin(each, verdict.at) for each in verdict.provenance],
    }


@dataclass(frozen=True)
class Row:
    """One hour as the table and the slider say it."""

    hour: HourVerdict
    clock: str
    day: str
    in_trip: bool
    wind: str
    gusts: str
    direction: str
    waves: str
    odds: tuple[tuple[Severity, str], ...]


def _rows(verdict: Verdict, settings: Settings, zone: ZoneInfo) -> list[Row]:
    trip = {each.time for each in verdict.hours}
    rows = []
    day = ""
    for hour in verdict.around or verdict.hours:
        local = hour.time.astimezone(zone)
        new_day = words.day(local)
        _, wind, gusts, direction, waves, _ = words.cells(hour, settings.preferences)
        rows.append(
            Row(
                hour=hour,
                clock=words.clock(local),
                day=new_day if new_day != day else "",
                in_trip=hour.time in trip,
                wind=str(wind),
                gusts=str(gusts),
                direction=str(direction),
                waves=str(waves),
                odds=tuple((each, f"{100 * hour.odds.get(each, 0.0):.0f} %") for each in Severity),
            )
        )
        day = new_day
    return rows


def _when(verdict: Verdict, zone: ZoneInfo) -> str:
    start, end = (each.astimezone(zone) for each in (verdict.plan.start, verdict.plan.end))
    return f"{words.day(start)} {words.clock(start)} to {words.end(start, end)}"


def _moment(verdict: Verdict, zone: ZoneInfo) -> str:
    at = verdict.at.astimezone(zone)
    return f"{words.day(at)} {words.clock(at)}"


def _ashore(verdict: Verdict, settings: Settings) -> list[float_plan.Section]:
    """Return of the float plan what somebody ashore must know."""
    made = planned_ashore(verdict.plan, settings.user.contact, verdict)
    explain = float_plan.sections(made, settings.preferences)
    return [each for each in explain if each.title in ESSENTIAL]


# -- the templates -----------------------------------------------------------------------------


@cache
def environment(more: BaseLoader | None = None) -> Environment:
    """Return the templates, every text escaped, a missing value an error.

    Parameters
    ----------
    more
        Templates that are looked for first.
    """
    own = PackageLoader("safety_check.report")
    made = Environment(
        loader=ChoiceLoader([more, own]) if more else own,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"key": key, "short": short, "drawing": Markup}
    made.globals |= {"style": Markup(style()), "script": Markup(part("page.js"))}
    made.globals |= {"policy": policy(), "levels": tuple(Severity)}
    return made


def short(text: str, longest: int = LONGEST_NAME) -> str:
    """Return a name cut to what a title holds.

    Examples
    --------
    >>> short("Heron Lake"), short("a long name", 6)
    ('Heron Lake', 'a lon…')
    """
    return text if len(text) <= longest else text[: longest - 1] + "…"


@cache
def part(name: str) -> str:
    """Return a file that is written into the page as it stands."""
    return files("safety_check.report").joinpath("templates", name).read_text(encoding="utf-8")


@cache
def style() -> str:
    """Return the style of every page, that of the map included."""
    return part("page.css") + lake_map.STYLE


def policy() -> str:
    """Return the content security policy of a page by itself: its own style, its own script."""
    return (
        f"default-src 'none'; style-src {digest(style())};"
        f" script-src {digest(part('page.js'))}; img-src data:; base-uri 'none'; form-action 'none'"
    )


def digest(text: str) -> str:
    """Return how a policy names an inline style or script.

    Examples
    --------
    >>> digest("")
    "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
    """
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
