"""Times of a plan in the water's own time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from zoneinfo import ZoneInfo

from safety_check.model.plan import Plan


@dataclass(frozen=True)
class LocalClock:
    """The water's own time; it names the day where the time alone could mislead.

    Parameters
    ----------
    zone
        The water's time zone.
    date
        The day that a time without a day means; None names the day with every time.
    """

    zone: tzinfo
    date: date | None

    @classmethod
    def of(cls, plan: Plan) -> LocalClock:
        """Return the clock of a plan; one that spans midnight names the day every time."""
        zone = ZoneInfo(plan.water.time_zone)
        start, until = (moment.astimezone(zone).date() for moment in (plan.start, plan.end))
        return cls(zone, start if start == until else None)

    def time(self, moment: datetime) -> str:
        """Return a time, such as "06:00" or "Sat 06:00"."""
        local = moment.astimezone(self.zone)
        return f"{local:%H:%M}" if local.date() == self.date else f"{local:%a %H:%M}"

    def span(self, start: datetime, until: datetime) -> str:
        """Return from when to when, such as "06:00 to 08:00" or "Fri 22:00 to Sat 01:00"."""
        return f"{self.time(start)} to {self.time(until)}"
