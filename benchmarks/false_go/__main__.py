"""Faults in every service's answers, and how many of them turn a danger into a GO.

Run with `python -m benchmarks.false_go`; `--help` says how to try more or fewer cases. Each
case starts from a verdict of MARGINAL or NO-GO that rests on one danger known to one service
alone, while all else is calm. One fault is then put into that service's answers, which are
asked over real sockets. A GO means that the danger was lost unnoticed. The last line is
the number of such GOs.
"""

from __future__ import annotations

import argparse
import os
import resource
import time
from collections import Counter
from collections.abc import Callable

from benchmarks.false_go.campaign import Outcome, run_campaign
from safety_check.model.verdict import Severity


def print_counts(outcomes: list[Outcome], name: str, of: Callable[[Outcome], str]) -> None:
    """Print tries and false GOs by a property of the outcomes."""
    tries = Counter(map(of, outcomes))
    lost = Counter(of(outcome) for outcome in outcomes if outcome.false_go)
    print(f"\n{name:28} {'tries':>6} {'false GO':>9}")
    for key, count in sorted(tries.items()):
        print(f"{key:28} {count:6} {lost[key]:9}")


def main() -> None:
    """Run the campaign and print its results."""
    asked = read_options()
    started = time.monotonic()
    outcomes = []
    for outcome in run_campaign(min(2, os.cpu_count() or 1), asked.one_in, asked.service):
        outcomes.append(outcome)
        if asked.list and outcome.false_go:
            told = f"{outcome.service}, {outcome.hazard}: {outcome.kind}: {outcome.what}"
            print(f"{outcome.truth} → GO  {told}", flush=True)
    print_counts(outcomes, "service", lambda outcome: outcome.service)
    print_counts(outcomes, "fault", lambda outcome: outcome.kind)
    weaker = sum(Severity.GO < outcome.severity < outcome.truth for outcome in outcomes)
    print(f"\nheld back, but at a lower level than the truth: {weaker}")
    spent = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    busy = sum(used.ru_utime + used.ru_stime for used in spent)
    elapsed = time.monotonic() - started
    print(f"{len(outcomes)} cases in {elapsed:.0f} s, {busy:.0f} s of processor time")
    print(f"false_go: {sum(outcome.false_go for outcome in outcomes)}")


def read_options() -> argparse.Namespace:
    """Return what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.false_go")
    parser.add_argument("--list", action="store_true", help="print each false GO as it is found")
    parser.add_argument("--one-in", type=int, default=5, help="try one case in so many (5)")
    parser.add_argument("--service", help="only this service's answers, such as ndbc")
    return parser.parse_args()


if __name__ == "__main__":
    main()
