"""Missed forecasts in the JSON report."""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, ConfigDict

from safety_check.model.missed_forecast import MissedForecast


class Missed(BaseModel):
    """An observation that the forecasts missed, and their values for its time; SI.

    With a `sign`, such as "whitecaps", the value is only the least that the sign means.
    `forecasts` is empty where every forecast was lower.
    """

    model_config = ConfigDict(extra="forbid")

    quantity: str
    value: float
    time: datetime
    station: str
    sign: str
    expected: float
    highest: float
    forecasts: list[str]
    next_run: datetime | None
    next_run_of: str


def missed_part(miss: MissedForecast) -> Missed:
    """Return a missed forecast as a part of the report."""
    return Missed(
        quantity=miss.observation.quantity,
        value=miss.observation.value,
        time=miss.observation.time,
        station=miss.observation.station,
        sign=miss.observation.sign,
        expected=miss.expected,
        highest=miss.highest,
        forecasts=list(miss.forecasts),
        next_run=miss.next_run,
        next_run_of=miss.next_run_of,
    )
