"""The coming days for a terminal and as JSON: the best of them on the first line."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, Literal
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from safety_check.model.outlook import Day, Outlook
from safety_check.model.verdict import Finding, Severity, Unknown, Window
from safety_check.report.json import (
    Item,
    Level,
    Missing,
    Origin,
    Part,
    Place,
    Span,
    item,
    level,
    origin,
)
from safety_check.report.terminal import STYLE, age
from safety_check.rules.hazards import quantity_label

SCHEMA_VERSION = 1
SHORT = {
    "wind_too_strong": "wind",
    "gusts_too_strong": "gusts",
    "capsize_by_waves": "waves",
    "dark_is_near": "dark",
    "dark_without_daylight": "dark",
    "air_ready_for_storms": "stormy air",
    "cold_air_over_cold_water": "cold air and water",
    "official_warning": "warning",
    "several_together": "several together",
}


def show_outlook(outlooks: Sequence[Outlook], ranked: Sequence[Day], console: Console) -> None:
    """Print the days of one water in order, or those of several with the best first.

    Parameters
    ----------
    outlooks
        One a water.
    ranked
        Their days, the best first.
    console
        Where.
    """
    _first_line(outlooks, ranked, console)
    console.print()
    several = len(outlooks) > 1
    days = ranked if several else outlooks[0].days
    console.print(Padding(_table(days, outlooks[0].hours, several), (0, 0, 0, 1)))
    _notes(outlooks, console)


def _first_line(outlooks: Sequence[Outlook], ranked: Sequence[Day], console: Console) -> None:
    hours = outlooks[0].hours
    best = ranked[0] if ranked else None
    if best is None or best.severity is None or best.window is None:
        console.print(f"No day ahead has {hours} h in daylight that are GO or MARGINAL.")
        return
    console.print(
        Text.assemble(
            (str(best.severity), STYLE[best.severity]),
            f": best is {_day(best)}, {_span(best.window, best)}, {best.plan.water.name},"
            f" {best.plan.launch.name}; {best.plan.craft.label}",
        )
    )


def _table(days: Sequence[Day], hours: int, several: bool) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="")
    first = ("water",) if several else ()
    start = () if several else (f"best {hours} h",)
    for title in (*first, "day", "verdict", "window", *start):
        table.add_column(title, no_wrap=title != "water")
    table.add_column("GO in", justify="right", no_wrap=True)
    table.add_column("for; until")
    launches = {(day.plan.water.name, day.plan.launch.name) for day in days}
    one_each = len({name for name, _ in launches}) == len(launches)
    for day in days:
        launch = "" if one_each else f", {day.plan.launch.name}"
        water = (f"{day.plan.water.name}{launch}",) if several else ()
        begins = () if several else (_start(day),)
        table.add_row(
            *water, _day(day), _verdict(day), _window(day), *begins, _odds(day), _told(day)
        )
    return table


def _verdict(day: Day) -> Text:
    return Text("-") if day.severity is None else Text(str(day.severity), STYLE[day.severity])


def _window(day: Day) -> str:
    return _span(day.window, day) if day.window else "-"


def _start(day: Day) -> str:
    return f"from {_local(day.plan.start, day):%H:%M}" if day.window else "-"


def _odds(day: Day) -> str:
    return "-" if day.severity is None else f"{100 * day.odds:.0f} %"


def _told(day: Day) -> str:
    """Return why it is no better, what ends the window, and a shorter one that is better."""
    if day.severity is None:
        return "no daylight left for it"
    parts = []
    if day.severity > Severity.GO:
        parts.append(_hazard(day.why) if day.why else "a source is silent")
    if day.window:
        parts.append(f"until {_hazard(day.ends)}" if day.ends else "until dark")
    if day.shorter:
        parts.append(f"{day.shorter.severity} {_span(day.shorter, day)}")
    return "; ".join(parts)


def _hazard(finding: Finding) -> str:
    """Return a hazard in a word or two."""
    if finding.hazard == "forecast_too_old":
        return "no forecast that still holds"
    if finding.severity == Severity.UNKNOWN:
        return f"{quantity_label(finding.quantity)} not known"
    return SHORT.get(finding.hazard, finding.hazard.replace("_", " "))


def _day(day: Day) -> str:
    return f"{day.date:%a} {day.date.day} {day.date:%b}"


def _span(window: Window, day: Day) -> str:
    return f"{_local(window.start, day):%H:%M}-{_local(window.end, day):%H:%M}"


def _local(moment: datetime, day: Day) -> datetime:
    return moment.astimezone(ZoneInfo(day.plan.water.time_zone))


def _notes(outlooks: Sequence[Outlook], console: Console) -> None:
    whose: dict[str, list[str]] = {}
    for each in outlooks:
        for note in (*map(_unknown, each.unknown), *each.widening, _rests_on(each)):
            whose.setdefault(note, []).append(f"{each.plan.water.name}, {each.plan.launch.name}")
    notes = [
        "Windows lie in daylight and hold to the hour of return. GO in: the share of the"
        " forecasts in which the best trip stays GO from launch to return.",
        *(_of(waters, note, len(outlooks)) for note, waters in whose.items()),
        "The farther the day, the less is known: check again the evening before and at the launch.",
    ]
    console.print()
    for note in notes:
        grid = Table.grid(padding=(0, 1))
        grid.add_row("-", Text(note))
        console.print(Padding(grid, (0, 0, 0, 1)))


def _of(waters: Sequence[str], note: str, all_of_them: int) -> str:
    return note if len(waters) == all_of_them else f"{'; '.join(waters)}: {note}"


def _unknown(one: Unknown) -> str:
    return f"{one.what}: {one.why.rstrip('.')}. {one.remedy}".strip()


def _rests_on(outlook: Outlook) -> str:
    at = outlook.briefing.at
    named = {
        each.provenance.source: age(at - (each.provenance.issued or each.provenance.fetched))
        for each in outlook.briefing.forecasts
    }
    if not named:
        return "No forecast came in."
    return f"Forecasts: {', '.join(f'{name}, {old} old' for name, old in named.items())}."


# -- JSON --------------------------------------------------------------------------------------


class DayAhead(Part):
    """One local day; null where the day's light leaves no trip of the asked length."""

    water: str
    launch: str
    date: date
    verdict: Level | None
    go: float
    start: datetime | None
    end: datetime | None
    window: Span | None
    because: Item | None
    ends: Item | None
    shorter: Span | None


class WaterAhead(Part):
    """The coming days at one launch."""

    place: Place
    craft: str
    craft_class: str
    days: list[DayAhead]
    unknown: list[Missing]
    widening: list[str]
    provenance: list[Origin]


class OutlookReport(Part):
    """The coming days. Times are UTC, numbers SI; `best_first` ranks the days of all waters."""

    schema_version: Literal[1]
    program_version: str
    at: datetime
    hours: int
    waters: list[WaterAhead]
    best_first: list[DayAhead]


def as_json(outlooks: Sequence[Outlook], ranked: Sequence[Day], program: str) -> dict[str, Any]:
    """Return the coming days as plain values."""
    return OutlookReport(
        schema_version=SCHEMA_VERSION,
        program_version=program,
        at=outlooks[0].briefing.at,
        hours=outlooks[0].hours,
        waters=[_water(each) for each in outlooks],
        best_first=[_day_ahead(each) for each in ranked],
    ).model_dump(mode="json")


def _water(outlook: Outlook) -> WaterAhead:
    plan, at = outlook.plan, outlook.briefing.at
    return WaterAhead(
        place=Place(
            water=plan.water.name,
            launch=plan.launch.name,
            latitude=plan.launch.latitude,
            longitude=plan.launch.longitude,
            time_zone=plan.water.time_zone,
        ),
        craft=plan.craft.name,
        craft_class=plan.craft.kind,
        days=[_day_ahead(each) for each in outlook.days],
        unknown=[
            Missing(what=each.what, why=each.why, mend=each.remedy, severity=level(each.severity))
            for each in outlook.unknown
        ],
        widening=list(outlook.widening),
        provenance=[origin(each.provenance, at) for each in outlook.briefing.forecasts],
    )


def _day_ahead(day: Day) -> DayAhead:
    trip = day.severity is not None
    return DayAhead(
        water=day.plan.water.name,
        launch=day.plan.launch.name,
        date=day.date,
        verdict=None if day.severity is None else level(day.severity),
        go=round(day.odds, 6),
        start=day.plan.start if trip else None,
        end=day.plan.end if trip else None,
        window=_as_span(day.window),
        because=item(day.why) if day.why else None,
        ends=item(day.ends) if day.ends else None,
        shorter=_as_span(day.shorter),
    )


def _as_span(window: Window | None) -> Span | None:
    if window is None:
        return None
    return Span(start=window.start, end=window.end, verdict=level(window.severity))
