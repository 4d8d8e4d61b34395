"""Tide and current in the chart: a panel each, on water that moves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime

from safety_check.model.water_movement import Movement
from safety_check.report.page.chart_panels import Scale, step_path
from safety_check.report.page.chart_parts import GAP, HOUR, PANEL, Axis, Panel
from safety_check.units import KNOT, LENGTH, Preferences


def flow_panels(
    movement: Movement | None,
    hours: Sequence[datetime],
    axis: Axis,
    top: float,
    preferences: Preferences,
) -> tuple[Panel, ...]:
    """Return a panel for the current, and one for the tide where a height of it is known.

    Parameters
    ----------
    movement
        None on still water.
    hours, axis
        The start of each hour, and their places on the paper.
    top
        Where the first panel begins.
    preferences
        The units that the user reads in.
    """
    if movement is None:
        return ()
    unit = LENGTH[preferences.wave]
    shown = [("Current, kt", [speed / KNOT for speed in movement.current])]
    known = [height for height in movement.height if not math.isnan(height)]
    if known:
        tide = [(height - min(known)) / unit for height in movement.height]
        shown.append((f"Tide, {preferences.wave} above the lowest of these hours", tide))
    found: list[Panel] = []
    for title, values in shown:
        if len(values) == len(hours):
            found.append(_panel(title, values, hours, axis, top + len(found) * (PANEL + GAP)))
    return tuple(found)


def _panel(
    title: str, values: Sequence[float], hours: Sequence[datetime], axis: Axis, top: float
) -> Panel:
    spans = [axis.bar(hour, hour + HOUR) for hour in hours]
    scale = Scale.over(values, top)
    unknown = [span for span, value in zip(spans, values, strict=True) if math.isnan(value)]
    return Panel(
        title=title,
        top=top,
        bottom=top + PANEL,
        ticks=scale.ticks(),
        spread="",
        middle=step_path(spans, scale.all(values)),
        caution="",
        no_go="",
        marks=(),
        unknown=tuple(unknown),
    )
