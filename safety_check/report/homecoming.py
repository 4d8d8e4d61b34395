"""The messages to the user at the time of return, and to the contact at the alarm."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from safety_check.assess.float_plan import FloatPlan
from safety_check.model.local_clock import LocalClock
from safety_check.report.float_plan import short_text
from safety_check.report.watching import BELL
from safety_check.units import Preferences

Notify = Callable[[str, str], bool]
REFUSED = "safety-check: not every service accepted the notice."


def alarm_text(made: FloatPlan, prefer: Preferences) -> str:
    """Return what the contact is told where the user has not come home."""
    who = made.contact.name or "The paddler"
    return (
        f"{who} has not reported back. Call them; if you reach nobody, raise the alarm now."
        f" {short_text(made, prefer)}"
    )


class HomecomingReporter:
    """Reminds the user, and tells the contact only where the user agreed to it.

    Parameters
    ----------
    made, prefer
        The float plan, and the user's units.
    say, remark
        Write a line to standard output, and to standard error.
    own
        Sends the reminder to the user; None sends nothing.
    contact
        Tells the contact; None where the user has not agreed.
    """

    def __init__(
        self,
        made: FloatPlan,
        prefer: Preferences,
        say: Callable[[str], None],
        remark: Callable[[str], None],
        own: Notify | None = None,
        contact: Notify | None = None,
    ) -> None:
        self._made, self._prefer = made, prefer
        self._say, self._remark = say, remark
        self._own, self._contact = own, contact
        self._clock = LocalClock.of(made.plan)

    def due(self, now: datetime) -> None:
        """Remind the user to report back."""
        by = self._clock.time(self._made.alarm)
        line = f"You meant to be off the water by now. Type home once you are. Alarm at {by}."
        self._say(f"{BELL}{self._clock.time(now)} {line}")
        self._send(self._own, "Back by now?", line)

    def overdue(self, now: datetime) -> None:
        """Tell the contact, where the user agreed; else say that nobody is told."""
        text = alarm_text(self._made, self._prefer)
        done = "Your contact is being told." if self._contact else "Nothing is sent to anybody."
        self._say(f"{BELL}{self._clock.time(now)} You are overdue. {done}")
        self._send(self._own, "You are overdue", f"{done} Type home once you are.")
        self._send(self._contact, f"Overdue: {self._made.plan.water.name}", text)

    def home(self, now: datetime, after_alarm: bool) -> None:
        """Take back the alarm, where the contact was told."""
        self._say(f"{self._clock.time(now)} Home. Tell your contact that you are back.")
        if after_alarm:
            who = self._made.contact.name or "The paddler"
            self._send(self._contact, "Home again", f"{who} is home. Call off the alarm.")

    def _send(self, notify: Notify | None, title: str, text: str) -> None:
        if notify is not None and not notify(title, text):
            self._remark(REFUSED)
