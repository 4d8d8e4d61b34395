"""Try changes and print which of them no test notices.

Run with `python -m benchmarks.mutations --seconds 2400 --sample 400`. The sample is drawn anew from
the seed, evenly over the modules. Each change is made in a process of its own, in code that is
already loaded, and the tests that run its line are run until one fails, the fastest first, for
`--longest` seconds at most. A change of a module's table is made while it is imported anew, and any
test can show it. Defaults of parameters and fields are not changed. The last line is the share of
the changes that were noticed, those that change nothing left out.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from benchmarks.mutations.equivalent import equivalent_changes
from benchmarks.mutations.mutants import Mutant, mutants_of
from benchmarks.mutations.noticed import Plugin

ROOT = Path(__file__).parents[2]
DECIDES = ("rules", "assess", "conditions", "physics", "store", "sources", "use_cases")
TESTS = ("rules", "assess", "conditions", "physics", "model", "store", "sources", "scenarios",
         "use_cases", "waters", "report", "settings")  # fmt: skip


def main() -> None:
    """Print the survivors, the share by package, and the whole."""
    asked = _arguments()
    equivalent = equivalent_changes()
    packages = [ROOT / "safety_check" / name for name in asked.modules or DECIDES]
    mutants = _sample(packages, asked.sample, asked.seed)
    plugin = Plugin(mutants, asked.longest, time.monotonic() + asked.seconds)
    tests = [str(ROOT / "tests" / name) for name in asked.tests or TESTS]
    status = pytest.main(["-q", "-p", "no:cacheprovider", *tests], plugins=[plugin])
    if status not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        sys.exit(f"pytest ended with {status!r}")
    by_package: dict[str, Counter[str]] = {}
    for mutant, result in plugin.result.items():
        name = str(mutant.path.relative_to(ROOT))
        known = result == "survived" and any(one.means(mutant) for one in equivalent)
        kept = "equivalent" if known else result
        by_package.setdefault(name.split("/")[1], Counter())[kept] += 1
        if kept in ("survived", "not run"):
            sys.stdout.write(f"{kept}: {name}:{mutant.line}: {mutant.before} -> {mutant.after}\n")
    whole: Counter[str] = Counter()
    for name, counts in sorted(by_package.items()):
        whole += counts
        sys.stdout.write(f"{name}: {dict(counts)}, noticed {_share(counts):.3f}\n")
    sys.stdout.write(f"noticed: {_share(whole):.3f}\n")


def _share(counts: Counter[str]) -> float:
    missed = counts["survived"] + counts["not run"]
    return counts["killed"] / max(1, counts["killed"] + missed)


def _sample(packages: list[Path], number: int, seed: int) -> list[Mutant]:
    """Return a sample of the changes of all files, each as likely."""
    files = sorted(
        file for path in packages for file in ([path] if path.is_file() else path.rglob("*.py"))
    )
    every = [mutant for path in files for mutant in mutants_of(path)]
    drawn = random.Random(seed).sample(every, min(number, len(every)))
    sys.stderr.write(f"{len(every)} changes in {len(files)} files, {len(drawn)} drawn\n")
    return drawn


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.mutations")
    parser.add_argument("--modules", nargs="*", help="packages or files of safety_check")
    parser.add_argument("--tests", nargs="*", help="folders or files of tests")
    parser.add_argument("--sample", type=int, default=400, help="how many changes")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=2400.0, help="no change begins later")
    parser.add_argument("--longest", type=float, default=60.0, help="of tests for one change [s]")
    return parser.parse_args()


if __name__ == "__main__":
    main()
