"""How long a fresh process takes to start, as a ratio to importing three libraries.

Run: python -m benchmarks.start_up
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

RUNS = 9
REFERENCE = [sys.executable, "-c", "import numpy, pydantic, httpx"]
PROGRAM = [sys.executable, "-c", "from safety_check.cli import main; main()"]
COMMANDS = {
    "help": [*PROGRAM, "--help"],
    "sample": [*PROGRAM, "check", "--sample"],
    "sample_json": [*PROGRAM, "check", "--sample", "--json"],
}


def seconds(command: list[str]) -> float:
    """Return the wall time of one fresh process."""
    begun = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
    return time.perf_counter() - begun


def main() -> None:
    """Print each command's time and its ratio to the reference, run by turns."""
    names = ["reference", *COMMANDS]
    taken: dict[str, list[float]] = {name: [] for name in names}
    commands = {"reference": REFERENCE, **COMMANDS}
    for each in commands.values():
        seconds(each)  # bytecode and caches warm
    for _ in range(RUNS):
        for name, command in commands.items():
            taken[name].append(seconds(command))
    reference = statistics.median(taken["reference"])
    print(f"import numpy, pydantic, httpx: {1000 * reference:.0f} ms (median of {RUNS})")
    ratios = {}
    for name in COMMANDS:
        pairs = zip(taken[name], taken["reference"], strict=True)
        ratios[name] = statistics.median(mine / other for mine, other in pairs)
        print(f"{name}: {1000 * statistics.median(taken[name]):.0f} ms, {ratios[name]:.2f} times")
    print(f"help_ratio: {ratios['help']:.2f}")
    print(f"sample_ratio: {ratios['sample']:.2f}")


if __name__ == "__main__":
    main()
