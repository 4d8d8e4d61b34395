"""Faults in every service's answers, and how many of them turn a danger into a GO.

Run with `python -m benchmarks.false_go`, with `--list` to see every false GO, with `--all` to
run every case and not one in four (about twenty minutes). Each case starts
from a verdict of MARGINAL or NO-GO that rests on one danger known to one service alone, while
all else is calm. One fault is then put into that service's answers, which are asked over real
sockets. A GO means that the danger was lost without a word. The last line is their number.
"""

from __future__ import annotations

import os
import sys
import time
from collections import Counter
from collections.abc import Callable

from benchmarks.false_go.campaign import Outcome, run_campaign
from safety_check.model.verdict import Severity

ONE_IN = 4


def print_counts(outcomes: list[Outcome], name: str, of: Callable[[Outcome], str]) -> None:
    """Print tries and false GOs by a property of the outcomes."""
    tries = Counter(map(of, outcomes))
    lost = Counter(of(outcome) for outcome in outcomes if outcome.false_go)
    print(f"\n{name:28} {'tries':>6} {'false GO':>9}")
    for key, count in sorted(tries.items()):
        print(f"{key:28} {count:6} {lost[key]:9}")


def main() -> None:
    """Run the campaign and print what came of it."""
    started = time.monotonic()
    every = 1 if "--all" in sys.argv[1:] else ONE_IN
    outcomes = run_campaign(min(2, os.cpu_count() or 1), every)
    lost = [outcome for outcome in outcomes if outcome.false_go]
    if "--list" in sys.argv[1:]:
        for outcome in lost:
            print(
                f"{outcome.truth} → GO  {outcome.service}, {outcome.hazard}: "
                f"{outcome.kind}: {outcome.what}"
            )
    print_counts(outcomes, "service", lambda outcome: outcome.service)
    print_counts(outcomes, "fault", lambda outcome: outcome.kind)
    weaker = sum(Severity.GO < outcome.severity < outcome.truth for outcome in outcomes)
    print(f"\nheld back, but at a lower level than the truth: {weaker}")
    print(f"{len(outcomes)} cases in {time.monotonic() - started:.0f} s")
    print(f"false_go: {len(lost)}")


if __name__ == "__main__":
    main()
