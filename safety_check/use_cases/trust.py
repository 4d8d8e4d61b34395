"""Read from the shipped config how long, and up to what distance, data counts."""

from __future__ import annotations

from functools import cache, partial

from pydantic import Field

from safety_check.conditions.trust import MissedTrust, ModelRuns, Trust
from safety_check.conditions.water_memory import WaterMemoryTrust
from safety_check.model.weather import OWN_ARRAYS, OWN_WORD
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict
from safety_check.sources import registry, stations
from safety_check.sources.greatest_ages import greatest_age
from safety_check.sources.warning_services.services import LEAST_AHEAD, issued_ahead

HOUR, DAY = 3600.0, 86400.0  # s
WAVES = "sea_surface_wave_significant_height"


class FileTrust(Sourced):
    """[file] of trust.toml."""

    greatest_age: float


class ArraysTrust(Sourced):
    """[arrays] of trust.toml."""

    greatest_age: float = Field(gt=0)


class WindTrust(Sourced):
    """[wind] of trust.toml."""

    fades_over: float


class DirectionTrust(Sourced):
    """[direction] of trust.toml."""

    distance: float


class HistoryTrust(Sourced):
    """[history] of trust.toml."""

    compares_over: float


class OwnWordTrust(Sourced):
    """[own_word] of trust.toml."""

    greatest_age: float = Field(gt=0)


class WarningsTrust(Sourced):
    """[warnings] of trust.toml."""

    issued_ahead: float = Field(gt=0)


class WaterMemory(Sourced):
    """[water_memory] of trust.toml."""

    greatest_age: float = Field(gt=0)
    drop: float = Field(gt=0)
    fall_per_day: float = Field(gt=0)
    together: float = Field(ge=0)
    coldest: float


class Missed(Sourced):
    """[missed] of trust.toml."""

    spread: float = Field(gt=0, lt=1)
    floor: dict[str, float]
    remembered_for: float = Field(gt=0)
    fades_over: float = Field(gt=0)


class TrustFile(Strict):
    """trust.toml."""

    file: FileTrust
    arrays: ArraysTrust
    wind: WindTrust
    direction: DirectionTrust
    history: HistoryTrust
    own_word: OwnWordTrust
    warnings: WarningsTrust
    missed: Missed
    water_memory: WaterMemory


@cache
def load_trust() -> Trust:
    """Return how long and how far the answers of the sources count, from the shipped config."""
    own = toml_file.read(shipped_file("trust.toml"), TrustFile)
    reach = stations.load_reaches()
    return Trust(
        greatest_age=greatest_age(
            {OWN_WORD: own.own_word.greatest_age, OWN_ARRAYS: own.arrays.greatest_age}
        ),
        file_age=own.file.greatest_age,
        lacks=registry.lacks(),
        service_lacks=registry.service_lacks(),
        wind_distance=reach["wind_speed"].distance,
        wind_age=reach["wind_speed"].age,
        wind_fades_over=own.wind.fades_over,
        direction_distance=own.direction.distance,
        wave_distance=reach[WAVES].distance,
        wave_age=reach[WAVES].age,
        water_distance=reach["water_temperature"].distance,
        water_age=reach["water_temperature"].age,
        water_memory=WaterMemoryTrust(
            greatest_age=own.water_memory.greatest_age,
            drop=own.water_memory.drop,
            rate=own.water_memory.fall_per_day / DAY,
            together=own.water_memory.together,
            coldest=own.water_memory.coldest,
        ),
        compares_over=own.history.compares_over,
        warnings_ahead=partial(issued_ahead, default=own.warnings.issued_ahead),
        warnings_least_ahead=min(LEAST_AHEAD, own.warnings.issued_ahead),
        missed=MissedTrust(
            spread=own.missed.spread,
            floor=own.missed.floor,
            remembered_for=own.missed.remembered_for,
            fades_over=own.missed.fades_over,
        ),
        runs=_model_runs(),
        votes=registry.votes(),
    )


def _model_runs() -> dict[str, ModelRuns]:
    return {
        name: ModelRuns(model.label, model.cycle * HOUR, model.available_after * HOUR)
        for name, model in registry.load_models().items()
    }
