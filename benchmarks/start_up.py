"""How long a fresh process takes to start, as a ratio to importing three libraries.

Run: python -m benchmarks.start_up

Bytecode is warm, as it is after the first start of the program. It is stored in a folder of the
benchmark's own, like the program's cache.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time

RUNS = 9
REFERENCE = [sys.executable, "-c", "import numpy, pydantic, httpx"]
PROGRAM = [sys.executable, "-c", "from safety_check.cli import main; main()"]
COMMANDS = {
    "help": [*PROGRAM, "--help"],
    "sample": [*PROGRAM, "check", "--sample"],
    "sample_json": [*PROGRAM, "check", "--sample", "--json"],
}


def seconds(command: list[str], folder: str) -> float:
    """Return the wall time of one fresh process that keeps its files in a folder."""
    environment = os.environ | {"PYTHONPYCACHEPREFIX": folder, "SAFETY_CHECK_HOME": folder}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    begun = time.perf_counter()
    subprocess.run(command, env=environment, capture_output=True, check=False)
    return time.perf_counter() - begun


def main() -> None:
    """Print each command's time and its ratio to the reference, run by turns."""
    with tempfile.TemporaryDirectory() as folder:
        compare(folder)


def compare(folder: str) -> None:
    """Time all commands by turns and print the medians."""
    names = ["reference", *COMMANDS]
    taken: dict[str, list[float]] = {name: [] for name in names}
    commands = {"reference": REFERENCE, **COMMANDS}
    for command in commands.values():
        seconds(command, folder)  # bytecode and caches warm
    for _ in range(RUNS):
        for name, command in commands.items():
            taken[name].append(seconds(command, folder))
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
