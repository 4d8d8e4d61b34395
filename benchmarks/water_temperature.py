"""How often lakes lie outside the estimated band, and how often it decides.

`python -m benchmarks.water_temperature --lakes DIR` reads DIR/lakes.csv and a CSV file for each
lake. A lake that the margins were fitted on is judged by coefficients and margins that come from
the other lakes; any other lake by what is shipped. Lakes outside the range stay unknown.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from benchmarks.lake_buoys import print_buoys
from benchmarks.lake_fit import (
    FEWEST,
    SEASONS,
    Errors,
    band_of,
    fit_coefficients,
    margins,
    quantiles,
    runs_alone,
)
from benchmarks.lake_reach import (
    READINGS,
    SPACING,
    as_used,
    days_of,
    ideal_band,
    learnt_bands,
    print_ages,
)  # fmt: skip
from benchmarks.lake_series import LakeSeries, read_lakes
from safety_check.arrays import FloatArray, IntArray
from safety_check.conditions.lake_band import Band
from safety_check.conditions.lake_model import LakeModel, SeasonMargins, load_lake_model

LIMITS = (10.0, 15.6, 21.0)  # degC; limits of water temperature by what is worn
SUMMER = (6, 7, 8)
FITTED = (
    "Gardno", "Jeziorak", "Slawskie", "Studzieniczne", "Charzykowskie", "Mikolajskie", "Lubie",
)  # fmt: skip
POND = 3.0  # m; the base margins come from lakes at least this deep


@dataclass(frozen=True)
class Figures:
    """The quality of a band on one lake.

    Parameters
    ----------
    below, above
        Season → share of the days outside the cold and the warm end.
    width
        Of the cold side in summer: middle less cold end. [K]
    go, wrong
        By limit: the share of summer days whose cold end is at or above it, and of days on
        which the water was colder all the same.
    """

    below: dict[str, float]
    above: dict[str, float]
    width: float
    go: tuple[float, ...]
    wrong: tuple[float, ...]


def measure(lake: LakeSeries, band: Band) -> Figures:
    """Return how good a band is on a lake."""
    below, above = {}, {}
    for season, months in SEASONS.items():
        days = lake.usable & np.isin(lake.month, months)
        if days.any():
            below[season] = float(np.mean(lake.water[days] < band.cold[days]))
            above[season] = float(np.mean(lake.water[days] > band.warm[days]))
    summer = lake.usable & np.isin(lake.month, SUMMER)
    cold, water = band.cold[summer], lake.water[summer]
    return Figures(
        below,
        above,
        float(np.mean(water - cold)),
        tuple(float(np.mean(cold >= limit)) for limit in LIMITS),
        tuple(float(np.mean((cold >= limit) & (water < limit))) for limit in LIMITS),
    )


def in_range(lake: LakeSeries, model: LakeModel) -> bool:
    """Return whether the estimate may be used on a lake."""
    south, north = model.range.latitude
    return south <= lake.latitude <= north and 0 < lake.depth <= model.range.deepest


def leave_one_out(lakes: Sequence[LakeSeries], shipped: LakeModel) -> dict[str, LakeModel]:
    """Return for each lake the model that the others give; empty where they are too few."""
    if len(lakes) <= FEWEST:
        return {}
    fitted = fit_coefficients(lakes, [lake.name for lake in lakes], shipped.coefficients)
    models = {
        lake.name: replace(shipped, coefficients=by) for lake, by in zip(lakes, fitted, strict=True)
    }
    errors = {}
    for lake in lakes:
        bare = runs_alone(lake, models[lake.name])
        errors[lake.name] = quantiles(lake, bare.cold, bare.warm)
    deeper = [lake.name for lake in lakes if lake.depth >= POND]
    print("margins that these lakes give:", _as_text(margins([errors[name] for name in deeper])))
    found = {}
    for name, model in models.items():
        others = [errors[other] for other in deeper if other != name]
        found[name] = replace(model, margins=_with_base(model, margins(others)))
    return found


def _with_base(model: LakeModel, base: Errors) -> SeasonMargins:
    cold, warm = np.array([base.get(season, (np.nan, np.nan)) for season in SEASONS]).T
    known = np.isfinite(cold)
    return replace(
        model.margins,
        cold=np.where(known, cold, model.margins.cold),
        warm=np.where(known, warm, model.margins.warm),
    )


def _as_text(found: Errors) -> str:
    return ", ".join(f"{season} {low:+.2f} {high:+.2f}" for season, (low, high) in found.items())


# -- simple methods ----------------------------------------------------------------------------


def mean_air(lake: LakeSeries, others: Sequence[LakeSeries]) -> FloatArray:
    """Return the mean air temperature of thirty days. [degC]."""
    total = np.concatenate([[0.0], np.cumsum(lake.air)])
    mean = np.full(len(lake.air), np.nan)
    mean[29:] = (total[30:] - total[:-30]) / 30
    return mean


def day_of_year(lake: LakeSeries, others: Sequence[LakeSeries]) -> FloatArray:
    """Return what the other lakes measured on the same day of the year, on average. [degC]."""
    mean = np.zeros(367)
    for number in range(1, 367):
        near = [other.water[other.usable & (_days_apart(other, number) <= 3)] for other in others]
        mean[number] = np.mean([np.mean(days) for days in near if days.size])
    return mean[_number(lake)]


def _number(lake: LakeSeries) -> IntArray:
    number: IntArray = (lake.day - lake.day.astype("datetime64[Y]")).astype(np.int64) + 1
    return number


def _days_apart(lake: LakeSeries, number: int) -> IntArray:
    apart = np.abs(_number(lake) - number)
    nearest: IntArray = np.minimum(apart, 366 - apart)
    return nearest


def plain_bands(
    lakes: Sequence[LakeSeries], method: Callable[[LakeSeries, Sequence[LakeSeries]], FloatArray]
) -> dict[str, Figures]:
    """Return how good a simple method is on each lake, with margins by the same rule."""
    others = {lake.name: [one for one in lakes if one is not lake] for lake in lakes}
    middle = {lake.name: method(lake, others[lake.name]) for lake in lakes}
    errors = {lake.name: quantiles(lake, middle[lake.name], middle[lake.name]) for lake in lakes}
    found = {}
    for lake in lakes:
        base = margins([errors[other.name] for other in others[lake.name]])
        cold, warm = (
            middle[lake.name] + sum(
                np.where(np.isin(lake.month, months), base[season][end], 0.0)
                for season, months in SEASONS.items()
                if season in base
            )
            for end in (0, 1)
        )  # fmt: skip
        found[lake.name] = measure(lake, Band(np.maximum(cold, 0.0), middle[lake.name], warm))
    return found


# -- printed -----------------------------------------------------------------------------------


def print_figures(title: str, figures: dict[str, Figures]) -> None:
    """Print one line a lake, and the mean of all."""
    print(f"\n{title}")
    print(f"{'lake':<15} below the cold end by season | above the warm end | width | GO | wrong GO")
    for name, one in figures.items():
        low, high = (
            " ".join(f"{100 * share[season]:4.1f}" if season in share else "   -"
                     for season in SEASONS)
            for share in (one.below, one.above)
        )  # fmt: skip
        print(f"{name:<15} {low} | {high} | {one.width:4.1f} | {_shares(one.go, 0)}"
              f" | {_shares(one.wrong, 2)}")  # fmt: skip
    go, wrong = (
        np.mean([getattr(one, name) for one in figures.values()], axis=0)
        for name in ("go", "wrong")
    )
    print(f"{'all':<15} GO {_shares(go, 0)} % of summer days, wrong {_shares(wrong, 2)} %")


def _shares(shares: Sequence[float] | FloatArray, digits: int) -> str:
    return "/".join(f"{100 * share:.{digits}f}" for share in shares)


def print_reach(lakes: Sequence[LakeSeries], models: dict[str, LakeModel]) -> None:
    """Print what a band could decide at best, and what readings add."""
    bands = {lake.name: band_of(lake, models[lake.name]) for lake in lakes}
    ideal = {lake.name: measure(lake, ideal_band(lake, models[lake.name])) for lake in lakes}
    print_figures("out of reach: each lake's own errors known in advance", ideal)
    warm = [[np.mean(lake.water[days] >= limit) for limit in LIMITS]
            for lake, days in ((lake, lake.usable & np.isin(lake.month, SUMMER))
                               for lake in lakes)]  # fmt: skip
    print(f"the water itself is that warm on {_shares(np.mean(warm, axis=0), 0)} % of the days")
    print_ages(lakes, models)
    for count in READINGS:
        learnt = {}
        for lake in lakes:
            band = learnt_bands(lake, bands[lake.name], count, models[lake.name])
            learnt[lake.name] = measure(days_of(lake, band), band)
        print_figures(f"leave one lake out, with {count} reading(s), {SPACING} d apart", learnt)


def print_by_depth(lakes: Sequence[LakeSeries], figures: dict[str, Figures]) -> None:
    """Print the days below the cold end by season and class of depth, the worst lake of each."""
    print(f"\n{'worst lake by depth':<22}" + " ".join(f"{season:>8}" for season in SEASONS))
    for name, low, high in (("under 3 m", 0, 3), ("3 to 6 m", 3, 6), ("6 to 25 m", 6, 25)):
        of = [figures[lake.name] for lake in lakes if low < lake.depth <= high]
        if of:
            worst = [max(one.below.get(season, 0.0) for one in of) for season in SEASONS]
            print(f"{name:<22}" + " ".join(f"{100 * share:8.1f}" for share in worst))


def main() -> None:
    """Print every table, and the coverage of the cold end on the worst lake and season."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lakes", type=Path, required=True, help="folder with lakes.csv")
    parser.add_argument("--buoys", type=Path, help="folder with the buoys' files")
    asked = parser.parse_args()
    model = load_lake_model()
    lakes = read_lakes(asked.lakes)
    used = [lake for lake in lakes if in_range(lake, model) and lake.usable.any()]
    for lake in lakes:
        if lake not in used:
            print(f"{lake.name}: UNKNOWN (mean depth {lake.depth:g} m, or no year of air)")
    shipped = {lake.name: measure(lake, band_of(lake, model)) for lake in used}
    models = leave_one_out(used, model)
    fitted = [lake for lake in used if lake.name in models]
    left_out = {lake.name: measure(lake, band_of(lake, models[lake.name])) for lake in fitted}
    print_figures("as shipped", shipped)
    wider = {lake.name: measure(lake, as_used(band_of(lake, model), model)) for lake in used}
    print_figures("as shipped, wider for air of a grid cell, as a check has it", wider)
    if left_out:
        print_figures("leave one lake out: coefficients and margins of the others", left_out)
        for title, method in (("mean air of 30 days", mean_air), ("day of the year", day_of_year)):
            print_figures(f"simple method, leave one lake out: {title}", plain_bands(used, method))
        print_reach(used, models)
    judged = {
        name: left_out.get(name, one) if name in FITTED else one for name, one in shipped.items()
    }
    print_figures("each lake by numbers fitted without it", judged)
    print_by_depth(used, judged)
    print_buoys(asked.buoys or asked.lakes.parent / "buoys", model)
    worst = max((share for one in judged.values() for share in one.below.values()), default=1.0)
    print("\nShare of days not below the cold end, on the worst lake in its worst season:")
    print(f"cold_end_coverage: {1 - worst:.3f}")


if __name__ == "__main__":
    main()
