"""All inputs of one check."""

from __future__ import annotations

from dataclasses import dataclass

from safety_check.conditions.forecast_trend import PastChecks
from safety_check.conditions.trust import Trust
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.weather import Briefing
from safety_check.settings.settings import Settings

NOTHING_PAST = PastChecks()


@dataclass(frozen=True)
class Case:
    """A plan with everything known about it at the time of the check.

    Parameters
    ----------
    plan
        Who goes where, when and in what.
    briefing
        What the sources answered, and the clock of the check.
    water
        The open water around the launch.
    settings
        The user's limits, units and odds.
    trust
        How long and how far each item of the briefing counts.
    past
        What earlier checks of this launch said.
    """

    plan: Plan
    briefing: Briefing
    water: OpenWater
    settings: Settings
    trust: Trust
    past: PastChecks = NOTHING_PAST
