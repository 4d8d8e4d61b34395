"""Every property of the rules with many new cases."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
PROMISES = ("tests/rules", "tests/assess", "tests/conditions")


def run(seconds: float, seed: int, tries: int) -> tuple[int, list[str]]:
    """Return how many properties were tried to the end, each with so many cases, and what failed.

    What is not tried when the time is over is not counted.
    """
    process = subprocess.Popen(
        [sys.executable, "-m", "pytest", "-m", "hypothesis", "-v", "--tb=no",
         "-p", "no:cacheprovider", "-n", str(os.cpu_count() or 1),
         f"--hypothesis-seed={seed}", *PROMISES],
        cwd=ROOT,
        env=os.environ | {"HYPOTHESIS_PROFILE": "campaign", "HYPOTHESIS_CASES": str(tries)},
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )  # fmt: skip
    try:
        printed, _ = process.communicate(timeout=seconds)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, 9)
        printed, _ = process.communicate()
    passed = re.findall(r"PASSED (tests/\S+)", printed)
    failed = sorted(set(re.findall(r"(?:FAILED|ERROR) (tests/\S+)", printed)))  # and in a summary
    if not passed and not failed:
        failed = ["nothing was tried"]
    sys.stdout.write(f"properties tried: {len(passed) + len(failed)}, {tries} cases each\n")
    return (len(passed) + len(failed)) * tries, failed
