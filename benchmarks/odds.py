"""How true the odds of wind are, raw and dressed, on rows that were not trained on.

Usage: python -m benchmarks.odds --train FILE --test FILE
"""

from __future__ import annotations

import argparse
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.emos import (
    Cases,
    Corrections,
    at_one_lead,
    corrections,
    evidence,
    fitted,
    quantiles,
    read,
)
from safety_check.arrays import BoolArray, FloatArray, IntArray
from safety_check.physics.ensemble_calibration import (
    ErrorModel,
    Shrinkage,
    calibrate_members,
    never_better,
    split_heavy_members,
)
from safety_check.physics.odds import GO, NO_GO, severity_at_tolerance
from safety_check.physics.wind import lowered_by_beaufort

LIMITS = (8.0, 10.3, 14.0)  # m/s
TOLERANCE = 0.1  # the user's default
TOLERANCES = (0.1, 0.2, 0.3)
GUSTS = (8.0, 10.7)  # m/s; a kayak's caution and no-go in company, as limits.toml has them
ALONE = 0.5  # Beaufort numbers by which going alone lowers them
CENTRAL = (0.5, 0.8, 0.9)  # nominal coverage of the central intervals
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.01)  # edges of the shares in the reliability table
TRAINED = 0.6  # of one file's rows, where it must serve for both
CONFIG = Path(__file__).parents[1] / "config" / "odds.toml"
COEFFICIENTS = ("shift", "slope", "floor", "relative", "spread")

# -- what is trained on, what is tested on ------------------------------------------------------


def parted(train: Path, test: Path) -> tuple[Cases, Cases]:
    """Return what to train and to test on; of one and the same file, its earlier and later rows."""
    if train.read_bytes() != test.read_bytes():
        return read(train), read(test)
    cases = read(train)
    first = np.arange(len(cases.observed)) < TRAINED * len(cases.observed)
    print(f"One file for both: trained on its first {TRAINED:.0%} of rows, tested on the rest.")
    return cases.rows(first), cases.rows(~first)


def ensemble(
    cases: Cases, most: float, dressing: ErrorModel | None = None, local: Corrections | None = None
) -> FloatArray:
    """Return members by row, raw or dressed, each station with its own correction."""
    size = len(cases.members)
    member, weights = split_heavy_members(np.full(size, 1 / size), most)
    values = cases.members[member]
    if dressing is None:
        return values
    result = np.empty_like(values)
    for place in np.unique(cases.place):
        at = cases.place == place
        own = (local or {}).get(str(place))
        result[:, at] = calibrate_members(
            values[:, at], weights, np.zeros(at.sum()), dressing, own, True
        )
    return result


# -- scores ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Scores:
    """Of each row: CRPS, the share at each limit, and whether each interval holds the truth."""

    crps: FloatArray
    share: FloatArray
    inside: BoolArray


def scores(values: FloatArray, observed: FloatArray) -> Scores:
    """Return how good ensembles (member, row) were."""
    size = len(values)
    ranked = np.sort(values, axis=0)
    rank = (2 * np.arange(1, size + 1) - size - 1)[:, None]
    tail = (1 - np.array(CENTRAL)) / 2
    low, high = quantiles(ranked, tail), quantiles(ranked, 1 - tail)
    return Scores(
        np.abs(values - observed).mean(axis=0) - (rank * ranked).sum(axis=0) / size**2,
        np.array([(values >= limit).mean(axis=0) for limit in LIMITS]),
        (low <= observed) & (observed <= high),
    )


def verdicts(values: FloatArray) -> IntArray:
    """Return the severity at each limit and row, at the user's default tolerance."""
    weights = np.ones(len(values))
    members = (np.where(values >= limit, NO_GO, GO) for limit in LIMITS)
    return np.array([severity_at_tolerance(levels, weights, TOLERANCE) for levels in members])


def skill(after: FloatArray, before: FloatArray) -> float:
    """Return by how much a score fell, as a share of what it was."""
    return float(1 - after.mean() / before.mean())


# -- the report --------------------------------------------------------------------------------


def report(observed: FloatArray, of: Mapping[str, FloatArray]) -> float:
    """Print the scores of several ensembles, the raw one first; return the last one's skill."""
    found = {name: scores(values, observed) for name, values in of.items()}
    above = np.array([observed >= limit for limit in LIMITS])
    raw = found["raw"].crps
    limits = "".join(f"{limit:6g}" for limit in LIMITS)
    nominal = "".join(f"{share:7.0%}" for share in CENTRAL)
    print(f"\n{'':24}  CRPS  skill   Brier at{limits} m/s   central{nominal}")
    for name, scored in found.items():
        brier = "".join(f"{value:6.3f}" for value in ((scored.share - above) ** 2).mean(axis=1))
        inside = "".join(f"{value:7.1%}" for value in scored.inside.mean(axis=1))
        print(f"{name:24} {scored.crps.mean():5.3f} {skill(scored.crps, raw):6.3f}", end="")
        print(f"{'':11}{brier}{'':14}{inside}")
    print("\nReliability, the limits together: share of members that reach it → how often it came")
    for name, scored in found.items():
        print(f"{name:24} {_reliability(scored.share, above)}")
    return skill(found[list(found)[-1]].crps, raw)


def _reliability(share: FloatArray, above: BoolArray) -> str:
    bins = [(share >= low) & (share < high) for low, high in pairwise(BINS)]
    return "  ".join(f"{share[at].mean():.2f}→{above[at].mean():.2f}" for at in bins if at.any())


def report_verdicts(raw: FloatArray, of: Mapping[str, FloatArray]) -> None:
    """Print how many verdicts each dressing changes; a verdict takes the worse of two."""
    before = verdicts(raw)
    print(f"\nVerdicts at one in ten: {before.size}, of them no-go {(before == NO_GO).sum()}")
    for name, values in of.items():
        alone, after = verdicts(values), verdicts(never_better(raw, values))
        better, worse = (after < before).sum(), (after > before).sum()
        print(f"{name:24} made better: {better}, made worse: {worse}", end="")
        print(f"; alone, without the raw members, better: {(alone < before).sum()}")


def report_limits(observed: FloatArray, of: Mapping[str, FloatArray]) -> None:
    """Print what a kayak's gust limits miss and refuse at several tolerances.

    A miss is a GO although the gust reached the bound; a false alarm is no GO although the
    gust stayed below the caution.
    """
    print("\nGust limits of a kayak: missed no-go, missed caution, false alarms")
    for company, steps in (("in company", 0.0), ("alone", ALONE)):
        caution, no_go = (
            float(lowered_by_beaufort(np.array(gust), np.array(steps))) for gust in GUSTS
        )
        for name, values in of.items():
            for tolerance in TOLERANCES:
                refused = (values >= caution).mean(axis=0) >= tolerance - 1e-9
                missed = int((~refused & (observed >= no_go)).sum())
                reached = observed >= caution
                print(
                    f"{company:11} {name:11} one in {1 / tolerance:3.1f}:  {missed:3d}"
                    f"  {np.mean(~refused[reached]):6.1%}  {np.mean(refused[~reached]):6.1%}"
                )


def main() -> None:
    """Fit, dress, score and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--train", type=Path, required=True)
    parser.add_argument("--test", type=Path, required=True)
    arguments = parser.parse_args()
    train, test = parted(arguments.train, arguments.test)
    config = tomllib.loads(CONFIG.read_text(encoding="utf-8"))
    most = config["members"]["most_weight"]
    few = Shrinkage(**{field.name: config["local"][field.name] for field in fields(Shrinkage)})
    dressing = fitted(train)
    told = ", ".join(f"{name} {getattr(dressing, name)[0]:.3f}" for name in COEFFICIENTS)
    print(f"Trained on {len(train.observed)} rows, tested on {len(test.observed)}; fitted: {told}")
    pairs = "bias {:.1f}, tilt {:.0f} m²/s², spread {:.0f}".format(*evidence(train, dressing))
    print(f"Pairs of a station that count as much as all the other stations: {pairs}")
    raw = ensemble(test, most)
    of = {
        "as shipped": ensemble(test, most, shipped(config)),
        "fitted": ensemble(test, most, dressing),
        "fitted, local correction": ensemble(
            test, most, dressing, corrections(train, dressing, few)
        ),
    }
    gain = report(test.observed, {"raw": raw, **of})
    report_verdicts(raw, of)
    report_limits(test.observed, {"raw": raw, "as shipped": never_better(raw, of["as shipped"])})
    print(f"crps_skill: {gain:.4f}")


def shipped(config: Mapping[str, Any]) -> ErrorModel:
    """Return the program's own coefficients for gusts at their first lead time."""
    gusts = [entry for entry in config["dressing"] if entry["quantity"] == "wind_speed_of_gust"]
    first = min(gusts, key=lambda entry: float(entry["lead_hours"]))
    return at_one_lead([first[name] for name in COEFFICIENTS])


if __name__ == "__main__":
    main()
