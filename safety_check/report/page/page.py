"""The verdict as one page that needs no network, no other file and no script."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files
from typing import Any
from zoneinfo import ZoneInfo

from jinja2 import BaseLoader, ChoiceLoader, Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from safety_check.assess.float_plan import build_float_plan
from safety_check.model.clean_text import visible
from safety_check.model.local_clock import LocalClock
from safety_check.model.sight_table import SightTable
from safety_check.model.verdict import Severity, Verdict
from safety_check.report import (
    advice,
    float_plan,
    local_rules,
    moving_water,
    official_warnings,
    words,
)
from safety_check.report.credits import with_links
from safety_check.report.hour_limits import describe_limits
from safety_check.report.leave_signs import LEAVE_TITLE, leave_lines
from safety_check.report.map import lake_map
from safety_check.report.page.changes import changes_of
from safety_check.report.page.chart import build_charts
from safety_check.report.page.chart_parts import key
from safety_check.report.page.decision import decision_lines, whole_trip_lines
from safety_check.report.page.eyes import view_of
from safety_check.report.page.hour_strip import build_rows, worst_row
from safety_check.report.page.page_map import PageMap
from safety_check.report.page.page_reasons import explain, group_reasons, sort_within
from safety_check.report.page.unweighed import list_unweighed
from safety_check.report.page.water_band import draw_water_band
from safety_check.settings.settings import Settings

LONGEST_NAME = 80  # characters in a title; the float plan has the whole name
STYLES = (
    "base",
    "answer",
    "reasons",
    "hours",
    "map",
    "forms",
    "cards",
    "wide",
    "climate",
    "eyes",
    "print",
)
SCRIPTS = ("age", "hour", "chart", "layers", "eyes", "paper")
ESSENTIAL = ("If I am not back", "Who", "Craft", "Where and when")


def render_page(
    verdict: Verdict,
    settings: Settings,
    lake: PageMap | None = None,
    sight: SightTable | None = None,
) -> str:
    """Return the page as one self-contained HTML document.

    Parameters
    ----------
    verdict
        Every number and sentence comes from it.
    settings
        The units that the user reads in, and whom to call.
    lake
        The map, as `page_map.drawn` returns it.
    sight
        The verdicts on what can be seen at the launch.
    """
    shown = view(verdict, settings, lake, sight)
    return environment().get_template("page.html.j2").render(shown)


def view(
    verdict: Verdict,
    settings: Settings,
    lake: PageMap | None = None,
    sight: SightTable | None = None,
) -> dict[str, Any]:
    """Return the values of the template: texts, and positions on the paper."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    at = verdict.at.astimezone(zone)
    reasons = explain(verdict, settings)
    near, others = sort_within(reasons)
    rows = build_rows(verdict, settings.preferences)
    chosen = lake.chosen if lake else worst_row(rows)
    return {
        "verdict": verdict,
        "means": words.MEANS[verdict.severity],
        "when": _when(verdict, zone),
        "word": words.own_word(verdict, zone),
        "assumed": _assumed(verdict, settings, zone),
        "made": f"{words.day(at)} {words.clock(at)}",
        "weighty": group_reasons([one for one in reasons if one.severity > Severity.GO]),
        "within": near + others,
        "with_number": near,
        "without_number": others,
        "unweighed": list_unweighed(verdict),
        "water_band": draw_water_band(verdict, settings.preferences),
        "charts": build_charts(verdict, settings.preferences, chosen),
        "map": lake,
        "shown_units": settings.preferences,
        "spread": words.SPREAD,
        "limits": describe_limits(
            verdict.around or verdict.hours,
            settings.preferences,
            LocalClock.of(verdict.plan),
        ),
        "rows": rows,
        "chosen": chosen,
        "decision": decision_lines(verdict),
        "whole_trip": whole_trip_lines(verdict),
        "sight": view_of(sight, verdict, settings.preferences) if sight else None,
        "changes": changes_of(verdict, settings.preferences),
        "leave": leave_lines(verdict, settings.preferences),
        "leave_title": LEAVE_TITLE,
        "rules": local_rules.local_rule_lines(verdict, settings.preferences),
        "rules_title": local_rules.TITLE,
        "movement": moving_water.movement_lines(verdict, settings.preferences),
        "movement_title": moving_water.TITLE_OF_MOVEMENT,
        "warned": official_warnings.warning_texts(verdict),
        "warned_title": official_warnings.TITLE,
        "advice": advice.advice_paragraphs(verdict, settings.preferences),
        "ashore": _ashore(verdict, settings),
        "origins": [words.origin(item, verdict.at) for item in verdict.provenance],
    }


def _assumed(verdict: Verdict, settings: Settings, zone: ZoneInfo) -> str:
    """Return what was assumed, in sentences."""
    prefer = settings.preferences
    said = (
        words.assumed_reach(verdict.plan, prefer),
        words.assumed_water(verdict.water, verdict.at, zone, prefer),
        prefer.note and f"{prefer.note}.",
    )
    return " ".join(filter(None, said))


def _when(verdict: Verdict, zone: ZoneInfo) -> str:
    return words.period(verdict.plan.start.astimezone(zone), verdict.plan.end.astimezone(zone))


def _ashore(verdict: Verdict, settings: Settings) -> list[float_plan.Section]:
    """Return the sections of the float plan that a shore contact needs."""
    made = build_float_plan(verdict.plan, settings.user.contact, verdict)
    parts = float_plan.sections(made, settings.preferences)
    return [part for part in parts if part.title in ESSENTIAL]


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
        finalize=visible,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"key": key, "short": short, "drawing": Markup, "links": with_links}
    made.globals |= {"style": Markup(style()), "script": Markup(script())}
    made.globals |= {"policy": policy(), "levels": tuple(Severity)}
    return made


def short(text: str, longest: int = LONGEST_NAME) -> str:
    """Return a name cut to what a title holds.

    Examples
    --------
    >>> short("Orvel Lake"), short("a long name", 6)
    ('Orvel Lake', 'a lon…')
    """
    return text if len(text) <= longest else text[: longest - 1] + "…"


@cache
def part(name: str) -> str:
    """Return a file that is copied into the page unchanged."""
    return files("safety_check.report").joinpath("templates", name).read_text(encoding="utf-8")


@cache
def style() -> str:
    """Return the style of every page, that of the map included.

    References
    ----------
    .. [OkabeIto2008] Okabe and Ito, Color universal design, 2008 (from memory, not read): of
       its eight colours, those of verdicts and lines.
    """
    return lake_map.STYLE + "".join(part(f"style/{name}.css") for name in STYLES)


@cache
def script() -> str:
    """Return the script of every page."""
    return "".join(part(f"script/{name}.js") for name in SCRIPTS)


def policy() -> str:
    """Return the content security policy of a single page: its own style and script."""
    return (
        f"default-src 'none'; style-src {digest(style())};"
        f" script-src {digest(script())}; img-src data:; base-uri 'none'; form-action 'none'"
    )


def digest(text: str) -> str:
    """Return how a policy names an inline style or script.

    Examples
    --------
    >>> digest("")
    "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
    """
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
