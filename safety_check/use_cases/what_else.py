"""The changes to a plan that the user could make, and the verdicts on them."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import chain
from typing import Any

from safety_check.assess.alternatives import Change, find_alternatives
from safety_check.assess.verdict import Assessment
from safety_check.conditions.case import Case
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.physics.sphere import great_circle_distance
from safety_check.rules.rulebook import Rulebook
from safety_check.units import parse
from safety_check.waters.open_water import open_water

# The cost of a change, in hours of a changed time: it only decides the order of the list.
COMPANY, WETSUIT, DRYSUIT, CLOSE_IN, NEARER, OTHER_CRAFT, OTHER_LAUNCH = 2, 1, 2, 1, 1.5, 3, 2.5
MOST_CRAFTS = 2
SAME_WEATHER = 3000.0  # m; another launch so near is judged by the same forecast
CLOSE = {"mi": "100 yd", "nmi": "100 yd", "km": "100 m"}
REACHES = {
    "mi": ("2 mi", "1 mi", "1/2 mi", "1/4 mi"),
    "nmi": ("2 nmi", "1 nmi", "1/2 nmi", "1/4 nmi"),
    "km": ("3 km", "2 km", "1 km", "500 m"),
}


def with_alternatives(
    case: Case, made: Assessment, rulebook: Rulebook, others: Iterable[Change] = ()
) -> Verdict:
    """Return a verdict with the changes to the plan that would make it better.

    Parameters
    ----------
    case, made, rulebook
        The plan as it is, its verdict, and the limits that hold.
    others
        Further changes, such as those of the water; asked for only where they may help.
    """
    found = find_alternatives(case, made, chain(changes_of(case), others), rulebook)
    water = made.verdict.water
    if water is not None and water.warmest is not None:
        from safety_check.assess.enough_warmth import find_enough_warmth

        water = replace(water, enough=find_enough_warmth(case, made, rulebook))
    return replace(made.verdict, alternatives=found, water=water)


def without_alternatives(verdict: Verdict) -> Verdict:
    """Return a verdict as the judgement alone gives it."""
    water = verdict.water and replace(verdict.water, enough=None)
    return replace(verdict, alternatives=None, water=water)


def changes_of(case: Case) -> Iterator[Change]:
    """Yield the changes of company, clothing, craft, reach and launch."""
    yield from _paddler(case)
    yield from _crafts(case)
    if case.plan.route is None:
        yield from _nearer(case)
        yield from _launches(case)


def _paddler(case: Case) -> Iterator[Change]:
    paddler = case.plan.paddler
    if paddler.company == "alone":
        yield _with_paddler(case, "company", COMPANY, company="group")
    better = {"none": ("wetsuit", "drysuit"), "wetsuit": ("drysuit",)}
    for worn in better.get(paddler.wearing or "", ()):
        cost = WETSUIT if worn == "wetsuit" else DRYSUIT
        yield _with_paddler(case, "wearing", cost, wearing=worn)


def _with_paddler(case: Case, kind: str, cost: float, **said: Any) -> Change:
    plan = replace(case.plan, paddler=replace(case.plan.paddler, **said))
    return Change(kind, cost, f"--{kind} {said[kind]}", lambda: replace(case, plan=plan))


def _crafts(case: Case) -> Iterator[Change]:
    others = [name for name in case.settings.user.craft if name != case.plan.craft.name]
    for name in others[:MOST_CRAFTS]:
        option = f"--craft {shlex.quote(name)}"
        yield Change("craft", OTHER_CRAFT, option, partial(_in_craft, case, name))


def _in_craft(case: Case, name: str) -> Case:
    return replace(case, plan=replace(case.plan, craft=case.settings.craft(name)))


def _nearer(case: Case) -> Iterator[Change]:
    plan, unit = case.plan, case.settings.preferences.distance
    close = CLOSE[unit]
    metres = parse(close, "length", "")
    if metres < plan.from_shore:
        yield _elsewhere(case, "from_shore", CLOSE_IN, f'--from-shore "{close}"', from_shore=metres)
    shorter = [text for text in REACHES[unit] if parse(text, "length", "") < plan.reach]
    for text in shorter[:1]:
        metres = parse(text, "length", "")
        yield _elsewhere(
            case, "reach", NEARER, f'--reach "{text}"', reach=metres, reach_assumed=False
        )


def _launches(case: Case) -> Iterator[Change]:
    here = case.plan.launch
    for launch in case.plan.water.launches:
        apart = great_circle_distance(
            here.latitude, here.longitude, launch.latitude, launch.longitude
        )
        if launch.name != here.name and apart <= SAME_WEATHER:
            option = f"--launch {shlex.quote(launch.name)}"
            cost = OTHER_LAUNCH + apart / SAME_WEATHER
            yield _elsewhere(case, "launch", cost, option, launch=launch)


def _elsewhere(case: Case, kind: str, cost: float, option: str, **said: Any) -> Change:
    plan = replace(case.plan, **said)
    return Change(kind, cost, option, lambda: _on_other_water(case, plan), elsewhere=True)


def _on_other_water(case: Case, plan: Plan) -> Case:
    return replace(case, plan=plan, water=open_water(plan, case.settings.folders.cache))
