"""The head of a report: the whole decision in a few lines that always fit."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import islice
from zoneinfo import ZoneInfo

from safety_check.model.advice import Advice
from safety_check.model.local_clock import LocalClock
from safety_check.model.plan import Plan
from safety_check.model.verdict import WARNINGS_TO_COME, Finding, Severity, Verdict, Window
from safety_check.report.advice import round_down
from safety_check.report.alternatives import change_in_words
from safety_check.report.layout import Layout
from safety_check.report.words import (
    MEANS,
    age,
    assumed_reach,
    enough_warmth,
    estimated_water,
    go_share,
    own_word,
    own_word_read,
    period,
    spans,
    window,
)
from safety_check.units import Preferences, show, show_limit, show_radius

WIDE, NARROW = 80, 40  # columns
LINES = {WIDE: 8, NARROW: 12}  # of a head at most, at that width and above
BETWEEN = 10  # lines at a width between the two
NAMES = (60, 30, 16)  # characters to which names are cut, step by step
CUT = "…"
Forms = tuple[str, ...]  # of one part of the head, the longest first

# The order in which parts are shortened. The part that decides is shortened last.
GIVES_WAY = ("odds", "data", "reach", "warnings", "trip", "times", "loosened", "instead", "why")


def add_opening(verdict: Verdict, preferences: Preferences, layout: Layout) -> str:
    """Add the head; below it what the user loosened, if that did not fit into the head.

    Returns
    -------
    str
        The head as it stands.
    """
    above = len(layout.lines)
    add_head(verdict, preferences, layout)
    head = " ".join(layout.lines[above:])
    if not all(sentence in head for sentence in verdict.loosened):
        layout.paragraph("")
        for sentence in verdict.loosened:
            layout.item(sentence)
    return head


def add_head(verdict: Verdict, preferences: Preferences, layout: Layout) -> None:
    """Add the head of a report to a layout; what does not fit is said shorter."""
    for text in fit_head(verdict, preferences, layout.width):
        layout.paragraph(text)


def most_lines(width: int) -> int:
    """Return how many lines a head has at most at a width."""
    if width >= WIDE:
        return LINES[WIDE]
    return LINES[NARROW] if width <= NARROW else BETWEEN


def fit_head(verdict: Verdict, preferences: Preferences, width: int) -> list[str]:
    """Return the paragraphs of the head, as long as they fit.

    Parameters
    ----------
    verdict, preferences
        What to report, and the units of the reader.
    width
        Columns.
    """
    parts = head_parts(verdict, preferences)
    shorter = _shorter(parts)
    chosen = dict.fromkeys(parts, 0)
    while _lines(_paragraphs(parts, chosen), width) > most_lines(width):
        name = next(shorter, None)
        if name is None:
            return _cut(_paragraphs(parts, chosen), width)
        chosen[name] += 1
    return _paragraphs(parts, chosen)


def _shorter(parts: dict[str, Forms]) -> Iterator[str]:
    """Yield which part to shorten next: each once, then each again."""
    for step in range(max(map(len, parts.values()))):
        yield from (name for name in GIVES_WAY if len(parts.get(name, ())) > step + 1)


def _paragraphs(parts: dict[str, Forms], chosen: dict[str, int]) -> list[str]:
    said = {name: forms[chosen[name]] for name, forms in parts.items()}
    first = " ".join(filter(None, (said["verdict"], said["odds"])))
    rest = " ".join(filter(None, (said.get(name) for name in ("warnings", "data"))))
    own = [said.get(name, "") for name in ("trip", "why", "instead", "times", "loosened", "reach")]
    return [text for text in (first, *own, rest) if text]


def _lines(paragraphs: Sequence[str], width: int) -> int:
    return sum(len(textwrap.wrap(text, width, break_on_hyphens=False)) for text in paragraphs)


def _cut(paragraphs: Sequence[str], width: int) -> list[str]:
    """Return each paragraph cut to a line, even inside long words."""
    cut = [textwrap.shorten(text, width, placeholder=CUT) for text in paragraphs]
    return list(islice(cut, most_lines(width)))


def head_parts(verdict: Verdict, preferences: Preferences) -> dict[str, Forms]:
    """Return the parts of the head by name, each in its longer and shorter forms."""
    zone, clock = ZoneInfo(verdict.plan.water.time_zone), LocalClock.of(verdict.plan)
    severity = verdict.severity
    parts = {
        "verdict": (f"{severity}: {MEANS[severity]}.",),
        "odds": _odds(verdict),
        "trip": _trip(verdict.plan, zone),
        "why": reason_forms(verdict, clock),
        "instead": _instead(verdict, preferences, clock),
        "times": times_forms(verdict, clock),
        "loosened": _loosened(verdict.loosened),
        "reach": _reach(verdict.plan, preferences),
        "warnings": _warnings(verdict, zone),
        "data": _data(verdict, preferences),
    }
    return {name: forms for name, forms in parts.items() if forms}


def _odds(verdict: Verdict) -> Forms:
    if verdict.judged_until is None:
        return ("",)
    go = go_share(verdict.trip_odds.get(Severity.GO, 0.0))
    return (f"GO in {go} of the forecasts.", "")


def _trip(plan: Plan, zone: ZoneInfo) -> Forms:
    when = period(plan.start.astimezone(zone), plan.end.astimezone(zone))
    zone_named = f"{when} ({plan.water.time_zone})"
    names = (plan.water.name, plan.launch.name, plan.craft.label)
    return (
        _named(names, NAMES[0], zone_named),
        *(_named(names, longest, when) for longest in NAMES),
    )


def _named(names: Sequence[str], longest: int, when: str) -> str:
    water, launch, craft = (
        name if len(name) <= longest else name[: longest - 1] + CUT for name in names
    )
    return f"{water}, {launch}; {craft}; {when}"


# -- why, and when instead ---------------------------------------------------------------------


def reason_forms(verdict: Verdict, clock: LocalClock) -> Forms:
    """Return the main reason with value, limit and hours; nothing where no limit is reached."""
    weighty = [finding for finding in verdict.findings if finding.severity > Severity.GO]
    if not weighty:
        return ()
    first, others = weighty[0], len(weighty) - 1
    brief = first.short
    more = f" And {others} more." if others else ""
    hours = _hours(first, verdict, clock)
    return (f"{brief}{hours}{more}", f"{brief}{more}", brief, first_sentence(brief))


def first_sentence(text: str) -> str:
    """Return the first sentence of a reason.

    Examples
    --------
    >>> first_sentence("It is windy. Stay ashore.")
    'It is windy.'
    """
    head, end, _ = text.partition(". ")
    return f"{head}." if end else text


def _hours(finding: Finding, verdict: Verdict, clock: LocalClock) -> str:
    """Return the hours of a finding; nothing where they are all of the trip, or one alone."""
    if not 1 < len(finding.hours) < len(verdict.hours):
        return ""
    return f" {finding.severity}: {spans(finding.hours, clock, verdict.judged_until)}."


def _instead(verdict: Verdict, preferences: Preferences, clock: LocalClock) -> Forms:
    """Return what would be better, a measurement of the water first."""
    measure = enough_warmth(verdict.water, preferences)
    others = _otherwise(verdict, preferences, clock)
    if not measure:
        return others
    return (*(f"{measure} {other}".strip() for other in others), measure)


def _otherwise(verdict: Verdict, preferences: Preferences, clock: LocalClock) -> Forms:
    if verdict.severity == Severity.GO:
        return _stays(verdict, clock)
    better = [found for found in verdict.windows if found.severity < verdict.severity]
    if not better or better[0].severity > Severity.GO:
        others = [one for one in verdict.alternatives or () if one.severity == Severity.GO]
        if others:
            return (f"GO instead: {change_in_words(others[0], verdict.plan, preferences)}.",)
    if not better:
        return ("No better hours around the plan. For other days: safety-check outlook.", "")
    first = better[0]
    named = window(first, clock.zone).removeprefix(f"{first.severity} ")
    word = "GO instead" if first.severity == Severity.GO else f"Best instead ({first.severity})"
    return (f"{word}: {named}.", f"{word}: {clock.span(first.start, first.end)}.")


def _stays(verdict: Verdict, clock: LocalClock) -> Forms:
    """Return the whole window of a GO, where it is longer than the plan."""
    plan = verdict.plan

    def around(found: Window) -> bool:
        return found.start <= plan.start and plan.end < found.end

    wide = next((found for found in verdict.windows if around(found)), None)
    return (f"GO from {clock.span(wide.start, wide.end)}.", "") if wide else ()


# -- when to be where --------------------------------------------------------------------------


def times_forms(verdict: Verdict, clock: LocalClock) -> Forms:
    """Return when to be off the water and when to turn back, at the latest."""
    advice = verdict.advice
    if advice is None:
        return ()
    by, back = _off_by(verdict, advice), _back(advice, clock)
    because = ", ".join(hazard.replace("_", " ") for hazard in advice.because)
    why = f" ({because})" if because and by == advice.off_the_water_by else ""
    off = f"Off the water by {clock.time(by)}"
    return (f"{off}{why}; {back}.", f"{off}; {back}.")


def _off_by(verdict: Verdict, advice: Advice) -> datetime:
    return min(filter(None, (advice.off_the_water_by, verdict.plan.end)))


def _back(advice: Advice, clock: LocalClock) -> str:
    home = advice.getting_home
    if home.turn_back is not None:
        return f"turn back by {clock.time(round_down(home.turn_back))}"
    if math.isnan(home.time):
        return "when to turn back is not known"
    return "you cannot get back from the farthest point in time"


# -- what it rests on --------------------------------------------------------------------------


def _loosened(sentences: Sequence[str]) -> Forms:
    if not sentences:
        return ()
    count = f"{len(sentences)} limits" if len(sentences) > 1 else "a limit"
    return (" ".join(sentences), f"You loosened {count}: --full names {_them(len(sentences))}.")


def _them(count: int) -> str:
    return "them" if count > 1 else "it"


def _reach(plan: Plan, preferences: Preferences) -> Forms:
    assumed = assumed_reach(plan, preferences)
    if not assumed:
        return ()
    return (assumed, f"Reach {show_radius(plan.reach, preferences.distance)} assumed.")


def _warnings(verdict: Verdict, zone: ZoneInfo) -> Forms:
    """Return who read the official warnings, and until when they are issued."""
    said, last = own_word(verdict, zone), own_word_read(verdict, zone)
    ahead = "".join(
        f"Official warnings: {item.why}. {item.remedy}"
        for item in verdict.unknown
        if item.what == WARNINGS_TO_COME
    )
    if last is None:
        return (ahead,) if ahead else ()
    shorter = f"Official warnings: none, by your own word ({last:%a %H:%M})."
    return tuple(f"{form} {ahead}".rstrip() for form in (said, shorter))


def _data(verdict: Verdict, preferences: Preferences) -> Forms:
    made, water = verdict.forecast_made, _water(verdict, preferences)
    forecast = f"Newest forecast: {age(verdict.at - made)} old." if made else "No forecast."
    return tuple(" ".join(filter(None, (forecast, said))) for said in water)


def _water(verdict: Verdict, preferences: Preferences) -> Forms:
    """Return the temperature of the water, its source and its age."""
    water = verdict.water
    if water is None:
        return ("",)
    if math.isnan(water.value):
        why = f" It can't be estimated: {water.why_not}." if water.why_not else ""
        plain = "Water temperature: not known."
        return (f"{plain}{why}", plain) if why else (plain,)
    if water.warmest is not None:
        return estimated_water(water, preferences)
    unit, measured = preferences.temperature, water.measured
    shown = f"Water {show(water.value if measured is None else measured, 'temperature', unit)}"
    old = f", {age(verdict.at - water.at)} old" if water.at else ""
    if measured is not None:
        old += f", counts as {show_limit(water.value, 'temperature', unit)}"
    return (f"{shown}, {water.source}{old}.", f"{shown}{old}.")
