"""Combine an earlier plan and briefing with new data and what the user sees."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from safety_check.errors import PlanError
from safety_check.model.moving_water import MovingWater
from safety_check.model.plan import Plan
from safety_check.model.weather import (
    OWN_EYES,
    OWN_WORD,
    Alert,
    Briefing,
    Forecast,
    Observation,
    Provenance,
    SourceFailure,
)
from safety_check.use_cases.launch_observation import (
    WATER,
    LaunchObservation,
    least_sign,
    observed_values,
)
from safety_check.use_cases.planning import GRACE

ALERTS = ("alerts",)


def add_observation(
    plan: Plan, briefing: Briefing, seen: LaunchObservation
) -> tuple[Plan, Briefing]:
    """Return plan and briefing with the user's observation added.

    Of a new water temperature and one entered earlier, the lower is used. An observation that is
    already stored for the same moment counts once.
    """
    values = observed_values(seen)
    signs = {name: least_sign(name, value, seen) for name, value in values.items()}
    return add_values(plan, briefing, values, signs)


def add_values(
    plan: Plan, briefing: Briefing, values: Mapping[str, float], signs: Mapping[str, str]
) -> tuple[Plan, Briefing]:
    """Return plan and briefing with observed values added.

    Parameters
    ----------
    plan, briefing
        As they were.
    values
        CF name → what was seen, SI.
    signs
        CF name → the sign of which a value is only the least that it means; empty for a reading.
    """
    left = dict(values)
    warmth = left.pop(WATER, None)
    if warmth is not None and plan.water_temperature is not None:
        plan = replace(plan, water_temperature=min(warmth, plan.water_temperature))
    elif warmth is not None:
        left[WATER] = warmth
    own = tuple(
        _observation(name, value, briefing.at, signs.get(name, "")) for name, value in left.items()
    )
    earlier = (old for old in briefing.observations if not any(_same(old, new) for new in own))
    return plan, replace(briefing, observations=(*earlier, *own))


def _same(one: Observation, other: Observation) -> bool:
    return replace(one, provenance=other.provenance) == other


def _observation(name: str, value: float, at: datetime, sign: str) -> Observation:
    origin = Provenance(OWN_EYES, "", "", at, at, recorded=False)
    return Observation(name, value, at, OWN_EYES, 0.0, origin, sign=sign)


# -- the plan and the briefing, later -----------------------------------------------------------


def remaining_plan(plan: Plan, now: datetime) -> Plan:
    """Return what remains of a plan at a later time.

    Raises
    ------
    PlanError
        Where the whole plan is in the past.
    """
    if plan.end <= now:
        end = plan.end.astimezone(ZoneInfo(plan.water.time_zone))
        raise PlanError(
            f"the last plan, on {plan.water.name}, ended {end:%Y-%m-%d %H:%M}, so nothing is"
            " left to check. Make a new one with: safety-check check"
        )
    return replace(plan, start=now) if plan.start < now - GRACE else plan


def fill_from_stored(fresh: Briefing, stored: Briefing) -> Briefing:
    """Return a new briefing, completed with data from an earlier one.

    Forecasts of the earlier one are used where there is no other; they keep their age, and so
    allow no GO once they are too old. Its observations lose weight with age. Its warnings
    stay in force unless the services were asked for warnings again.
    """
    old = mark_as_stored(stored)
    asked_again = not any("alerts" in silence.wanted for silence in fresh.silences)
    return replace(
        fresh,
        forecasts=fresh.forecasts or old.forecasts,
        observations=_once((*fresh.observations, *old.observations)),
        alerts=fresh.alerts if asked_again else tuple(dict.fromkeys((*fresh.alerts, *old.alerts))),
        others=fresh.others if fresh.forecasts else (*fresh.others, *old.others),
        warnings_read=tuple(dict.fromkeys((*fresh.warnings_read, *old.warnings_read))),
        moving=fresh.moving if old.moving is None else _movement(fresh, old),
    )


def _movement(fresh: Briefing, old: Briefing) -> MovingWater | None:
    from safety_check.use_cases.own_water import keep_own_water  # not for still water

    return keep_own_water(fresh.moving, old.moving)


def offline_briefing(stored: Briefing, at: datetime, greatest_age: Mapping[str, float]) -> Briefing:
    """Return an earlier briefing at a later hour, without asking any service.

    Parameters
    ----------
    stored
        The earlier briefing.
    at
        The time now.
    greatest_age
        Source → how old its answer may be; an older one is a failure. [s]
    """
    old = mark_as_stored(stored)
    said = dict.fromkeys([*(alert.provenance for alert in old.alerts), *old.others])
    read = [word for word in old.warnings_read if word.source != OWN_WORD]
    overdue = dict.fromkeys(
        SourceFailure(
            source.source, "Not requested (offline), and the saved answer is too old.", ALERTS
        )
        for source in (*said, *read)
        if not (at - source.fetched).total_seconds() <= greatest_age.get(source.source, 0.0)
    )
    return replace(old, at=at, silences=tuple(dict.fromkeys((*old.silences, *overdue))))


def mark_as_stored(briefing: Briefing) -> Briefing:
    """Return a briefing whose every item is marked as stored, not live."""
    return replace(
        briefing,
        forecasts=tuple(
            replace(forecast, provenance=_kept(forecast)) for forecast in briefing.forecasts
        ),
        observations=tuple(
            replace(observation, provenance=_kept(observation))
            for observation in briefing.observations
        ),
        alerts=tuple(replace(alert, provenance=_kept(alert)) for alert in briefing.alerts),
        others=tuple(replace(other, recorded=True) for other in briefing.others),
        warnings_read=tuple(replace(word, recorded=True) for word in briefing.warnings_read),
    )


def _kept(item: Forecast | Observation | Alert) -> Provenance:
    return replace(item.provenance, recorded=True)


def _once(observations: tuple[Observation, ...]) -> tuple[Observation, ...]:
    found = {
        (observation.quantity, observation.station, observation.time): observation
        for observation in reversed(observations)
    }
    return tuple(reversed(found.values()))
