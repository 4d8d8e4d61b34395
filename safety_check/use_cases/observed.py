"""Combine an earlier plan and briefing with new data and what the user sees."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date, datetime
from functools import cache
from zoneinfo import ZoneInfo

from safety_check.conditions.ensemble import FROM, GUST, SEA, WIND
from safety_check.errors import PlanError
from safety_check.model.plan import Plan
from safety_check.model.weather import (
    OWN_EYES,
    Alert,
    Briefing,
    Forecast,
    Observation,
    Provenance,
    SourceFailure,
)
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict
from safety_check.units import parse
from safety_check.use_cases.planning import GRACE, water_temperature

WATER = "water_temperature"
POINTS = (
    "n", "nne", "ne", "ene", "e", "ese", "se", "sse",
    "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw",
)  # fmt: skip
ALERTS = ("alerts",)


@dataclass(frozen=True)
class LaunchObservation:
    """What the user sees at the water, in words; None where nothing was given.

    Parameters
    ----------
    wind, gust
        With a unit.
    from_direction
        A compass point, or degrees true.
    whitecaps
        Whether any are seen.
    waves
        Their height, crest to trough, of the higher ones.
    water_temperature
        As measured.
    """

    wind: str | None = None
    gust: str | None = None
    from_direction: str | None = None
    whitecaps: bool = False
    waves: str | None = None
    water_temperature: str | None = None

    @property
    def anything(self) -> bool:
        """Whether anything was said."""
        return any(getattr(self, field.name) for field in fields(self))


def add_observation(
    plan: Plan, briefing: Briefing, seen: LaunchObservation
) -> tuple[Plan, Briefing]:
    """Return plan and briefing with the user's observation added.

    Of a new water temperature and one entered earlier, the lower is used.
    """
    values = observed_values(seen)
    warmth = values.pop(WATER, None)
    if warmth is not None and plan.water_temperature is not None:
        plan = replace(plan, water_temperature=min(warmth, plan.water_temperature))
    elif warmth is not None:
        values[WATER] = warmth
    own = tuple(
        _observation(name, value, briefing.at, _sign(name, value, seen))
        for name, value in values.items()
    )
    return plan, replace(briefing, observations=(*briefing.observations, *own))


def observed_values(seen: LaunchObservation) -> dict[str, float]:
    """Return what is seen by CF name, in SI units; of whitecaps the least wind that they mean.

    Raises
    ------
    PlanError
        Where a value cannot be read, or is not plausible.
    """
    said: dict[str, float | None] = {
        WIND: _amount(seen.wind, "speed", "--wind", _file().greatest.wind_speed),
        GUST: _amount(seen.gust, "speed", "--gust", _file().greatest.wind_speed),
        FROM: None
        if seen.from_direction is None
        else parse_direction(seen.from_direction, "--from"),
        SEA: _amount(seen.waves, "length", "--waves", _file().greatest.wave_height),
        WATER: water_temperature(seen.water_temperature),
    }
    known = {name: value for name, value in said.items() if value is not None}
    if seen.whitecaps:
        known[WIND] = max(known.get(WIND, 0.0), _file().whitecaps.wind_speed)
    return known


def _sign(name: str, value: float, seen: LaunchObservation) -> str:
    """Return what was seen, where a value is only the least that it means; else nothing."""
    if name != WIND or not seen.whitecaps:
        return ""
    read = _amount(seen.wind, "speed", "--wind", _file().greatest.wind_speed)
    return "whitecaps" if read is None or read < value else ""


def _amount(text: str | None, kind: str, field: str, greatest: float) -> float | None:
    if text is None:
        return None
    value = parse(text, kind, field)
    if value > greatest:
        raise PlanError(
            f"{field} {text!r}: that is above the accepted maximum; check the number and unit."
        )
    return value


def parse_direction(text: str, field: str) -> float:
    """Return a direction in degrees true from text: "NW", "north-west", "315".

    Raises
    ------
    PlanError
        Where it is not a direction.

    Examples
    --------
    >>> [parse_direction(text, "--from") for text in ("NW", "south-south-west", "45")]
    [315.0, 202.5, 45.0]
    """
    said = text.strip().casefold().removesuffix("deg").removesuffix("°").strip()
    for word in ("north", "south", "east", "west"):
        said = said.replace(word, word[0])
    point = "".join(character for character in said if character not in " -")
    if point in POINTS:
        return 360.0 / len(POINTS) * POINTS.index(point)
    try:
        degrees = float(said)
    except ValueError:
        degrees = -1.0
    if 0 <= degrees <= 360:
        return degrees % 360
    raise PlanError(
        f"{field} {text!r} is not a direction. Write where the wind comes from: N, NNE, NE … NNW,"
        f" or"
        " degrees from 0 to 360."
    )


def _observation(name: str, value: float, at: datetime, sign: str) -> Observation:
    origin = Provenance(OWN_EYES, "", "", at, at, recorded=False)
    return Observation(name, value, at, OWN_EYES, 0.0, origin, sign=sign)


# -- the plan and the briefing, later -----------------------------------------------------------


def remaining_plan(plan: Plan, now: datetime) -> Plan:
    """Return what remains of a plan at a later time.

    Raises
    ------
    PlanError
        Where all of it has passed.
    """
    if plan.end <= now:
        end = plan.end.astimezone(ZoneInfo(plan.water.time_zone))
        raise PlanError(
            f"the last plan, on {plan.water.name}, ended {end:%Y-%m-%d %H:%M}, so nothing is"
            " left to check. Make a new one with: safety-check check"
        )
    return replace(plan, start=now) if plan.start < now - GRACE else plan


def fill_from_stored(fresh: Briefing, stored: Briefing) -> Briefing:
    """Return a fresh briefing with what an earlier one knows that this one lacks.

    Forecasts of the earlier one are used where there is no other; they keep their age, and so
    permit no GO once they are too old. Its observations lose weight with age. Its warnings
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
    )


def offline_briefing(stored: Briefing, at: datetime, greatest_age: Mapping[str, float]) -> Briefing:
    """Return an earlier briefing at a later hour, without asking any service.

    Parameters
    ----------
    stored
        What was received then.
    at
        The clock now.
    greatest_age
        Source → how old its answer may be; an older one is a failure. [s]
    """
    old = mark_as_stored(stored)
    said = dict.fromkeys([*(alert.provenance for alert in old.alerts), *old.others])
    overdue = tuple(
        SourceFailure(
            source.source, "Not requested (offline), and the saved answer is too old.", ALERTS
        )
        for source in said
        if not (at - source.fetched).total_seconds() <= greatest_age.get(source.source, 0.0)
    )
    return replace(old, at=at, silences=(*old.silences, *overdue))


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


# -- config --------------------------------------------------------------------------------------


class SeenTable(Strict):
    """The origin of a table of seen.toml."""

    basis: Basis
    source: str
    since: date
    checked: date


class WhitecapsTable(SeenTable):
    """[whitecaps] of seen.toml."""

    wind_speed: float


class GreatestTable(SeenTable):
    """[greatest] of seen.toml."""

    wind_speed: float
    wave_height: float


class SeenFile(Strict):
    """seen.toml."""

    whitecaps: WhitecapsTable
    greatest: GreatestTable


@cache
def _file() -> SeenFile:
    return toml_file.read(shipped_file("seen.toml"), SeenFile)
