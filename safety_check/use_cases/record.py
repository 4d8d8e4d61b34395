"""Use earlier checks, store new ones, and repeat old ones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from safety_check import __version__
from safety_check.assess.alternatives import Change
from safety_check.assess.verdict import assess_case, judge
from safety_check.conditions.case import Case
from safety_check.conditions.error_models import load_error_models, load_shrinkage
from safety_check.conditions.forecast_trend import PastChecks
from safety_check.conditions.trust import Trust
from safety_check.errors import SafetyCheckError
from safety_check.model.history import FindingChange, RepeatedCheck
from safety_check.model.plan import Plan
from safety_check.model.verdict import Verdict
from safety_check.physics.ensemble_calibration import LocalCorrection
from safety_check.rules.rulebook import Rulebook
from safety_check.settings.settings import Settings
from safety_check.store.file import may_hold
from safety_check.store.rows import StoredCheck
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.serialize import serialize
from safety_check.store.store import CheckRecord, Store
from safety_check.use_cases.local_correction import (
    checks_to_compare,
    find_outcomes,
    fit_corrections,
)
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.water_estimate import estimate_from_store
from safety_check.use_cases.water_memory import stored_measurements
from safety_check.use_cases.what_else import with_alternatives, without_alternatives
from safety_check.waters.near_water import trip_water

HELD = (
    "An earlier check may have shown that the forecast rose or missed an observation, so no hour"
    " is better than MARGINAL while that matters, for two days after the damage was found."
)
MOST_CHECKS = 1000  # the newest, searched for those to learn from


@dataclass(frozen=True)
class CompletedCheck:
    """A verdict, and whether it was stored.

    Parameters
    ----------
    verdict
        The answer.
    number
        Its number in the history; None where it could not be stored.
    case
        What was judged.
    remarks
        What the user should know about the history itself, for standard error.
    """

    verdict: Verdict
    number: int | None
    case: Case
    remarks: tuple[str, ...] = ()


def judge_and_store(
    case: Case,
    rulebook: Rulebook,
    name: str = "",
    remarks: tuple[str, ...] = (),
    others: Iterable[Change] = (),
    words: Mapping[str, str] | None = None,
) -> CompletedCheck:
    """Return the verdict on a case, and store it.

    Parameters
    ----------
    case, rulebook
        As for `judge`, with the history of the launch.
    name
        What the user calls the plan.
    remarks
        What the user should know about the history so far.
    others
        Changes of the water, which may be alternatives.
    words
        What was asked for, as `asked_again.words_of` returns it.

    Notes
    -----
    A history that cannot be used must not leave a paddler without a verdict: the verdict is given
    all the same, and the remarks say what is wrong.
    """
    done = assess_case(case, rulebook)
    verdict, number = with_alternatives(case, done, rulebook, others), None
    try:
        with Store.open(case.settings.folders.data, SHORT_PATIENCE) as store:
            user = case.settings.user
            made = StoredCheck(verdict, case.briefing, user, case.past, words or {})
            number = store.save_check(made, __version__, name, done.forecast)
    except Exception as trouble:  # noqa: BLE001 - the history must not prevent a verdict
        remarks += (f"This check is not in the history. {_told(trouble)}",)
    return CompletedCheck(verdict, number, case, remarks)


def recall_case(case: Case) -> tuple[Case, tuple[str, ...]]:
    """Return a case with the history of its launch, and remarks on that history."""
    plan, at, trust = case.plan, case.briefing.at, case.trust
    place = (plan.water.name, plan.launch.name)
    since = at - timedelta(seconds=trust.compares_over)
    try:
        with Store.open(case.settings.folders.data, SHORT_PATIENCE) as store:
            earlier = store.said(*place, since, at)
            learnt, days = learn_corrections(store, plan, at, trust)
            observed = store.observations(*place, since=since)
            water = stored_measurements(store, *place, at, trust)
            damaged = store.damage_since(since, at)
            estimate = estimate_from_store(store, plan, at)
            past = PastChecks(earlier, learnt, days, observed, water, bool(damaged), estimate)
            return replace(case, past=past), (*remarks_on(store), *_on_damage(damaged))
    except Exception as trouble:  # noqa: BLE001 - the history must not prevent a verdict
        lost = may_hold(case.settings.folders.data)
        held = f" {HELD}" if lost else ""
        remark = f"Earlier checks are not weighed. {_told(trouble)}{held}"
        return replace(case, past=PastChecks(lost=lost)), (remark,)


def _told(trouble: Exception) -> str:
    """Return the text of an error; an unexpected one is named."""
    if isinstance(trouble, SafetyCheckError):
        return str(trouble)
    return f"It could not be used ({type(trouble).__name__}: {trouble})."


def _on_damage(damaged: tuple[str, ...]) -> tuple[str, ...]:
    if not damaged:
        return ()
    return (f"Part of the history can't be read ({', '.join(damaged)}). {HELD}",)


def learn_corrections(
    store: Store, plan: Plan, at: datetime, trust: Trust
) -> tuple[dict[str, LocalCorrection], dict[str, int]]:
    """Return forecast corrections from past days at a launch, and the number of days."""
    place, zone = (plan.water.name, plan.launch.name), ZoneInfo(plan.water.time_zone)
    checks = store.checks(MOST_CHECKS, *place)
    trips = [
        trip
        for trip in store.trips(water=place[0])
        if trip.start < at and trip.launch in ("", place[1])
    ]
    seen = store.winds_seen(*place, at, trust.wind_distance)
    came = find_outcomes(seen, trips, checks, zone)
    days = checks_to_compare(checks, came, zone)
    told = [(days[number], said) for number, said in store.said_in(days).items()]
    return fit_corrections(told, came, load_error_models(), load_shrinkage(), at)


def remarks_on(store: Store) -> tuple[str, ...]:
    """Return what the user should know about an opened history."""
    found = []
    if store.set_aside is not None:
        found.append(
            "The history was damaged, so a new one was started. The old file is now"
            f" {store.set_aside}; nothing in it was deleted."
        )
    if store.unreadable:
        found.append(f"Rows of the history that can't be read were left out: {store.unreadable}.")
    return tuple(found)


# -- repeat an old check ------------------------------------------------------------------------


def repeat_check(saved: CheckRecord, settings: Settings, trust: Trust) -> RepeatedCheck:
    """Return an old check repeated with its own data and clock."""
    kept = saved.kept
    water, rulebook = trip_water(kept.plan, settings.folders.cache), load_rulebook()
    case = Case(kept.plan, kept.briefing, water, settings, trust, kept.past)
    settings = settings.at(kept.plan.launch)
    then = replace(settings, user=kept.user)
    again, today = (judge(replace(case, settings=own), rulebook) for own in (then, settings))
    return RepeatedCheck(
        line=saved.line,
        before=kept.verdict,
        again=again,
        today=today,
        same=serialize(again) == serialize(without_alternatives(kept.verdict)),
        changes=compare_verdicts(kept.verdict, again),
        settings_changes=compare_verdicts(again, today),
    )


def compare_verdicts(before: Verdict, after: Verdict) -> tuple[FindingChange, ...]:
    """Return the hazards on which two verdicts differ, in the order of the newer one."""
    old, new = (
        {finding.hazard: finding for finding in verdict.findings} for verdict in (before, after)
    )
    return tuple(
        FindingChange(hazard, old.get(hazard), new.get(hazard))
        for hazard in {**new, **old}
        if serialize(old.get(hazard)) != serialize(new.get(hazard))
    )
