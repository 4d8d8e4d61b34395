"""Check the last plan again, with newer data and what the user sees."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields, replace
from datetime import UTC, datetime
from pathlib import Path

from safety_check.assess.changes import find_changes
from safety_check.assess.verdict import judge
from safety_check.conditions.case import Case
from safety_check.errors import PlanError
from safety_check.model.changes import CompletedRecheck
from safety_check.model.place import OpenWater
from safety_check.model.plan import Plan
from safety_check.model.weather import OWN_WORD, Briefing
from safety_check.rules.warnings import warnings_known
from safety_check.settings.settings import Settings
from safety_check.sources.coverage import warnings_covered
from safety_check.store.schema import SHORT_PATIENCE
from safety_check.store.store import CheckRecord, Store
from safety_check.use_cases.asked_again import words_of
from safety_check.use_cases.check import load_briefing, with_own_words
from safety_check.use_cases.launch_observation import WATER, LaunchObservation, observed_values
from safety_check.use_cases.observed import (
    add_observation,
    fill_from_stored,
    offline_briefing,
    remaining_plan,
)
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.record import judge_and_store, recall_case, remarks_on
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.saved_plans import find_saved_plan
from safety_check.use_cases.times_in_words import parse_time
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.water_estimate import store_air
from safety_check.use_cases.water_memory import store_measurement
from safety_check.use_cases.water_notes import with_notes
from safety_check.waters import files
from safety_check.waters.near_water import trip_water

NOTHING_SEEN = LaunchObservation()

# -- again ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class MovementRequest:
    """What the user says of a moving water, in words, as in `PlanRequest`; None for nothing."""

    current: str | None = None
    high_water: str | None = None
    gauge: str | None = None
    release: str | None = None


NOTHING_SAID = MovementRequest()


@dataclass(frozen=True)
class RecheckRequest:
    """A requested re-check.

    Parameters
    ----------
    water, name
        The water or plan whose last check to use; None for the last of all.
    number
        The number of a check, whatever was checked later.
    seen
        What the user sees.
    forecast
        A saved forecast; None asks the live services.
    warnings, read_at
        The user's statement that no official warning is in force, and when they read it.
    offline
        Ask no service; use what the last check received.
    as_of
        The time of the check, where it is not now.
    moves
        What the user says of tide, current, river and dam.
    """

    water: str | None = None
    name: str | None = None
    number: int | None = None
    seen: LaunchObservation = NOTHING_SEEN
    forecast: Path | None = None
    offline: bool = False
    as_of: str | None = None
    warnings: str | None = None
    read_at: str | None = None
    moves: MovementRequest = NOTHING_SAID


def last_check(
    water: str | None, name: str | None, settings: Settings, number: int | None = None
) -> CheckRecord:
    """Return the last check: of all, of a water, or of a named plan; or the one of a number.

    The name of a saved plan may stand for the water.

    Raises
    ------
    PlanError
        Where there is none.
    """
    if number is not None:
        with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
            return store.check(number)
    saved = find_saved_plan(water, settings)
    water, name = (None, name or saved) if saved else (water, name)
    known = None if water is None else files.load(water, settings.folders.waters).name
    with Store.open(settings.folders.data, SHORT_PATIENCE) as store:
        last = store.last_check(name, known)
        damaged = " ".join(remarks_on(store))
    if last is None:
        whose = f" of {known}" if known else ""
        called = f" named {name!r}" if name else ""
        raise PlanError(
            f"the history has no check{whose}{called} yet. Make one with: safety-check check"
            f" {damaged}".rstrip()
        )
    return last


def again_needs_own_word(last: CheckRecord, again: RecheckRequest) -> bool:
    """Return whether no one will answer about official warnings in a re-check of a plan."""
    if again.warnings is not None:
        return False
    at = _clock_of(again, last.kept.plan)
    word = any(source.source == OWN_WORD for source in last.kept.briefing.warnings_read)
    if (again.offline or word) and warnings_known(
        replace(last.kept.briefing, at=at), load_trust().greatest_age
    ):
        return False
    launch = last.kept.plan.launch
    asked = again.forecast is None and not again.offline
    return not (asked and warnings_covered(launch.latitude, launch.longitude))


def _clock_of(again: RecheckRequest, plan: Plan, clock: datetime | None = None) -> datetime:
    now = clock or datetime.now(UTC)
    if again.as_of is None:
        return now
    return parse_time(again.as_of, plan.water.time_zone, now, "--as-of")


def recheck_plan(
    again: RecheckRequest, settings: Settings, clock: datetime | None = None
) -> CompletedRecheck:
    """Return the current verdict on the last plan, and store it.

    Parameters
    ----------
    again, settings
        What is asked for, and for whom.
    clock
        Now, where it is not the computer's own.
    """
    last = last_check(again.water, again.name, settings, again.number)
    now = _clock_of(again, last.kept.plan, clock)
    plan = with_notes(_declared(remaining_plan(last.kept.plan, now), settings), settings)
    settings = settings.at(plan.launch)
    water, trust, rulebook = trip_water(plan, settings.folders.cache), load_trust(), load_rulebook()
    briefing = _briefing_again(plan, water, again, last.kept.briefing, settings, now)
    asked = again.forecast is None and not again.offline
    unheard = store_air(plan, now, settings) if asked else ()
    case, remarks = recall_case(Case(plan, briefing, water, settings, trust))
    remarks += unheard
    measured = replace(plan, water_temperature=observed_values(again.seen).get(WATER))
    remarks += store_measurement(measured, now, settings)
    observed = Case(*add_observation(plan, briefing, again.seen), water, settings, trust, case.past)
    words = {**last.kept.words, **words_of(again.moves)}
    done = judge_and_store(observed, rulebook, last.line.name, remarks, words=words)
    # The observation changes the forecasts, so the verdict without it needs a second judgement.
    without = judge(case, rulebook) if again.seen.anything else done.verdict
    changes = find_changes(
        last.kept.verdict, done.verdict, without, last.kept.briefing, observed.briefing
    )
    return CompletedRecheck(done.verdict, changes, done.number, done.remarks)


def _declared(plan: Plan, settings: Settings) -> Plan:
    """Return a plan completed with what the paddler has declared since."""
    said = {
        field.name: getattr(settings.paddler, field.name)
        for field in fields(plan.paddler)
        if getattr(plan.paddler, field.name) is None
    }
    return replace(plan, paddler=replace(plan.paddler, **said))


def _briefing_again(
    plan: Plan,
    water: OpenWater,
    again: RecheckRequest,
    stored: Briefing,
    settings: Settings,
    now: datetime,
) -> Briefing:
    asked = PlanRequest(
        as_of=again.as_of, warnings=again.warnings, read_at=again.read_at, **asdict(again.moves)
    )
    if again.offline:
        old = offline_briefing(stored, now, load_trust().greatest_age)
        return with_own_words(old, asked, plan)
    fresh = load_briefing(plan, asked, settings, now, again.forecast, water)
    return fill_from_stored(fresh, stored)


class WatchedPlan:
    """A plan that is checked repeatedly, whatever else is checked meanwhile.

    Parameters
    ----------
    number
        Its last check.
    settings
        The user's settings.
    forecast
        A saved forecast, read again each time; None asks the live services.
    warnings, read_at
        The user's statement on official warnings, and when they were read.
    """

    def __init__(
        self,
        number: int,
        settings: Settings,
        forecast: Path | None,
        warnings: str | None = None,
        read_at: str | None = None,
    ) -> None:
        self._number, self._settings, self._forecast = number, settings, forecast
        self._warnings, self._read_at = warnings, read_at

    def again(self, now: datetime) -> CompletedRecheck:
        """Return the verdict on the plan at a time."""
        asked = RecheckRequest(
            number=self._number,
            forecast=self._forecast,
            warnings=self._warnings,
            read_at=self._read_at,
        )
        done = recheck_plan(asked, self._settings, now)
        self._number = done.number or self._number
        self._warnings = self._read_at = None  # now stored with the check
        return done
