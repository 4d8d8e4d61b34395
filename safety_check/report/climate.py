"""How often a water was a GO in past years, for a terminal."""

from __future__ import annotations

import calendar
from collections.abc import Sequence

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.model.climate import Climate, Deciding, Month, Share, Week
from safety_check.model.verdict import Severity
from safety_check.report.credits import data_credits
from safety_check.report.layout import Column, Layout
from safety_check.report.outlook import short_hazard
from safety_check.report.words import assumed_reach
from safety_check.units import Preferences, show

PERMITS_NOTHING = (
    "These are past years by a record of the weather, not a forecast: they help to choose a week,"
    " and permit nothing. Check each trip by its own forecast and at the water."
)
DARK = "."  # where more than half of the trips are in the dark
NAMED = 2  # hazards for each month
WATER = {
    "estimated": "The water's temperature is estimated from the air of each day, as a range whose"
    " cold end decides.",
    "not known": "",
}


def add_climate(climate: Climate, preferences: Preferences, layout: Layout) -> None:
    """Add how often past trips were a GO.

    Parameters
    ----------
    climate
        What past years say.
    preferences
        The units that the user reads in.
    layout
        Where.
    """
    layout.paragraph(best_in_words(climate))
    layout.paragraph(described(climate))
    for sentence in assumptions(climate, preferences):
        layout.paragraph(sentence)
    layout.paragraph(PERMITS_NOTHING)
    layout.section("Of 100 trips so many were a GO, by the hour they began")
    _add_hours(climate, layout)
    layout.section("Days with a GO, and what decides where it is not")
    _add_months(climate.months, layout)
    layout.section("Of 100 days so many had a GO for at least")
    _add_windows(climate, layout)
    if climate.best_weeks:
        layout.section("Best weeks to book")
        for week in climate.best_weeks:
            layout.item(week_in_words(week))
    layout.section("Not in these figures")
    for missing in climate.not_counted:
        layout.item(f"{missing.what}: {missing.why}")
    layout.paragraph("")
    for credit in data_credits(climate.provenance, climate.plan.water):
        layout.item(credit)


def best_in_words(climate: Climate) -> str:
    """Return the month and the hour that were most often a GO, in one sentence."""
    go = _without_nan(climate.by_hour[..., Severity.GO])
    if go.any():
        return f"Best: {_when_most(climate, go)} were a GO."
    marginal = _without_nan(climate.by_hour[..., Severity.MARGINAL])
    if marginal.any():
        best = _when_most(climate, marginal)
        return f"No trip of these years was a GO. Best: {best} were MARGINAL."
    return "No trip of these years was a GO or MARGINAL."


def _without_nan(shares: FloatArray) -> FloatArray:
    """Return shares, 0 where no trip began."""
    return np.where(np.isnan(shares), 0.0, shares)


def _when_most(climate: Climate, shares: FloatArray) -> str:
    month, hour = np.unravel_index(int(np.argmax(shares)), shares.shape)
    share = share_in_words(float(shares[month, hour]))
    return f"{calendar.month_name[int(month) + 1]}, from {time_of(climate, int(hour))}: {share}"


def described(climate: Climate) -> str:
    """Return which trips were judged."""
    plan, hours = climate.plan, _hours(climate)
    first, last = climate.years[0], climate.years[-1]
    years = f"{first} to {last}" if first != last else str(first)
    return (
        f"{plan.water.name}, {plan.launch.name}; {plan.craft.label}; trips of {hours} h,"
        f" {years}, in the water's local time"
    )


def assumptions(climate: Climate, preferences: Preferences) -> list[str]:
    """Return what was assumed about the trips, in sentences."""
    told = [assumed_reach(climate.plan, preferences), WATER.get(climate.water, "")]
    entered = climate.plan.water_temperature
    if entered is not None:
        value = show(entered, "temperature", preferences.temperature)
        told.append(f"The water has {value} in every month, as you entered it.")
    return [sentence for sentence in told if sentence]


def time_of(climate: Climate, hour: int) -> str:
    """Return the time at which trips of an hour begin."""
    return f"{hour:02}:{climate.minute:02}"


def hours_shown(climate: Climate) -> range:
    """Return the hours from the first to the last that is light in any month."""
    light = np.flatnonzero((climate.dark < 0.5).any(axis=0))
    return range(int(light[0]), int(light[-1]) + 1) if len(light) else range(0)


def share_in_words(share: float) -> str:
    """Return a share in whole percent, never rounded to all or none.

    Examples
    --------
    >>> share_in_words(0.996), share_in_words(0.004), share_in_words(1.0), share_in_words(0.5)
    ('99 %', '1 %', '100 %', '50 %')
    """
    return f"{whole_percent(share)} %"


def whole_percent(share: float) -> int:
    """Return a share in percent, rounded, but 0 and 100 only where it is none or all."""
    if share in (0.0, 1.0):
        return round(100 * share)
    return min(max(round(100 * share), 1), 99)


def spread_in_words(share: Share) -> str:
    """Return a share and how the years differ."""
    low, high = whole_percent(share.low), whole_percent(share.high)
    return f"{whole_percent(share.mean)} % ({low}-{high})"


def week_in_words(week: Week) -> str:
    """Return the dates of a week and how many of its days had a GO."""
    return f"{_date(week.first)} to {_date(week.last)}: {spread_in_words(week.go_days)} of the days"


def decides_in_words(decides: Sequence[Deciding], most: int = NAMED) -> str:
    """Return the hazards that decide most often, with their shares."""
    named = [f"{short_hazard(one.hazard)} {whole_percent(one.share)}" for one in decides[:most]]
    return ", ".join(named) or "-"


def _hours(climate: Climate) -> int:
    return round((climate.plan.end - climate.plan.start).total_seconds() / 3600)


def _date(day: tuple[int, int]) -> str:
    month, number = day
    return f"{number} {calendar.month_abbr[month]}"


def _add_hours(climate: Climate, layout: Layout) -> None:
    shown = hours_shown(climate)
    if not shown:
        layout.paragraph("No hour of the year is light for long enough.")
        return
    columns = [Column("")] + [Column(f"{hour:02}", right=True) for hour in shown]
    rows = [
        [calendar.month_abbr[month + 1], *(_cell(climate, month, hour) for hour in shown)]
        for month in range(12)
    ]
    layout.tight_table(columns, rows)
    minutes = f" Trips begin at {climate.minute} minutes past." if climate.minute else ""
    layout.paragraph(f"{DARK}  more than half of the trips are in the dark.{minutes}")


def _cell(climate: Climate, month: int, hour: int) -> str:
    share = climate.by_hour[month, hour, Severity.GO]
    if np.isnan(share):
        return ""
    if climate.dark[month, hour] > 0.5:
        return DARK
    return str(whole_percent(float(share)))


def _add_months(months: Sequence[Month], layout: Layout) -> None:
    columns = [
        Column("month"),
        Column("days with a GO", right=True),
        *(Column(str(level), right=True) for level in (Severity.GO, Severity.MARGINAL)),
        Column(str(Severity.NO_GO), right=True),
        Column("of 100 no GO decided by", wraps=True),
    ]
    rows = []
    for month in months:
        go, marginal, _, no_go = (str(whole_percent(share)) for share in month.shares)
        decides = decides_in_words(month.decides)
        name = calendar.month_abbr[month.month]
        rows.append([name, spread_in_words(month.go_days), go, marginal, no_go, decides])
    layout.table(columns, rows)
    layout.paragraph(
        "In brackets: how much the share differs with the years that are drawn (9 of 10 draws)."
        " GO, MARGINAL and NO-GO: of 100 trips that daylight allows; the rest is UNKNOWN."
    )


def _add_windows(climate: Climate, layout: Layout) -> None:
    columns = [Column("")] + [Column(f"{length} h", right=True) for length in climate.lengths]
    rows = [
        [calendar.month_abbr[month.month], *(str(whole_percent(one)) for one in month.windows)]
        for month in climate.months
    ]
    layout.table(columns, rows)
