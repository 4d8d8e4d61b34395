"""Tide and current in the chart: a panel each, on water that moves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime

from safety_check.model.water_movement import Movement
from safety_check.report.page.chart_panels import Scale, Sheet, step_path, unknown_spans
from safety_check.report.page.chart_parts import HOUR, Panel
from safety_check.units import KNOT, LENGTH, Preferences

LONG = " above lowest"  # left out where titles have little room
Shown = list[tuple[str, list[float]]]


def flow_values(
    movement: Movement | None, hours: Sequence[datetime], preferences: Preferences
) -> Shown:
    """Return the current, and the tide where a height of it is known: titles and values.

    Parameters
    ----------
    movement
        None on still water.
    hours
        The start of each hour.
    preferences
        The units that the user reads in.
    """
    if movement is None:
        return []
    unit = LENGTH[preferences.wave]
    shown = [("Current, kt", [speed / KNOT for speed in movement.current])]
    known = [height for height in movement.height if not math.isnan(height)]
    if known:
        tide = [(height - min(known)) / unit for height in movement.height]
        shown.append((f"Tide, {preferences.wave}{LONG}", tide))
    return [(title, values) for title, values in shown if len(values) == len(hours)]


def flow_panels(
    shown: Shown, hours: Sequence[datetime], sheet: Sheet, top: float
) -> tuple[Panel, ...]:
    """Return a panel for each of some values, one above the other.

    Parameters
    ----------
    shown
        Titles and values, as `flow_values` returns them.
    hours, sheet
        The start of each hour, and what the panels of the drawing share.
    top
        Where the first panel's line of words begins.
    """
    found: list[Panel] = []
    for title, values in shown:
        found.append(_panel(title, values, hours, sheet, top))
        top = found[-1].bottom
    return tuple(found)


def _panel(
    title: str, values: Sequence[float], hours: Sequence[datetime], sheet: Sheet, start: float
) -> Panel:
    top = sheet.top(start)
    name, at = sheet.title(start, title, title.removesuffix(LONG))
    spans = [sheet.axis.bar(hour, hour + HOUR) for hour in hours]
    scale = Scale.over(values, (), top, sheet.height, sheet.paper)
    return Panel(
        title=name,
        at=at,
        values=tuple("?" if math.isnan(value) else f"{value:.1f}" for value in values),
        top=top,
        bottom=top + sheet.height,
        ticks=scale.ticks(),
        grid=scale.grid(()),
        spread="",
        middle=step_path(spans, scale.all(values)),
        unknown=unknown_spans(spans, values),
    )
