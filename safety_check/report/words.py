"""The words that every report shares: times, ages, compass points, and the values of an hour."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from safety_check.arrays import TimeArray, to_utc
from safety_check.model.local_clock import LocalClock
from safety_check.model.plan import Plan
from safety_check.model.verdict import (
    AssumedCourse,
    HourVerdict,
    Severity,
    Verdict,
    WaterReading,
    Window,
)
from safety_check.model.weather import OWN_EYES, OWN_WORD, Provenance
from safety_check.units import Preferences, compass, show, show_limit, show_radius

WIND = "wind_speed"
GUST = "wind_speed_of_gust"
WAVE = "sea_surface_wave_significant_height"
FROM = "wind_from_direction"
HOUR = timedelta(hours=1)
MEANS = {
    Severity.GO: "within every limit weighed here",
    Severity.MARGINAL: "proceed only with extra caution; see the reasons below",
    Severity.UNKNOWN: "not enough is known to say GO",
    Severity.NO_GO: "do not launch as planned",
}
SPREAD = (
    "Wind and waves: median of the forecasts, then the high end (1 in 10 is at or above it, where"
    " winds are widened 1 in 5, unless you set other odds)."
)

# -- time --------------------------------------------------------------------------------------


def clock(moment: datetime) -> str:
    """Return the time of day."""
    return f"{moment:%H:%M}"


def weekday(moment: datetime) -> str:
    """Return the day of the week, short."""
    return f"{moment:%a}"


def day(moment: datetime) -> str:
    """Return weekday, day and month, such as "Fri 12 Jun"."""
    return f"{moment:%a} {moment.day} {moment:%b}"


def end(start: datetime, until: datetime) -> str:
    """Return when something ends: only the time on the day that it began, else with its day."""
    return clock(until) if start.date() == until.date() else f"{day(until)} {clock(until)}"


def period(start: datetime, until: datetime) -> str:
    """Return from when to when something lasts, such as "Fri 12 Jun 06:00 to 11:00"."""
    return f"{day(start)} {clock(start)} to {end(start, until)}"


def assumed_reach(plan: Plan, preferences: Preferences) -> str:
    """Return the sentence that a reach was assumed; empty where one was given."""
    if not plan.reach_assumed:
        return ""
    reach = show_radius(plan.reach, preferences.distance)
    return f"No reach given: {reach} from the launch assumed. Give yours with --reach."


def estimated_water(water: WaterReading, preferences: Preferences) -> tuple[str, str]:
    """Return that a water's temperature is estimated, with its range, at length and shorter."""
    low, high = water_range(water, preferences)
    said = f"Water estimated from air temperature: {low} to {high}, not measured."
    return said, f"Water estimated: {low} to {high}."


def water_range(water: WaterReading, preferences: Preferences) -> tuple[str, str]:
    """Return the two ends of an estimated water temperature."""
    unit = preferences.temperature
    high = show(water.warmest or math.nan, "temperature", unit)
    return show_limit(water.value, "temperature", unit), high


def enough_warmth(water: WaterReading | None, preferences: Preferences) -> str:
    """Return which measured water temperature makes a verdict a GO; empty where none would."""
    if water is None or water.enough is None:
        return ""
    enough = show(water.enough, "temperature", preferences.temperature)
    return f"Measure the water: {enough} or more makes it a GO."


def assumed_water(
    water: WaterReading | None, at: datetime, zone: tzinfo, preferences: Preferences
) -> str:
    """Return the sentence that an earlier water temperature is used; empty where none is."""
    if water is not None and water.warmest is not None:
        said = estimated_water(water, preferences)[0]
        return " ".join(filter(None, (said, enough_warmth(water, preferences))))
    if water is None or water.measured is None or water.at is None:
        return ""
    unit = preferences.temperature
    local = water.at.astimezone(zone)
    return (
        f"Water {show(water.measured, 'temperature', unit)} on {day(local)} {clock(local)}"
        f" ({age(at - water.at)} ago) counts as"
        f" {show_limit(water.value, 'temperature', unit)}: it may have cooled. Measure it."
    )


def course_text(course: AssumedCourse, clock: LocalClock, preferences: Preferences) -> str:
    """Return where the trip is assumed to be, and when."""
    far = show_radius(course.farthest, preferences.distance)
    when = clock.span(course.since, course.until)
    return f"You may be up to {far} from the launch from {when}, nearer to it before and after."


def window(found: Window, zone: tzinfo) -> str:
    """Return a window with its verdict, in the water's own time."""
    return f"{found.severity} {period(found.start.astimezone(zone), found.end.astimezone(zone))}"


def duration(seconds: float) -> str:
    """Return how long something takes.

    Examples
    --------
    >>> duration(2520.0), duration(6000.0), duration(36_000.0)
    ('42 min', '1 h 40 min', '10 h')
    """
    minutes = round(seconds / 60)
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest and hours < 10 else f"{round(minutes / 60)} h"


def age(span: timedelta) -> str:
    """Return how old something is.

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


def spans(hours: TimeArray, clock: LocalClock, until: datetime | None = None) -> str:
    """Return hours as runs, such as "09:00 to 11:00, 14:00 to 15:00".

    Parameters
    ----------
    hours : array (hour,)
        The start of each, UTC.
    clock
        The water's local time.
    until
        The last instant that is judged; a run does not go beyond it. None for no such instant.
    """
    runs: list[tuple[datetime, datetime]] = []
    for moment in map(to_utc, hours):
        last = moment + HOUR
        last = min(last, until) if until and until > moment else last
        runs.append((runs.pop()[0] if runs and runs[-1][1] == moment else moment, last))
    return ", ".join(clock.span(start, end) for start, end in runs)


# -- one hour ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class HourText:
    """Wind, gusts, direction and waves of one hour, and the share of forecasts that give GO."""

    wind: str
    gusts: str
    direction: str
    waves: str
    go: str


def hour_text(hour: HourVerdict, preferences: Preferences) -> HourText:
    """Return the figures of one hour in the user's units; "?" is not known."""
    return hours_text([hour], preferences)


def hours_text(hours: Sequence[HourVerdict], preferences: Preferences) -> HourText:
    """Return the figures of a run of hours: least median, highest high end, least share of GO.

    What is not known in one of the hours is "?" for all of them.
    """
    shown = {name: [hour.shown[name] for hour in hours] for name in hours[0].shown}
    points = [
        "?" if math.isnan(value) else compass(value) for value in (shown[FROM][0], shown[FROM][-1])
    ]
    return HourText(
        wind=_run(shown, WIND, "speed", preferences.wind),
        gusts=_bare(_most(shown[f"{GUST}_high"]), "speed", preferences.wind),
        direction="-".join(dict.fromkeys(points)),
        waves=_run(shown, WAVE, "length", preferences.wave),
        go=go_share(min(hour.odds.get(Severity.GO, 0.0) for hour in hours)),
    )


def _run(shown: Mapping[str, Sequence[float]], name: str, kind: str, unit: str) -> str:
    return _range(
        -_most([-value for value in shown[name]]), _most(shown[f"{name}_high"]), kind, unit
    )


def _most(values: Sequence[float]) -> float:
    return math.nan if any(map(math.isnan, values)) else max(values)


def percent(share: float) -> str:
    """Return a share in whole percent."""
    return f"{100 * share:.0f} %"


def go_share(share: float) -> str:
    """Return the share of the forecasts that are GO, never rounded up.

    Examples
    --------
    >>> go_share(1.0), go_share(0.996), go_share(0.0)
    ('all', '99 %', 'none')
    """
    if share >= 1 - 1e-9:
        return "all"
    return f"{math.floor(100 * share + 1e-9)} %" if share > 0 else "none"


def _bare(value: float, kind: str, unit: str) -> str:
    return "?" if math.isnan(value) else show(value, kind, unit).split()[0]


def _range(middle: float, high: float, kind: str, unit: str) -> str:
    low, up = _bare(middle, kind, unit), _bare(high, kind, unit)
    return low if low == up else f"{low}-{up}"


# -- where it comes from -----------------------------------------------------------------------


def own_word_read(verdict: Verdict, zone: tzinfo) -> datetime | None:
    """Return when the user last read the official warnings, in local time; None for never."""
    read = [item.fetched for item in verdict.provenance if item.source == OWN_WORD]
    return max(read).astimezone(zone) if read else None


def own_word(verdict: Verdict, zone: tzinfo) -> str:
    """Return the sentence that the user has read the official warnings; empty where not."""
    last = own_word_read(verdict, zone)
    if last is None:
        return ""
    return (
        f"Official warnings: none, by your own word, read on {last:%a} {last.day} {last:%b %H:%M}."
    )


def origin(item: Provenance, at: datetime) -> str:
    """Return the source of an item, its age at the time of a check, and its credit."""
    made = item.issued or item.fetched
    if item.source in (OWN_EYES, OWN_WORD):
        return f"{item.source}, {age(at - made)} ago"
    earlier = "received earlier" if item.url else "read from a file"
    how = earlier if item.recorded else "received now"
    name = f"{item.source} ({item.model})" if item.model else item.source
    credit = f". {item.attribution}" if item.attribution else ""
    return f"{name}: {how}, {age(at - made)} old{credit}"
