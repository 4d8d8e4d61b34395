"""Judge a plan on data already loaded: no network, no history."""

from __future__ import annotations

from safety_check.assess.verdict import assess_case
from safety_check.conditions.case import Case
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.model.weather import Briefing
from safety_check.settings.settings import Settings
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.what_else import with_alternatives


def judge_plan(plan: Plan, briefing: Briefing, water: OpenWater, settings: Settings) -> Verdict:
    """Return the verdict on a plan, and what would change it; no history is read or added to."""
    return judge_case(Case(plan, briefing, water, settings, load_trust()))


def judge_case(case: Case) -> Verdict:
    """Return the verdict on a case and what would change it."""
    rulebook = load_rulebook()
    return with_alternatives(case, assess_case(case, rulebook), rulebook)
