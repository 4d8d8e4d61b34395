"""How often a water was a GO in past years, as one page that needs no network."""

from __future__ import annotations

import calendar
from dataclasses import dataclass

import numpy as np

from safety_check.model.climate import Climate
from safety_check.model.verdict import Severity
from safety_check.report.climate import (
    PERMITS_NOTHING,
    assumptions,
    best_in_words,
    decides_in_words,
    described,
    hours_shown,
    share_in_words,
    spread_in_words,
    time_of,
    week_in_words,
    whole_percent,
)
from safety_check.report.credits import data_credits
from safety_check.report.page.page import environment
from safety_check.settings.settings import Settings

HALF = 0.5


@dataclass(frozen=True)
class Cell:
    """The trips of one month that began at one hour.

    Parameters
    ----------
    severity
        The best verdict that at least half of them reach; None where there are none.
    share
        How many were a GO; empty in the dark.
    text
        The same in
    """

    severity: Severity | None
    share: str
    text: str


def render_climate(climate: Climate, settings: Settings) -> str:
    """Return what past years say as one self-contained HTML document.

    Parameters
    ----------
    climate
        Every number and sentence comes from it.
    settings
        The units that the user reads in.
    """
    preferences = settings.preferences
    return (
        environment()
        .get_template("climate.html.j2")
        .render(
            best=best_in_words(climate),
            described=described(climate),
            assumptions=assumptions(climate, preferences),
            permits_nothing=PERMITS_NOTHING,
            months=[calendar.month_abbr[month + 1] for month in range(12)],
            rows=[
                (time_of(climate, hour), [_cell(climate, month, hour) for month in range(12)])
                for hour in hours_shown(climate)
            ],
            by_month=[
                (
                    calendar.month_name[month.month],
                    spread_in_words(month.go_days),
                    [share_in_words(share) for share in month.shares],
                    decides_in_words(month.decides),
                    [share_in_words(share) for share in month.windows],
                )
                for month in climate.months
            ],
            lengths=climate.lengths,
            weeks=[week_in_words(week) for week in climate.best_weeks],
            not_counted=climate.not_counted,
            credits=data_credits(climate.provenance, climate.plan.water),
        )
    )


def _cell(climate: Climate, month: int, hour: int) -> Cell:
    shares = climate.by_hour[month, hour]
    when = f"{calendar.month_name[month + 1]}, {time_of(climate, hour)}"
    if np.isnan(shares).any():
        return Cell(None, "", f"{when}: no trip")
    if climate.dark[month, hour] > HALF:
        return Cell(None, "", f"{when}: dark")
    severity = Severity(int(np.argmax(np.cumsum(shares) >= HALF)))
    go = whole_percent(float(shares[Severity.GO]))
    return Cell(severity, str(go), f"{when}: mostly {_at_worst(severity)}; {go} % GO")


def _at_worst(severity: Severity) -> str:
    return str(severity) if severity in (Severity.GO, Severity.NO_GO) else f"{severity} or better"
