"""The user's other waters as changes to a plan, with their own forecasts and history."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial

from safety_check.assess.alternatives import Change
from safety_check.conditions.case import Case
from safety_check.errors import SafetyCheckError
from safety_check.model.place import OpenWater, Water
from safety_check.model.plan import Plan
from safety_check.model.weather import Briefing
from safety_check.waters import files
from safety_check.waters.nearness import say_if_by_sea
from safety_check.waters.open_water import open_water

OTHER_WATER = 4.0  # what another water costs beside its drive, in hours of a changed time
HOUR = 3600.0  # s

BriefingFor = Callable[[Plan, OpenWater], Briefing]


def changes_of_water(case: Case, briefing_for: BriefingFor) -> Iterator[Change]:
    """Yield a change for each other water whose drive is known and fits before the start.

    A water without a drive time is never offered: each takes requests to the services.

    Parameters
    ----------
    case
        The plan as it is.
    briefing_for
        Returns the forecasts for a plan on another water.
    """
    plan, at = case.plan, case.briefing.at
    if plan.route is not None:
        return
    for water in _reachable(case):
        if at + timedelta(seconds=water.drive or 0.0) <= plan.start:
            launch = water.launches[0]
            marked = say_if_by_sea(water, launch, case.settings.folders.cache)
            there = replace(plan, water=marked, launch=launch, water_temperature=None)
            option = f"{shlex.quote(water.name)} --launch {shlex.quote(launch.name)}"
            cost = OTHER_WATER + (water.drive or 0.0) / HOUR
            yield Change(
                "water", cost, option, partial(_case_there, case, there, briefing_for), True
            )


def _reachable(case: Case) -> list[Water]:
    """Return the other waters that have a drive time and a launch; a damaged file is left out."""
    found = []
    for path in sorted(case.settings.folders.waters.glob("*.geojson")):
        try:
            water = files.load_file(path)
        except SafetyCheckError:
            continue
        if water.name != case.plan.water.name and water.drive is not None and water.launches:
            found.append(water)
    return found


def _case_there(case: Case, plan: Plan, briefing_for: BriefingFor) -> Case:
    """Return the case on another water, with the history of its launch."""
    from safety_check.use_cases.record import recall_case

    water = open_water(plan, case.settings.folders.cache)
    there = Case(plan, briefing_for(plan, water), water, case.settings, case.trust)
    return recall_case(there)[0]
