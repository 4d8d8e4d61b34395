"""How long all alternatives of a check take, as a ratio to the check itself.

Run: python -m benchmarks.alternatives

The plans lie on the bundled, invented water: the sample as it is, alone in cold water, at dawn,
and far out. Times are the median of several runs in
one process, the check and its alternatives by turns, so that a busy machine slows both.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from safety_check.assess.verdict import assess_case
from safety_check.conditions.case import Case
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.sample import sample_case
from safety_check.use_cases.what_else import with_alternatives
from safety_check.waters.open_water import open_water

RUNS = 7


HOUR = timedelta(hours=1)


def cases() -> Iterator[tuple[str, Case]]:
    """Yield plans that are not a GO, each with its name."""
    sample = sample_case()
    yield "sample", sample
    alone = replace(sample.plan.paddler, company="alone", wearing="none")
    cold = replace(
        sample.plan, paddler=alone, water_temperature=285.0, end=sample.plan.start + HOUR * 2
    )
    yield "alone, cold", replace(sample, plan=cold)
    fog = sample.plan.start - 4 * HOUR
    yield "at dawn", replace(sample, plan=replace(sample.plan, start=fog, end=fog + 3 * HOUR))
    far = replace(sample.plan, reach=3000.0, end=sample.plan.start + HOUR * 3)
    yield "far out", replace(sample, plan=far, water=open_water(far, sample.settings.folders.cache))


def ratio(case: Case) -> tuple[float, float, int]:
    """Return the seconds of a check, of its alternatives, and how many there are."""
    rulebook, checks, others = load_rulebook(), [], []
    for _ in range(RUNS):
        begun = time.perf_counter()
        made = assess_case(case, rulebook)
        middle = time.perf_counter()
        verdict = with_alternatives(case, made, rulebook)
        checks.append(middle - begun)
        others.append(time.perf_counter() - middle)
    return statistics.median(checks), statistics.median(others), len(verdict.alternatives or ())


def main() -> None:
    """Print each plan's times, and the greatest ratio last."""
    greatest = 0.0
    for name, case in cases():
        check, others, count = ratio(case)
        greatest = max(greatest, others / check)
        sys.stdout.write(
            f"{name:12} check {check:.3f} s, alternatives {others:.3f} s, {count} found\n"
        )
    sys.stdout.write(f"alternatives_to_check: {greatest:.2f}\n")


if __name__ == "__main__":
    main()
