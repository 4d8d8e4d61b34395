"""Judge many plans at once on data already loaded: no network, no history, no prose."""

from __future__ import annotations

from collections.abc import Sequence

from safety_check.assess import many
from safety_check.conditions.case import Case
from safety_check.errors import PlanError, SafetyCheckError
from safety_check.model.plan import Plan
from safety_check.model.verdict_arrays import OutlookArrays, VerdictArrays
from safety_check.model.weather import Briefing
from safety_check.settings.settings import Settings
from safety_check.use_cases.planning import require_sound_plan
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.waters.open_water import open_waters


def judge_plans(
    plans: Sequence[Plan], briefings: Sequence[Briefing], settings: Settings
) -> VerdictArrays:
    """Return the verdict on each plan, as a check would give it, as arrays.

    Raises
    ------
    PlanError
        Where there is no plan, or not one briefing for each, or a plan cannot be checked.
    """
    for plan, briefing in zip(plans, _for_each(plans, briefings), strict=True):
        require_sound_plan(plan, briefing.at)
    return many.judge_many(_cases(plans, briefings, settings), load_rulebook())


def outlook_plans(
    plans: Sequence[Plan], briefings: Sequence[Briefing], settings: Settings
) -> OutlookArrays:
    """Return every hour and trip of whole hours from each plan's start to its end, as arrays.

    Raises
    ------
    PlanError
        Where there is no plan, or not one briefing for each, or one ends before it starts.
    """
    for plan in plans:
        if plan.end <= plan.start:
            raise PlanError(
                f"the end {plan.end} is not after the start {plan.start}. Give a later end.",
                field="end",
            )
    return many.outlook_many(_cases(plans, briefings, settings), load_rulebook())


def _for_each(plans: Sequence[Plan], briefings: Sequence[Briefing]) -> Sequence[Briefing]:
    if not plans or len(plans) != len(briefings):
        raise PlanError(
            f"{len(plans)} plans and {len(briefings)} briefings. Give at least one plan, and one"
            " briefing for each; the same one may stand several times.",
            field="briefings",
        )
    return briefings


def _cases(plans: Sequence[Plan], briefings: Sequence[Briefing], settings: Settings) -> list[Case]:
    together = zip(plans, _for_each(plans, briefings), strict=True)
    trust, waters = load_trust(), open_waters(plans, settings.folders.cache)
    cases = []
    for (plan, briefing), water in zip(together, waters, strict=True):
        if isinstance(water, SafetyCheckError):
            raise water
        cases.append(Case(plan, briefing, water, settings, trust))
    return cases
