"""The verdict for a terminal: the answer first, then why, when, and what it rests on."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from safety_check.model.verdict import HourVerdict, Severity, Verdict, Window
from safety_check.model.weather import OWN_EYES, Provenance
from safety_check.report import advice
from safety_check.rules.hazards import quantity_label
from safety_check.units import Preferences, show

WIDTH = 80
FEW = 2  # reasons that something is not known; more of them are told together
STYLE = {
    Severity.GO: "bold green",
    Severity.MARGINAL: "bold yellow",
    Severity.UNKNOWN: "bold magenta",
    Severity.NO_GO: "bold red",
}
MEANS = {
    Severity.GO: "within every limit weighed here",
    Severity.MARGINAL: "only with a margin of your own: read why",
    Severity.UNKNOWN: "not enough is known to say GO",
    Severity.NO_GO: "do not launch as planned",
}
WIND = "wind_speed"
GUST = "wind_speed_of_gust"
WAVE = "sea_surface_wave_significant_height"
FROM = "wind_from_direction"


def show_verdict(verdict: Verdict, preferences: Preferences, console: Console) -> None:
    """Print a verdict for a person; colour is never the only carrier of meaning."""
    zone = ZoneInfo(verdict.plan.water.time_zone)
    _headline(verdict, zone, console)
    _why(verdict, console)
    _hours(verdict, preferences, zone, console)
    _windows(verdict, zone, console)
    for title, lines in advice.advice_paragraphs(verdict, preferences):
        _section(title, console)
        for line in lines:
            _item(line, console)
    _unknown(verdict, console)
    _provenance(verdict, console)
    _section("Before you launch", console)
    for caution in verdict.cautions:
        _item(caution, console)


def _headline(verdict: Verdict, zone: ZoneInfo, console: Console) -> None:
    plan = verdict.plan
    line = Text.assemble((str(verdict.severity), STYLE[verdict.severity]))
    console.print(line + Text(f": {MEANS[verdict.severity]}"))
    start, end = plan.start.astimezone(zone), plan.end.astimezone(zone)
    console.print(
        f"{plan.water.name}, {plan.launch.name}; {plan.craft.label};"
        f" {_day(start)} {start:%H:%M} to {_end(start, end)} ({plan.water.time_zone})",
        soft_wrap=False,
    )


def _day(moment: datetime) -> str:
    return f"{moment:%a} {moment.day} {moment:%b}"


def _end(start: datetime, end: datetime) -> str:
    return f"{end:%H:%M}" if start.date() == end.date() else f"{_day(end)} {end:%H:%M}"


def _section(title: str, console: Console) -> None:
    console.print()
    console.print(Text(title, style="bold"))


def _item(text: str, console: Console) -> None:
    table = Table.grid(padding=(0, 1))
    table.add_row("-", Text(text))
    console.print(Padding(table, (0, 0, 0, 1)))


def _why(verdict: Verdict, console: Console) -> None:
    weighty = [each for each in verdict.findings if each.severity > Severity.GO]
    _section("Why", console)
    silent = [each for each in weighty if math.isnan(each.value) and each.limit is not None]
    grouped = silent if len(silent) > FEW else []
    told_together = {each.hazard for each in grouped}
    for each in weighty:
        if each.hazard not in told_together:
            _reason(each.severity, each.reason, console)
    for level in sorted({each.severity for each in grouped}, reverse=True):
        names = ", ".join(
            quantity_label(each.quantity) for each in grouped if each.severity == level
        )
        _reason(level, f'Missing data (see "Not known" for what to do): {names}.', console)
    if not weighty:
        _item("Nothing that is weighed here passes a limit.", console)
    fine = len(verdict.findings) - len(weighty)
    if weighty and fine:
        _item(f"{fine} other hazards were weighed and stay within their limits.", console)


def _reason(severity: Severity, reason: str, console: Console) -> None:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=8, no_wrap=True)
    table.add_column()
    table.add_row(Text(str(severity), STYLE[severity]), Text(reason))
    console.print(Padding(table, (0, 0, 0, 1)))


def _hours(verdict: Verdict, preferences: Preferences, zone: ZoneInfo, console: Console) -> None:
    _section("Hour by hour", console)
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="")
    table.add_column("hour")
    table.add_column("verdict", no_wrap=True)
    table.add_column(f"wind, {preferences.wind}", justify="right")
    table.add_column("gusts", justify="right")
    table.add_column("from")
    table.add_column(f"waves, {preferences.wave}", justify="right")
    table.add_column("GO in", justify="right")
    day = ""
    for hour in verdict.hours:
        local = hour.time.astimezone(zone)
        new_day, day = (f"{local:%a} " if day and day != f"{local:%a}" else ""), f"{local:%a}"
        table.add_row(f"{new_day}{local:%H:%M}", *_cells(hour, preferences))
    console.print(Padding(table, (0, 0, 0, 1)))
    console.print(
        Padding(
            "Wind and waves: the middle of the forecasts, then what the windiest of them reach.",
            (0, 0, 0, 1),
        )
    )
    for said in verdict.widening:
        console.print(Padding(Text(said), (0, 0, 0, 1)))
    if verdict.disagreement:
        console.print(Padding(Text(verdict.disagreement), (0, 0, 0, 1)))
    if verdict.lee:
        console.print(Padding(Text(f"Lee: {verdict.lee}"), (0, 0, 0, 1)))


def _cells(hour: HourVerdict, preferences: Preferences) -> tuple[Text | str, ...]:
    return (
        Text(str(hour.severity), STYLE[hour.severity]),
        _range(hour.shown[WIND], hour.shown[f"{WIND}_high"], "speed", preferences.wind),
        _bare(hour.shown[f"{GUST}_high"], "speed", preferences.wind),
        _compass(hour.shown[FROM]),
        _range(hour.shown[WAVE], hour.shown[f"{WAVE}_high"], "length", preferences.wave),
        f"{100 * hour.odds.get(Severity.GO, 0.0):.0f} %",
    )


def _bare(value: float, kind: str, unit: str) -> str:
    return "?" if math.isnan(value) else show(value, kind, unit).split()[0]


def _range(middle: float, high: float, kind: str, unit: str) -> str:
    low, up = _bare(middle, kind, unit), _bare(high, kind, unit)
    return low if low == up else f"{low}-{up}"


def _compass(degrees: float) -> str:
    if math.isnan(degrees):
        return "?"
    return ("N", "NE", "E", "SE", "S", "SW", "W", "NW")[round(degrees / 45) % 8]


def _windows(verdict: Verdict, zone: ZoneInfo, console: Console) -> None:
    _section("Best window around the plan", console)
    if not verdict.windows:
        _item("None: no hour around the plan is better than UNKNOWN or NO-GO.", console)
    for window in verdict.windows[:2]:
        _item(_window(window, zone), console)


def _window(window: Window, zone: ZoneInfo) -> str:
    start, end = window.start.astimezone(zone), window.end.astimezone(zone)
    return f"{window.severity} {_day(start)} {start:%H:%M} to {_end(start, end)}"


def _unknown(verdict: Verdict, console: Console) -> None:
    if not verdict.unknown:
        return
    _section("Not known", console)
    for each in verdict.unknown:
        _item(f"{each.what}: {each.why.removesuffix('.')}. {each.remedy}".strip(), console)


def _provenance(verdict: Verdict, console: Console) -> None:
    _section("Rests on", console)
    for each in verdict.provenance:
        _item(_origin(each, verdict.at), console)
    if not verdict.provenance:
        _item("no forecast at all", console)


def _origin(item: Provenance, at: datetime) -> str:
    made = item.issued or item.fetched
    if item.source == OWN_EYES:
        return f"{item.source}, {age(at - made)} ago"
    earlier = "received earlier" if item.url else "read from a file"
    kept = earlier if item.recorded else "asked live"
    name = f"{item.source} ({item.model})" if item.model else item.source
    credit = f". {item.attribution}" if item.attribution else ""
    return f"{name}: {kept}, {age(at - made)} old{credit}"


def age(span: timedelta) -> str:
    """Return how old something is, as one says it.

    Examples
    --------
    >>> age(timedelta(minutes=12)), age(timedelta(hours=30)), age(timedelta(days=4))
    ('12 min', '30 h', '4 days')
    """
    minutes = max(0, round(span.total_seconds() / 60))
    if minutes < 90:
        return f"{minutes} min"
    hours = round(minutes / 60)
    return f"{hours} h" if hours < 72 else f"{round(hours / 24)} days"
