"""What a kayak's gust limits miss and refuse at each share of the forecasts that may decide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from benchmarks.best_reachable import MOST_MISSED
from safety_check.arrays import FloatArray, IntArray
from safety_check.conditions.ensemble import GUST
from safety_check.model.verdict import Severity
from safety_check.physics.odds import Tolerance
from safety_check.physics.wind import lowered_by_beaufort
from safety_check.rules.engine import severity, severity_of_all, strict_finding
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.limits import load_default_limits, load_reductions

SHARES = (0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5)  # of the forecasts; half as much denies GO
CRAFT = "sit-on-top-kayak"
COMPANY = ("in company", "alone")
HAZARD = next(hazard for hazard in HAZARDS if hazard.name == "gusts_too_strong")
Told = tuple[FloatArray, Mapping[str, "WidenedRows"]]


@dataclass(frozen=True)
class WidenedRows:
    """Weighted members of each row.

    Parameters
    ----------
    values : array (member, row)
        [m s⁻¹]
    weights : array (member,)
        Sum 1. [1]
    """

    values: FloatArray
    weights: FloatArray

    def share(self, limit: float) -> FloatArray:
        """Share of the members at or above a limit, of each row."""
        return np.asarray(self.weights @ (self.values >= limit))

    def quantiles(self, level: FloatArray) -> FloatArray:
        """Quantiles (level, row) between ranked members, each at the middle of its weight."""
        order = np.argsort(self.values, axis=0)
        ranked, weight = np.take_along_axis(self.values, order, axis=0), self.weights[order]
        middle = np.cumsum(weight, axis=0) - weight / 2
        rows = range(self.values.shape[1])
        return np.array([np.interp(level, middle[:, row], ranked[:, row]) for row in rows]).T


@dataclass(frozen=True)
class Outcome:
    """The errors of some verdicts by gusts.

    Parameters
    ----------
    missed_no_go
        Gusts that reached the no-go on a GO: a number.
    missed_caution, false_alarms
        Of those that reached the caution, the share on a GO; of the others, that on no GO. [1]
    too_mild
        Of those that reached the no-go, the share on a MARGINAL. [1]
    """

    missed_no_go: int
    missed_caution: float
    false_alarms: float
    too_mild: float


def limits_of(company: str) -> tuple[float, float]:
    """Return caution and no-go of a kayak's gusts in m/s, "in company" or "alone"."""
    limit = load_default_limits()[GUST, CRAFT]
    steps = np.array(_lowered_alone() if company == "alone" else 0.0)
    caution, no_go = (
        float(lowered_by_beaufort(np.array(bound), steps))
        for bound in (limit.marginal, limit.no_go)
    )
    return caution, no_go


def _lowered_alone() -> float:
    """Return by how many Beaufort numbers going alone lowers a wind limit."""
    return sum(entry.beaufort for entry in load_reductions() if entry.when == "alone")


def verdicts(rows: WidenedRows, bounds: tuple[float, float], tolerance: Tolerance) -> IntArray:
    """Return the severity of each row, as the program weighs gusts."""
    members = severity(rows.values, np.array(bounds[0]), np.array(bounds[1]), "higher")
    return severity_of_all(members, strict_finding(HAZARD, members), rows.weights, tolerance)


def outcome(
    observed: FloatArray, rows: WidenedRows, bounds: tuple[float, float], share: float
) -> Outcome:
    """Return how many gusts the verdicts at a share missed, and how many they refused."""
    found = verdicts(rows, bounds, Tolerance(share / 2, share))
    caution, no_go = (observed >= bound for bound in bounds)
    go = found == Severity.GO
    return Outcome(
        int((go & no_go).sum()),
        float(go[caution].mean()),
        float((~go)[~caution].mean()),
        float((found == Severity.MARGINAL)[no_go].mean()),
    )


def largest_safe_share(observed: FloatArray, rows: WidenedRows) -> float:
    """Return the largest share that misses no no-go and few cautions, alone and in company."""
    safe, bounds = 0.0, [limits_of(company) for company in COMPANY]
    for share in SHARES:
        found = [outcome(observed, rows, bound, share) for bound in bounds]
        if any(item.missed_no_go or item.missed_caution > MOST_MISSED for item in found):
            break
        safe = share
    return safe


def report_limits(train: Told, test: Told) -> None:
    """Print what each share misses and refuses, and which share the training rows choose."""
    print("\nGust limits of a kayak; a share decides, half of it denies GO")
    print(f"{'':38}missed no-go, missed caution, false alarms, no-go called MARGINAL")
    for rows, (observed, of) in (("trained on", train), ("not trained on", test)):
        for company in COMPANY:
            for name in of:
                print(f"{company}, {name}, rows {rows}")
                for share in SHARES:
                    found = outcome(observed, of[name], limits_of(company), share)
                    print(f"{share:37.2f} {_told(found)}")
    largest = largest_safe_share(train[0], train[1]["mix, widened"])
    print(f"Largest share that keeps the aims with the mix, on the rows trained on: {largest:.2f}")


def _told(found: Outcome) -> str:
    shares = (found.missed_caution, found.false_alarms, found.too_mild)
    return f"{found.missed_no_go:6d}" + "".join(f"{share:14.1%}" for share in shares)
