"""Which observations the forecasts missed, and whether a newer run has caught up with them.

A forecast that has just been wrong does not become reliable because time passes. An observation
above the stated spread of the forecasts keeps every later hour from being GO, until a run issued
after it has the observed wind at the time of the observation.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from safety_check.arrays import FloatArray, TimeArray, to_datetime64
from safety_check.conditions.calibration import Calibration, calibrate
from safety_check.conditions.case import Case
from safety_check.conditions.ensemble import HOUR, Ensemble, as_forecast
from safety_check.conditions.trust import ModelRuns
from safety_check.model.missed_forecast import MissedForecast
from safety_check.model.weather import Briefing, Forecast, Observation
from safety_check.rules.reached import weighted_quantile
from safety_check.rules.rulebook import Rulebook

SLACK = timedelta(minutes=10)  # how far the clock of a station may be ahead
Key = tuple[str, str, datetime, float]


@dataclass(frozen=True)
class StatedRange:
    """The forecasts for the time of an observation.

    Parameters
    ----------
    median, highest
        Their median as received, and the upper end of their spread. [m s⁻¹]
    models : tuple
        The models that have a value for that time.
    below
        The models whose values are all below the observation.
    """

    median: float
    highest: float
    models: tuple[str, ...]
    below: tuple[str, ...]


def find_missed_forecasts(case: Case, rulebook: Rulebook) -> tuple[MissedForecast, ...]:
    """Return the misses that no newer run has caught up with, the largest first.

    Parameters
    ----------
    case
        Its briefing's observations count, and those stored with earlier checks.
    rulebook
        How far forecasts err, for the spread.

    Notes
    -----
    An observation was missed where the present forecasts are lower for its time, or where an
    earlier check found so. Only a forecast issued after it can end that.
    """
    then = {
        _key(missed.observation): missed
        for summary in case.past.earlier
        for missed in summary.missed
    }
    observed = {
        _key(observation): observation
        for observation in (
            *(missed.observation for missed in then.values()),
            *case.past.observed,
            *case.briefing.observations,
        )
    }
    found = [
        _missed(observation, then.get(key), case, rulebook)
        for key, observation in observed.items()
        if _counts(observation, case)
    ]
    misses = [missed for missed in found if missed is not None]
    return tuple(sorted(misses, key=lambda missed: missed.highest - missed.observation.value))


def hours_held(
    misses: Sequence[MissedForecast], hours: TimeArray, lost: bool = False
) -> FloatArray:
    """Return 1 for each hour that ends after a missed observation, 0 for the others.

    Parameters
    ----------
    misses
        Any number of them.
    hours : array (hour,)
        Start of each hour, UTC.
    lost
        Whether there may be misses that can no longer be read; then the others are NaN.

    Returns
    -------
    array (1, hour)
    """
    held = np.full((1, len(hours)), np.nan if lost else 0.0)
    for missed in misses:
        held[:, hours + HOUR > to_datetime64(missed.observation.time)] = 1.0
    return held


def _key(observation: Observation) -> Key:
    return observation.quantity, observation.station, observation.time, observation.value


def _counts(observation: Observation, case: Case) -> bool:
    """Return whether an observation is of wind, near, recent, valid and not calm."""
    trust = case.trust
    floor = trust.missed.floor.get(observation.quantity)
    if floor is None or observation.flagged or observation.distance is None:
        return False
    age = case.briefing.at - observation.time
    recent = -SLACK <= age <= timedelta(seconds=trust.missed.remembered_for)
    return recent and observation.distance <= trust.wind_distance and observation.value > floor


def _missed(
    observation: Observation, then: MissedForecast | None, case: Case, rulebook: Rulebook
) -> MissedForecast | None:
    """Return the miss of one observation; None where there is none, or a newer run shows it."""
    forecasts = case.briefing.forecasts
    newer = tuple(forecast for forecast in forecasts if _issued(forecast) > observation.time)
    shown = _stated(observation, newer, case, rulebook)
    if shown is not None and observation.value <= shown.highest:
        return None
    now = _stated(observation, forecasts, case, rulebook)
    if now is not None and observation.value > now.highest:
        some = now.below if len(now.below) < len(now.models) else ()
        names = tuple(_label(model, case) for model in some)
        missed = MissedForecast(observation, now.median, now.highest, names)
    elif then is not None:
        missed = then
    else:
        return None
    return _with_next_run(missed, now.models if now else (), case)


def _issued(forecast: Forecast) -> datetime:
    return forecast.provenance.issued or forecast.provenance.fetched


def _label(model: str, case: Case) -> str:
    return case.trust.runs[model].label if model in case.trust.runs else model


# -- what the forecasts say for the time of an observation ---------------------------------------


def _stated(
    observation: Observation, forecasts: tuple[Forecast, ...], case: Case, rulebook: Rulebook
) -> StatedRange | None:
    """Return the forecasts for the time of an observation; None where they have no value.

    Between two hours the higher one counts.
    """
    if not forecasts:
        return None
    alone = Briefing(at=case.briefing.at, forecasts=forecasts)
    raw = as_forecast(alone, _hours_around(observation), case.trust)
    beyond = (1 - case.trust.missed.spread) / 2
    calibration = Calibration(rulebook.error_models, beyond)
    wide = calibrate(raw, alone, case.trust, calibration)
    _, values, weights = _known(raw, observation.quantity)
    if not values.size:
        return None
    median = weighted_quantile(values, weights, 0.5)
    models, values, weights = _known(wide, observation.quantity)
    upper = weighted_quantile(values, weights, beyond)
    floor = case.trust.missed.floor[observation.quantity]
    return StatedRange(
        median,
        max(upper, median + floor),
        tuple(dict.fromkeys(models.tolist())),
        tuple(_below(models, values, observation.value)),
    )


def _hours_around(observation: Observation) -> TimeArray:
    moment = to_datetime64(observation.time)
    first = moment.astype("datetime64[h]").astype("datetime64[s]")
    return np.array([first] if first == moment else [first, first + HOUR])


def _known(members: Ensemble, quantity: str) -> tuple[np.ndarray, FloatArray, FloatArray]:
    """Return models, values and weights of the members that have a value; the higher counts."""
    values = members.quantities[quantity]
    highest = np.where(np.isnan(values), -np.inf, values).max(axis=1)
    known = np.isfinite(highest) & ~members.lacking[quantity]
    return np.array(members.models)[known], highest[known], members.weights[known]


def _below(models: np.ndarray, values: FloatArray, observed: float) -> Iterator[str]:
    for model in dict.fromkeys(models.tolist()):
        if values[models == model].max() < observed:
            yield model


# -- when a newer run is due -----------------------------------------------------------------------


def _with_next_run(missed: MissedForecast, models: Iterable[str], case: Case) -> MissedForecast:
    """Return a miss with the first run that can include it and is not available yet."""
    at, observed = case.briefing.at, missed.observation.time
    due = [
        (_next_run(runs, observed, at), runs.label)
        for model, runs in case.trust.runs.items()
        if model in models
    ]
    if not due:
        return replace(missed, next_run=None, next_run_of="")
    first, label = min(due)
    return replace(missed, next_run=first, next_run_of=label)


def _next_run(runs: ModelRuns, observed: datetime, at: datetime) -> datetime:
    """Return when the first run that starts after an observation and is still to come is due."""
    midnight = datetime(observed.year, observed.month, observed.day, tzinfo=UTC)
    cycle, delay = timedelta(seconds=runs.cycle), timedelta(seconds=runs.available_after)
    after = max(observed, at - delay)
    starts = (after - midnight) // cycle + 1
    return midnight + starts * cycle + delay
