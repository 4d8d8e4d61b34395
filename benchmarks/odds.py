"""How reliable the odds of gusts are, as forecast and widened, on rows not used in training.

Usage: python -m benchmarks.odds --train FILE --test FILE

The mix is the ensemble, its mean and three of its runs as models of one run each, every model
counting once.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass, fields
from itertools import pairwise
from pathlib import Path

import numpy as np

from benchmarks.best_reachable import report_best_reachable
from benchmarks.limits_and_odds import COMPANY, WidenedRows, limits_of, report_limits
from benchmarks.widening import Cases, Corrections, corrections, crps, evidence, fitted, read
from safety_check.arrays import BoolArray, FloatArray
from safety_check.conditions.calibration import Calibration, widen
from safety_check.conditions.ensemble import GUST, Ensemble
from safety_check.conditions.error_models import (
    ErrorModels,
    load_error_models,
    load_shrinkage,
    shipped_odds,
)
from safety_check.physics.ensemble_calibration import ErrorModel
from safety_check.physics.odds import model_weights
from safety_check.settings.user_file import DEFAULT_TOLERANCE

LIMITS = (8.0, 10.3, 14.0)  # m/s
LONE_RUNS = 3  # of the ensemble, that the mix counts as models of one run each
CENTRAL = (0.5, 0.8, 0.9)  # nominal coverage of the central intervals
BINS = (0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 1.01)  # edges of the shares, for reliability
TRAINED = 0.6  # of one file's rows, where it must serve for both

# -- rows to train and to test on ---------------------------------------------------------------


def parted(train: Path, test: Path) -> tuple[Cases, Cases]:
    """Return what to train and to test on; of one and the same file, its earlier and later rows."""
    if train.read_bytes() != test.read_bytes():
        return read(train), read(test)
    cases = read(train)
    first = np.arange(len(cases.observed)) < TRAINED * len(cases.observed)
    print(f"One file for both: trained on its first {TRAINED:.0%} of rows, tested on the rest.")
    return cases.rows(first), cases.rows(~first)


def ensemble_of(cases: Cases) -> Ensemble:
    """Return the runs of one model, a row at each instant."""
    return members_of(cases.members, ["ensemble"] * len(cases.members))


def mix_of(cases: Cases) -> Ensemble:
    """Return the ensemble, its mean and some of its runs, each of these as a model of its own."""
    runs = np.arange(LONE_RUNS) * len(cases.members) // LONE_RUNS
    lone = [cases.members.mean(axis=0), *cases.members[runs]]
    models = ["ensemble"] * len(cases.members) + [f"lone {number}" for number in range(len(lone))]
    return members_of(np.concatenate([cases.members, lone]), models)


def lone_run_of(cases: Cases, number: int) -> Ensemble:
    """Return one run by itself."""
    return members_of(cases.members[[number]], ["lone"])


def members_of(values: FloatArray, models: list[str]) -> Ensemble:
    """Return gusts (member, row) as forecasts, every row an instant just after their issue."""
    members, rows = values.shape
    return Ensemble(
        time=np.arange(rows).astype("datetime64[h]").astype("datetime64[s]"),
        models=tuple(models),
        weights=model_weights(models),
        quantities={GUST: values},
        lacking={GUST: np.zeros(members, dtype=bool)},
        stale=np.zeros(members, dtype=bool),
        lead_hours=np.zeros(rows),
        complete=np.ones(rows, dtype=bool),
    )


def widened(raw: Ensemble, cases: Cases, models: ErrorModels, local: Corrections) -> WidenedRows:
    """Return the members as the program widens them, each station with its own correction."""
    share = shipped_odds().tolerance.winds_factor * DEFAULT_TOLERANCE
    found: dict[str, Ensemble] = {}
    for place in np.unique(cases.place):
        own = local.get(str(place))
        learnt = {} if own is None else {GUST: own}
        found[str(place)] = widen(raw, Calibration({GUST: models}, share, learnt, True))
    values = [found[str(place)].quantities[GUST][:, at] for at, place in enumerate(cases.place)]
    return WidenedRows(np.array(values).T, next(iter(found.values())).weights)


# -- scores ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Scores:
    """Of each row: CRPS, the share at each limit, and whether each interval holds the truth."""

    crps: FloatArray
    share: FloatArray
    inside: BoolArray


def scores(rows: WidenedRows, observed: FloatArray) -> Scores:
    """Return how good weighted members (member, row) were."""
    tail = (1 - np.array(CENTRAL)) / 2
    low, high = rows.quantiles(tail), rows.quantiles(1 - tail)
    return Scores(
        crps(rows.values, rows.weights, observed),
        np.array([rows.share(limit) for limit in LIMITS]),
        (low <= observed) & (observed <= high),
    )


def skill(after: FloatArray, before: FloatArray) -> float:
    """Return by how much a score fell, as a share of what it was."""
    return float(1 - after.mean() / before.mean())


def report(observed: FloatArray, of: Mapping[str, WidenedRows]) -> None:
    """Print the scores of several forecasts; each skill is over the row above that is raw."""
    above = np.array([observed >= limit for limit in LIMITS])
    limits = "".join(f"{limit:6g}" for limit in LIMITS)
    nominal = "".join(f"{one_value:7.0%}" for one_value in CENTRAL)
    print(f"\n{'':26}  CRPS  skill   Brier at{limits} m/s   central{nominal}")
    raw = np.ones(1)
    for name, rows in of.items():
        found = scores(rows, observed)
        raw = found.crps if name.endswith("as forecast") else raw
        brier = "".join(f"{value:6.3f}" for value in ((found.share - above) ** 2).mean(axis=1))
        inside = "".join(f"{value:7.1%}" for value in found.inside.mean(axis=1))
        print(f"{name:26} {found.crps.mean():5.3f} {skill(found.crps, raw):6.3f}", end="")
        print(f"{'':11}{brier}{'':14}{inside}")
    print("\nReliability, the limits together: share of members that reach it → how often it came")
    for name, rows in of.items():
        print(f"{name:26} {_reliability(scores(rows, observed).share, above)}")


def _reliability(share: FloatArray, above: BoolArray) -> str:
    bins = [(share >= low) & (share < high) for low, high in pairwise(BINS)]
    return "  ".join(f"{share[at].mean():.2f}→{above[at].mean():.2f}" for at in bins if at.any())


def reliability_error(rows: WidenedRows, observed: FloatArray) -> float:
    """Return how far the printed shares are from how often it came: mean over the cases."""
    share = np.concatenate([rows.share(limit) for limit in LIMITS])
    above = np.concatenate([observed >= limit for limit in LIMITS])
    bins = [(share >= low) & (share < high) for low, high in pairwise(BINS)]
    off = [at.sum() * abs(share[at].mean() - above[at].mean()) for at in bins if at.any()]
    return float(np.sum(off) / len(share))


def report_fit(train: Cases, shipped: ErrorModels) -> None:
    """Print the coefficients fitted to some rows, and those of the program."""
    models = fitted(train)
    for runs in ("one", "several"):
        for name, value in (("fitted", models), ("shipped", shipped)):
            print(f"{runs:7} {name:7}: {_told(getattr(value, runs))}")
    pairs = "bias {:.1f}, tilt {:.0f} m²/s², spread {:.0f}".format(*evidence(train, models.several))
    print(f"Pairs of a station that count as much as all the other stations: {pairs}")


def main() -> None:
    """Fit, widen, score and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--train", type=Path, required=True)
    parser.add_argument("--test", type=Path, required=True)
    arguments = parser.parse_args()
    train, test = parted(arguments.train, arguments.test)
    print(f"Trained on {len(train.observed)} rows, tested on {len(test.observed)}.")
    shipped = load_error_models()[GUST]
    report_fit(train, shipped)
    local = corrections(train, shipped.several, load_shrinkage())
    rows = forecasts(test, shipped, local)
    report(test.observed, rows)
    report_limits((train.observed, forecasts(train, shipped, {})), (test.observed, rows))
    report_best_reachable(test, {company: limits_of(company) for company in COMPANY})
    for name in ("mix, as forecast", "mix, widened"):
        print(f"{name}: odds off by {reliability_error(rows[name], test.observed):.3f}")
    before, after = (
        scores(rows[f"ensemble, {value}"], test.observed).crps
        for value in ("as forecast", "and corrected")
    )
    print(f"crps_skill: {skill(after, before):.4f}")


def forecasts(cases: Cases, models: ErrorModels, local: Corrections) -> dict[str, WidenedRows]:
    """Return the ensemble, single runs and the mix, as forecast and widened."""
    found = {}
    for name, raw in (
        ("ensemble", ensemble_of(cases)),
        ("one run", lone_run_of(cases, 0)),
        ("mix", mix_of(cases)),
    ):
        found[f"{name}, as forecast"] = WidenedRows(raw.quantities[GUST], raw.weights)
        found[f"{name}, widened"] = widened(raw, cases, models, {})
        if local:
            found[f"{name}, and corrected"] = widened(raw, cases, models, local)
    return found


def _told(model: ErrorModel) -> str:
    first = {field.name: getattr(model, field.name)[0] for field in fields(ErrorModel)[1:]}
    return ", ".join(f"{name} {value:.3f}" for name, value in first.items())


if __name__ == "__main__":
    main()
