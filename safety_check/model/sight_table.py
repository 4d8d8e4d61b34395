"""The verdicts on everything that can be seen at the launch, judged when the check is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from safety_check.model.verdict import Severity


@dataclass(frozen=True)
class WindClass:
    """A class of wind that can be seen or measured.

    Parameters
    ----------
    state
        How the water looks, such as "ripples"; empty for a class of numbers.
    wind, gust
        The highest of the class, by which it is judged [m s⁻¹]; None where it was not looked at.
    sign
        What was seen, where the wind is only the least that it means; else empty.
    """

    state: str = ""
    wind: float | None = None
    gust: float | None = None
    sign: str = ""


@dataclass(frozen=True)
class SightAnswer:
    """The verdict on a class of observation.

    Parameters
    ----------
    severity
        Never better than that of the check.
    reason
        The main reason; empty where the verdict is that of the check.
    changed
        Hazard → its severity in the check and now, where it has become worse.
    milder
        True where the reason is that of a milder observation, which has this verdict already.
    """

    severity: Severity
    reason: str = ""
    changed: tuple[tuple[str, Severity, Severity], ...] = ()
    milder: bool = False


@dataclass(frozen=True)
class SightHour:
    """All classes, seen at one time.

    Parameters
    ----------
    at
        When, UTC.
    answers
        Index into the table's answers, for each class of wind, then of direction, then of water.
    forecast
        Name → the forecast for that hour, as `HourVerdict.shown`; empty where there is none.
    """

    at: datetime
    answers: tuple[int, ...]
    forecast: Mapping[str, float]


@dataclass(frozen=True)
class SightTable:
    """What a check would say if this or that were seen, by the judgement of a re-check.

    Parameters
    ----------
    winds, directions, waters
        The classes [m s⁻¹, deg true from, K]. The first of each is what was not looked at; a
        water counts for all that is warmer, up to the one before.
    hours
        When it can be seen; none where nothing that is seen can make the verdict worse.
    answers
        Every different answer.
    good_until
        From then on the forecasts are too old; None where they already are, or there is none.
    judged
        How many classes were judged; the others follow, because they are milder or worse.
    """

    winds: tuple[WindClass, ...]
    directions: tuple[float | None, ...]
    waters: tuple[float | None, ...]
    hours: tuple[SightHour, ...]
    answers: tuple[SightAnswer, ...]
    good_until: datetime | None
    judged: int

    def answer(self, hour: SightHour, wind: int, direction: int, water: int) -> SightAnswer:
        """Return the answer to a class, by the indices of its parts."""
        row = wind * len(self.directions) + direction
        return self.answers[hour.answers[row * len(self.waters) + water]]
