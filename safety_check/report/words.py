"""The words that every report shares: what the terminal says, the page says too."""

from __future__ import annotations

from datetime import datetime

from safety_check.report.terminal import GUST, MEANS, WAVE, WIND, age
from safety_check.report.terminal import _cells as cells
from safety_check.report.terminal import _day as day
from safety_check.report.terminal import _end as end
from safety_check.report.terminal import _origin as origin
from safety_check.report.terminal import _window as window

__all__ = ["GUST", "MEANS", "WAVE", "WIND", "age", "cells", "day", "end", "origin", "window"]


def clock(moment: datetime) -> str:
    """Return the time of day."""
    return f"{moment:%H:%M}"


def weekday(moment: datetime) -> str:
    """Return the day of the week, short."""
    return f"{moment:%a}"
