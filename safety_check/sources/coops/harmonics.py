"""High and low water computed from the harmonic constants of a station, when it can't be asked.

The constants are stored from an earlier check. What is computed from them is not official.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from pydantic import Field

from safety_check.arrays import to_datetime64, to_utc
from safety_check.errors import DataError
from safety_check.model.moving_water import PredictionStation, TideEvent, TidePrediction
from safety_check.model.weather import Provenance
from safety_check.physics.harmonic_tide import (
    Constituent,
    Harmonic,
    harmonic_series,
    turning_points,
)
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict
from safety_check.sources.answers import Answer, number, read
from safety_check.sources.moving_water import events_span
from safety_check.units import FOOT

if TYPE_CHECKING:
    from safety_check.arrays import FloatArray, TimeArray

STATIONS = "/mdapi/prod/webapi/stations"
DATUM = "MLLW"
UNITS = {"feet": FOOT, "meters": 1.0}
STEP = np.timedelta64(360, "s")
LEAST_BETWEEN = np.timedelta64(7200, "s")
"""The service leaves out a high and a low water that are closer than this (second-hand)."""


class Row(Strict):
    """One [[constituent]] of tide_constituents.toml; the file says what each key means."""

    name: str
    speed: float = Field(gt=0)
    argument: list[float] = Field(min_length=6, max_length=6)
    node: list[float] = Field(min_length=6, max_length=6)
    factors: list[str]


class ConstituentsFile(Sourced):
    """tide_constituents.toml."""

    constituent: list[Row]


@cache
def load_constituents() -> dict[str, Constituent]:
    """Return the shipped constituents by name."""
    rows = toml_file.read(shipped_file("tide_constituents.toml"), ConstituentsFile).constituent
    return {
        row.name: Constituent(row.speed, tuple(row.argument), tuple(row.node), tuple(row.factors))
        for row in rows
    }


@dataclass(frozen=True)
class StationConstants:
    """What a station's tide is computed from.

    Parameters
    ----------
    harmonics
        Its constants. [m, deg]
    mean
        Mean sea level above the datum. [m]
    provenance
        Where they come from.
    """

    harmonics: tuple[Harmonic, ...]
    mean: float
    provenance: Provenance


class DescribedStations(Answer):
    """A station with its datums and constants."""

    stations: list[Any]


def path(station: str) -> str:
    """Return the address of one station."""
    return f"{STATIONS}/{station}.json"


def query() -> dict[str, str]:
    """Return what to ask for the datums and the harmonic constants of a station."""
    return {"expand": "datums,harcon", "units": "metric"}


def parse(body: bytes, provenance: Provenance, station: str) -> StationConstants:
    """Return the constants of a station; raise DataError where one can't be read."""
    found = read(body, DescribedStations, provenance.source).stations
    match found:
        case [
            {
                "id": str(name),
                "datums": {"units": height_unit, "datums": [*datums]},
                "harmonicConstituents": {"units": unit, "HarmonicConstituents": [*rows]},
            }
        ] if name == station:
            levels = {one.get("name"): number(one.get("value")) for one in datums
                      if isinstance(one, dict)}  # fmt: skip
            above = levels.get("MSL", math.nan) - levels.get(DATUM, math.nan)
            mean = above * UNITS.get(str(height_unit), math.nan)
            harmonics = [_harmonic(row, UNITS.get(str(unit), math.nan)) for row in rows]
        case _:
            mean, harmonics = math.nan, []
    known = tuple(one for one in harmonics if one is not None)
    if math.isnan(mean) or not known or len(known) < len(harmonics):
        raise DataError(
            f"{provenance.source}: station {station} has no harmonic constants, or one of them or"
            " its mean level can't be read. Its tide can't be computed here."
        )
    used = tuple(one for one in known if one.amplitude > 0)
    return StationConstants(used, mean, provenance)


def _harmonic(row: object, unit: float) -> Harmonic | None:
    """Return one constant; None where it can't be read or its constituent is not known."""
    if not isinstance(row, dict):
        return None
    constituent = load_constituents().get(str(row.get("name")))
    amplitude, phase = number(row.get("amplitude")) * unit, number(row.get("phase_GMT"))
    if constituent is None or not 0 <= amplitude <= 20 or not 0 <= phase <= 360:
        return None
    return Harmonic(constituent, amplitude, phase)


def predict(
    constants: StationConstants, station: PredictionStation, hours: TimeArray
) -> TidePrediction:
    """Return high and low water around some hours, computed here and marked as not official."""
    begin, end = (to_datetime64(moment) for moment in events_span(hours))
    time = np.arange(begin, end, STEP)
    turned, height = turning_points(
        time, harmonic_series(time, constants.harmonics, constants.mean)
    )
    turned, height = _without_close_pairs(turned, height)
    rises = np.diff(height, prepend=height[1:2]) > 0
    events = tuple(
        TideEvent(to_utc(at), float(level), high=bool(up))
        for at, level, up in zip(turned, height, rises, strict=True)
    )
    origin = replace(constants.provenance, model=f"{station.label}, computed here, not official")
    return TidePrediction(events, DATUM, replace(station, official=False), origin)


def _without_close_pairs(time: TimeArray, height: FloatArray) -> tuple[TimeArray, FloatArray]:
    """Leave out a high and the low next to it where they are close, the smallest step first.

    One pair at a time, so that highs and lows still alternate: of two tops with a dip between
    them, one stays.
    """
    while (close := np.flatnonzero(np.diff(time) < LEAST_BETWEEN)).size:
        least = close[np.abs(np.diff(height))[close].argmin()]
        pair = [least, least + 1]
        time, height = np.delete(time, pair), np.delete(height, pair)
    return time, height
