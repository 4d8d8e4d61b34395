"""Flood categories of the gauges of the National Water Prediction Service.

No reading is -999 and no threshold -9999. The second quantity of a reading may be in thousands
of cubic feet while the thresholds are in cubic feet. A category that says that the reading is old,
or that none is defined, never means that the river is safe.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from safety_check.model.moving_water import FloodCategory, RiverStages
from safety_check.model.weather import Provenance
from safety_check.sources.answers import AHEAD, Answer, believable, instant, number, read
from safety_check.units import FOOT

PATH = "/nwps/v1/gauges"
SENTINELS = (-999.0, -9999.0)
LENGTHS = {"ft": FOOT, "m": 1.0}
FLOWS = {"cfs": FOOT**3, "kcfs": 1000 * FOOT**3, "cms": 1.0}
STAGE, DISCHARGE = "river_stage", "water_volume_transport_in_river_channel"
FRESH = timedelta(hours=6)
"""An observed category that is older than this is not known any more (judgement)."""

NAMES = {category.value: category for category in FloodCategory}


@dataclass(frozen=True)
class GaugeFlood:
    """How far a gauge's river is in flood.

    Parameters
    ----------
    category, forecast
        Now, and the worst that is forecast.
    stages, flows
        Where the categories begin. [m, m³ s⁻¹]
    provenance
        Where it comes from.
    """

    category: FloodCategory
    forecast: FloodCategory
    stages: RiverStages
    flows: RiverStages
    provenance: Provenance


class GaugeAnswer(Answer):
    """The parts of a gauge's answer that are used."""

    lid: str
    status: dict[str, Any]
    flood: dict[str, Any]


def path(site: str) -> str:
    """Return the address of a gauge by its number at the Geological Survey, "USGS-01646500"."""
    return f"{PATH}/{site.removeprefix('USGS-')}"


def parse(body: bytes, provenance: Provenance) -> GaugeFlood:
    """Return the flood categories of a gauge."""
    answer = read(body, GaugeAnswer, provenance.source)
    observed, forecast = (_dict(answer.status.get(key)) for key in ("observed", "forecast"))
    units = answer.flood
    categories = _dict(units.get("categories"))
    length = LENGTHS.get(str(units.get("stageUnits")), math.nan)
    flow = FLOWS.get(str(units.get("flowUnits")), math.nan)
    stages = _thresholds(categories, "stage", length, STAGE)
    flows = _thresholds(categories, "flow", flow, DISCHARGE)
    return GaugeFlood(
        _category(observed, provenance.fetched - FRESH, provenance.fetched + AHEAD),
        _category(forecast, provenance.fetched - FRESH, None),
        stages,
        flows,
        provenance,
    )


def _category(status: dict[str, Any], since: datetime, until: datetime | None) -> FloodCategory:
    """Return a category whose reading exists and is in time, else UNKNOWN."""
    made = instant(status.get("validTime"))
    reading = _known(status.get("primary")), _known(status.get("secondary"))
    if made is None or made < since or (until is not None and made > until):
        return FloodCategory.UNKNOWN
    if all(math.isnan(value) for value in reading):
        return FloodCategory.UNKNOWN
    return NAMES.get(str(status.get("floodCategory")), FloodCategory.UNKNOWN)


def _thresholds(categories: dict[str, Any], what: str, unit: float, quantity: str) -> RiverStages:
    """Return where the categories begin; all unknown where they do not ascend."""
    found = {
        name: believable(quantity, _known(_dict(categories.get(name)).get(what)) * unit)
        for name in ("action", "minor", "moderate", "major")
    }
    known = {name: value for name, value in found.items() if not math.isnan(value)}
    if list(known.values()) != sorted(known.values()):
        return RiverStages()
    return RiverStages(**known)


def _known(value: object) -> float:
    """Return a number; NaN for the service's own words for none."""
    found = number(value)
    return math.nan if found in SENTINELS else found


def _dict(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}
