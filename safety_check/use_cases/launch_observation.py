"""What the user sees at the water, in words, and what it means in numbers."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from functools import cache
from typing import Any

from safety_check.conditions.ensemble import FROM, GUST, SEA, WIND
from safety_check.errors import PlanError
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Basis
from safety_check.settings.toml_file import Strict
from safety_check.use_cases.amounts_in_words import parse_height, parse_wind
from safety_check.use_cases.direction_in_words import parse_direction
from safety_check.use_cases.planning import water_temperature

WATER = "water_temperature"
WHITECAPS, MANY_WHITECAPS = "whitecaps", "many whitecaps"

# How the water looks → what that means as an observation. The words are those of the Beaufort
# scale for forces 0 to 2; whitecaps have an entry of their own in seen.toml.
STATES: dict[str, dict[str, Any]] = {
    "calm": {"wind": "calm"},
    "ripples": {"wind": "light breeze"},
    "scattered whitecaps": {"whitecaps": True},
    "many whitecaps": {"many_whitecaps": True},
}


@dataclass(frozen=True)
class LaunchObservation:
    """What the user sees at the water, in words; None where nothing was given.

    Parameters
    ----------
    wind, gust
        A number or range with a unit, or words such as "light breeze".
    from_direction
        A compass point, or degrees true.
    whitecaps
        Whether any are seen.
    waves
        Their height, crest to trough, of the higher ones.
    water_temperature
        As measured.
    many_whitecaps
        Whether there are many, on most waves.
    """

    wind: str | None = None
    gust: str | None = None
    from_direction: str | None = None
    whitecaps: bool = False
    waves: str | None = None
    water_temperature: str | None = None
    many_whitecaps: bool = False

    @classmethod
    def of_state(cls, state: str, **more: str | None) -> LaunchObservation:
        """Return what one sees of the water, by a name of `STATES`; other things as fields.

        Raises
        ------
        PlanError
            Where the state is not one of them.
        """
        if state not in STATES:
            raise PlanError(f"{state!r} is not one of: {', '.join(STATES)}.")
        seen: dict[str, Any] = {**more, **STATES[state]}
        return cls(**seen)

    @property
    def anything(self) -> bool:
        """Whether anything was given."""
        return any(getattr(self, field.name) for field in fields(self))


def observed_values(seen: LaunchObservation) -> dict[str, float]:
    """Return the observed values by CF name, in SI units.

    The upper end of a range or of a word such as "light breeze" counts; whitecaps mean at
    least one wind.

    Raises
    ------
    PlanError
        Where a value cannot be read, or is not plausible.
    """
    said: dict[str, float | None] = {
        WIND: None if seen.wind is None else _wind(seen.wind, "--wind"),
        GUST: None if seen.gust is None else _wind(seen.gust, "--gust"),
        FROM: None
        if seen.from_direction is None
        else parse_direction(seen.from_direction, "--from"),
        SEA: None if seen.waves is None else _waves(seen.waves),
        WATER: water_temperature(seen.water_temperature),
    }
    known = {name: value for name, value in said.items() if value is not None}
    least = least_wind_of(_sign(seen))
    if least is not None:
        known[WIND] = max(known.get(WIND, 0.0), least)
    return known


def least_wind_of(sign: str) -> float | None:
    """Return the least wind that a sign means [m s⁻¹]; None for no sign."""
    file = _file()
    winds = {
        WHITECAPS: file.whitecaps.wind_speed,
        MANY_WHITECAPS: file.many_whitecaps.wind_speed,
    }
    return winds.get(sign)


def greatest_wind() -> float:
    """Return the strongest wind that is accepted as an observation [m s⁻¹]."""
    return _file().greatest.wind_speed


def _sign(seen: LaunchObservation) -> str:
    if seen.many_whitecaps:
        return MANY_WHITECAPS
    return WHITECAPS if seen.whitecaps else ""


def least_sign(name: str, value: float, seen: LaunchObservation) -> str:
    """Return what was seen, where a value is only the least that it means; else nothing."""
    sign = _sign(seen)
    if name != WIND or not sign:
        return ""
    read = None if seen.wind is None else _wind(seen.wind, "--wind")
    return sign if read is None or read < value else ""


def _wind(text: str, field: str) -> float:
    return _plausible(parse_wind(text, field).high, _file().greatest.wind_speed, text, field)


def _waves(text: str) -> float:
    greatest = _file().greatest.wave_height
    return _plausible(parse_height(text, "--waves").high, greatest, text, "--waves")


def _plausible(value: float, greatest: float, text: str, field: str) -> float:
    if value > greatest:
        raise PlanError(
            f"{text!r}: that is above the accepted maximum; check the number and unit.", field=field
        )
    return value


# -- config --------------------------------------------------------------------------------------


class SeenTable(Strict):
    """The origin of a table of seen.toml."""

    basis: Basis
    source: str
    since: date
    checked: date


class WhitecapsTable(SeenTable):
    """[whitecaps] and [many_whitecaps] of seen.toml."""

    wind_speed: float


class GreatestTable(SeenTable):
    """[greatest] of seen.toml."""

    wind_speed: float
    wave_height: float


class SeenFile(Strict):
    """seen.toml."""

    whitecaps: WhitecapsTable
    many_whitecaps: WhitecapsTable
    greatest: GreatestTable


@cache
def _file() -> SeenFile:
    return toml_file.read(shipped_file("seen.toml"), SeenFile)
