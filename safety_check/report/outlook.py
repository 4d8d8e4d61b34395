"""The coming days for a terminal; the best day stands on the first line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from safety_check.model.outlook import Day, Outlook
from safety_check.model.verdict import Finding, Severity, WaterReading, Window
from safety_check.report.credits import credits_of_outlook
from safety_check.report.layout import Column, Layout
from safety_check.report.moving_water import turns_by_day
from safety_check.report.terminal import unknown_text
from safety_check.report.words import (
    age,
    assumed_reach,
    assumed_water,
    clock,
    go_share,
    water_range,
)
from safety_check.rules.hazards import quantity_label
from safety_check.units import Preferences

SHORT = {
    "wind_too_strong": "wind",
    "gusts_too_strong": "gusts",
    "capsize_by_waves": "waves",
    "dark_is_near": "dark",
    "dark_without_daylight": "dark",
    "air_ready_for_storms": "thunderstorm risk",
    "cold_air_over_cold_water": "cold air and water",
    "official_warning": "warning",
    "several_together": "several hazards together",
}


def add_outlook(
    outlooks: Sequence[Outlook], ranked: Sequence[Day], preferences: Preferences, layout: Layout
) -> None:
    """Add the days of one water in order, or those of several with the best first.

    Parameters
    ----------
    outlooks
        One for each water.
    ranked
        Their days, the best first.
    preferences
        The units that the user reads in.
    layout
        Where.
    """
    layout.paragraph(first_line(outlooks, ranked))
    for line in assumptions(outlooks, preferences):
        layout.paragraph(line)
    layout.paragraph("")
    several = len(outlooks) > 1
    _add_table(ranked if several else outlooks[0].days, outlooks[0].hours, several, layout)
    layout.paragraph("")
    for note in notes(outlooks, preferences):
        layout.item(note)


@dataclass(frozen=True)
class DayRow:
    """What is said of one day at one launch, in words; "-" where there is nothing to say.

    Parameters
    ----------
    water, launch, day
        Where, and which day.
    severity
        Of the best trip; None where the day's light leaves none.
    window, start
        The hours in which that verdict holds, and when the best trip starts.
    odds
        The share of the forecasts in which it stays GO.
    reason, ends
        Why it is not a GO, and what ends the window.
    """

    water: str
    launch: str
    day: str
    severity: Severity | None
    window: str
    start: str
    odds: str
    reason: str
    ends: str


def row_of(day: Day) -> DayRow:
    """Return what is said of a day."""
    return DayRow(
        water=day.plan.water.name,
        launch=day.plan.launch.name,
        day=_day(day),
        severity=day.severity,
        window=_window(day),
        start=f"from {clock(_local(day.plan.start, day))}" if day.window else "-",
        odds="-" if day.severity is None else go_share(day.odds),
        reason=_reason(day),
        ends=_end(day),
    )


def assumptions(outlooks: Sequence[Outlook], preferences: Preferences) -> list[str]:
    """Return what was assumed of the reach and of the water, in sentences."""
    said = [assumed_reach(outlooks[0].plan, preferences)]
    for one in outlooks:
        zone = ZoneInfo(one.plan.water.time_zone)
        if stored := assumed_water(one.water, one.briefing.at, zone, preferences):
            stored += _water_by_day(one, preferences)
            said.append(f"{one.plan.water.name}: {stored}" if len(outlooks) > 1 else stored)
    return [line for line in said if line]


def first_line(outlooks: Sequence[Outlook], ranked: Sequence[Day]) -> str:
    """Return the best day of all, in a sentence."""
    best = ranked[0] if ranked else None
    if best is None or best.severity is None or best.window is None:
        return f"No day ahead has {outlooks[0].hours} h of daylight that are GO or MARGINAL."
    plan = best.plan
    return (
        f"{best.severity}: the best is {_day(best)}, {_span(best.window, best)},"
        f" {plan.water.name}, {plan.launch.name}; {plan.craft.label}"
    )


def _add_table(days: Sequence[Day], hours: int, several: bool, layout: Layout) -> None:
    launches = {(day.plan.water.name, day.plan.launch.name) for day in days}
    one_each = len({name for name, _ in launches}) == len(launches)
    columns = [
        *([Column("water", wraps=True)] if several else []),
        *(Column(title) for title in ("day", "verdict", "window")),
        *([] if several else [Column(f"best {hours} h")]),
        Column("P(GO)", right=True),
        Column("reason", wraps=True),
        Column("ends because", wraps=True),
    ]
    rows = [
        [
            *([row.water if one_each else f"{row.water}, {row.launch}"] if several else []),
            *(row.day, "-" if row.severity is None else str(row.severity), row.window),
            *([] if several else [row.start]),
            *(row.odds, row.reason, row.ends),
        ]
        for row in map(row_of, days)
    ]
    layout.table(columns, rows)


def _water_by_day(outlook: Outlook, preferences: Preferences) -> str:
    """Return the estimated range of each day's water; empty where one range holds for all."""
    said = [
        f"{_day(day)} {_range(day.water, preferences)}"
        for day in outlook.days
        if day.water is not None and day.water.warmest is not None
    ]
    return f" By day: {', '.join(said)}." if len(said) > 1 else ""


def _range(water: WaterReading, preferences: Preferences) -> str:
    low, high = water_range(water, preferences)
    return f"{low.split()[0]}-{high}"


def _window(day: Day) -> str:
    return _span(day.window, day) if day.window else "-"


def _reason(day: Day) -> str:
    """Return why a day is not GO, and a shorter window that is better."""
    if day.severity is None:
        return "not enough daylight"
    parts = []
    if day.severity > Severity.GO:
        parts.append(_hazard(day.why) if day.why else "a source did not answer")
    if day.shorter:
        parts.append(f"shorter: {day.shorter.severity} {_span(day.shorter, day)}")
    if day.beyond_warnings:
        parts.append("warnings not issued yet")
    return "; ".join(parts) or "-"


def _end(day: Day) -> str:
    """Return what ends a window."""
    if not day.window:
        return "-"
    return _hazard(day.ends) if day.ends else "dark"


def _hazard(finding: Finding) -> str:
    """Return a hazard in a word or two."""
    if finding.hazard == "forecast_too_old":
        return "no current forecast"
    if finding.severity == Severity.UNKNOWN:
        return f"{quantity_label(finding.quantity)} not known"
    return short_hazard(finding.hazard)


def short_hazard(name: str) -> str:
    """Return a hazard's name in a word or two.

    Examples
    --------
    >>> short_hazard("wind_too_strong"), short_hazard("heavy_rain")
    ('wind', 'heavy rain')
    """
    return SHORT.get(name, name.replace("_", " "))


def _day(day: Day) -> str:
    return f"{day.date:%a} {day.date.day} {day.date:%b}"


def _span(window: Window, day: Day) -> str:
    return f"{clock(_local(window.start, day))}-{clock(_local(window.end, day))}"


def _local(moment: datetime, day: Day) -> datetime:
    return moment.astimezone(ZoneInfo(day.plan.water.time_zone))


def notes(outlooks: Sequence[Outlook], preferences: Preferences) -> list[str]:
    """Return what holds for all days, in sentences."""
    places: dict[str, list[str]] = {}
    for outlook in outlooks:
        name = f"{outlook.plan.water.name}, {outlook.plan.launch.name}"
        unknown = map(unknown_text, outlook.unknown)
        sources = (*_warnings_reach(outlook), _forecast_ages(outlook), *credits_of_outlook(outlook))
        zone = ZoneInfo(outlook.plan.water.time_zone)
        turns = turns_by_day(outlook.turns, zone, preferences)
        for note in (*turns, *outlook.loosened, *unknown, *outlook.widening, *sources):
            places.setdefault(note, []).append(name)
    return [
        "Windows are in daylight and include the return hour. P(GO): the share of the forecasts"
        " in which the best trip stays GO from launch to return.",
        *(
            note if len(names) == len(outlooks) else f"{'; '.join(names)}: {note}"
            for note, names in places.items()
        ),
        "Forecasts are less certain the further ahead they look. Check again the evening before"
        " and at the launch.",
        *([preferences.note] if preferences.note else []),
    ]


def _warnings_reach(outlook: Outlook) -> list[str]:
    """Return to which hour official warnings reach, where somebody knows them."""
    if outlook.warnings_until is None:
        return []
    until = outlook.warnings_until.astimezone(ZoneInfo(outlook.plan.water.time_zone))
    return [
        f"Official warnings known now reach to {until:%a} {until.day} {until:%b %H:%M}. They are"
        " not issued farther ahead, so for later days none can be known yet."
    ]


def _forecast_ages(outlook: Outlook) -> str:
    at = outlook.briefing.at
    made = {
        forecast.provenance.source: forecast.provenance.issued or forecast.provenance.fetched
        for forecast in outlook.briefing.forecasts
    }
    if not made:
        return "No forecast is available."
    return (
        f"Forecasts: {', '.join(f'{name}, {age(at - then)} old' for name, then in made.items())}."
    )
