"""Percentiles of a river's discharge for one day of the year, by the U.S. Geological Survey.

They rest on approved daily means; an instant compared with them is an approximation.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from safety_check.errors import DataError
from safety_check.model.weather import Provenance
from safety_check.sources.answers import Answer, number, read
from safety_check.sources.usgs.readings import DISCHARGE

PATH = "/statistics/v0/observationNormals"
FLOW = "00060"  # its parameter code for discharge


@dataclass(frozen=True)
class DayPercentiles:
    """How a river flows on one day of the year.

    Parameters
    ----------
    steps
        Percentile [1] and discharge [m³ s⁻¹], both ascending.
    years
        How many years they rest on.
    """

    steps: tuple[tuple[float, float], ...]
    years: int

    def between(self, discharge: float) -> tuple[float, float] | None:
        """Return the least and the greatest percentile that a discharge can have; None unknown.

        Examples
        --------
        >>> DayPercentiles(((0.5, 10.0), (0.9, 40.0)), 30).between(25.0)
        (0.5, 0.9)
        """
        if discharge != discharge or not self.steps:
            return None
        below = [share for share, flow in self.steps if flow <= discharge]
        above = [share for share, flow in self.steps if flow > discharge]
        return max(below, default=0.0), min(above, default=1.0)


class NormalsAnswer(Answer):
    """A page of features; a site without statistics has none."""

    features: list[Any]


def query(site: str, day: date) -> dict[str, str]:
    """Return what to ask; without the site the service answers for a state of its own choice."""
    asked = f"{day:%m-%d}"
    return {
        "monitoring_location_id": site,
        "parameter_code": FLOW,
        "computation_type": "percentile",
        "start_date": asked,
        "end_date": asked,
    }


def parse(body: bytes, provenance: Provenance, site: str, day: date) -> DayPercentiles:
    """Return the percentiles of a site for a day; raise DataError where they can't be used."""
    features = read(body, NormalsAnswer, provenance.source).features
    series = [
        entry
        for feature in features
        for entry in _series(feature, site)
        if entry.get("parameter_code") == FLOW
    ]
    if not series:
        return DayPercentiles((), 0)
    found = [
        _percentiles(value, DISCHARGE.get(str(entry.get("unit_of_measure"))))
        for entry in series
        for value in entry.get("values") or ()
        if isinstance(value, dict)
        and value.get("computation") == "percentile"
        and value.get("time_of_year") == f"{day:%m-%d}"
    ]
    if len(found) != 1 or found[0] is None:
        raise DataError(
            f"{provenance.source}: site {site}, {day:%m-%d}: not one list of percentiles in a known"
            " unit, each with its discharge. The rank of today's discharge is unknown."
        )
    return found[0]


def _series(feature: object, site: str) -> list[dict[str, Any]]:
    """Return the series of a feature of the site that was asked for."""
    match feature:
        case {"properties": {"monitoring_location_id": name, "data": [*entries]}} if name == site:
            return [entry for entry in entries if isinstance(entry, dict)]
        case _:
            return []


def _percentiles(value: dict[str, Any], unit: tuple[float, float] | None) -> DayPercentiles | None:
    """Return a list of percentiles; None where its form is another or it does not ascend."""
    shares, flows = value.get("percentiles"), value.get("values")
    years = number(value.get("sample_count"))
    if unit is None or not isinstance(shares, list) or not isinstance(flows, list):
        return None
    if len(shares) != len(flows) or not years >= 1:
        return None
    pairs = [(number(share) / 100, number(flow) * unit[0]) for share, flow in
             zip(shares, flows, strict=True)]  # fmt: skip
    known = [pair for pair in pairs if pair[0] == pair[0] and pair[1] == pair[1]]
    if known != sorted(known) or [flow for _, flow in known] != sorted(flow for _, flow in known):
        return None
    return DayPercentiles(tuple(known), int(years))
