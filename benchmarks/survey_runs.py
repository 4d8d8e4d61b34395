"""Runs of the command `survey` as a user starts it: timed, watched, and killed."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

CODE = "from safety_check.cli import main; main()"
WATCHED = 0.2  # s between two looks at the processes
WORDS = (
    *("--reach", "0.5 mi", "--water-temp", "72 F", "--life-jacket", "worn", "--wearing", "none"),
    *("--company", "group", "--light", "yes", "--hours", "4"),
)
State = dict[str, tuple[int, int]]


@dataclass(frozen=True)
class SurveyCommand:
    """A survey that can be started again and again.

    Parameters
    ----------
    table, forecasts, now
        The launches, the arguments of `--forecasts`, and of `--as-of`.
    home
        The folder of the user's files, of temporary ones and of what the command prints.
    days
        How many of them are judged.
    """

    table: Path
    forecasts: Sequence[str]
    now: str
    home: Path
    days: int = 7

    def start(self, out: Path, workers: int) -> subprocess.Popen[bytes]:
        """Start it in a process group of its own."""
        self.home.mkdir(exist_ok=True)
        given = [word for forecast in self.forecasts for word in ("--forecasts", forecast)]
        options = (
            *("--out", str(out), "--as-of", self.now),
            *("--workers", str(workers), "--days", str(self.days)),
        )
        environment = {**os.environ, "SAFETY_CHECK_HOME": str(self.home), "TMPDIR": str(self.home)}
        with (self.home / "printed.txt").open("ab") as printed:
            return subprocess.Popen(
                [sys.executable, "-c", CODE, "survey", str(self.table), *given, *options, *WORDS],
                stdout=printed,
                stderr=printed,
                env=environment,
                start_new_session=True,
            )


@dataclass(frozen=True)
class SurveyRun:
    """What a whole run took.

    Parameters
    ----------
    wall, first, processor
        Time of the command, time to its first file, and processor time of its processes. [s]
    memory
        The most that one of its workers held. [bytes]
    """

    wall: float
    first: float
    processor: float
    memory: int


def run_whole(command: SurveyCommand, out: Path, workers: int) -> SurveyRun:
    """Run it to its end.

    Raises
    ------
    RuntimeError
        Where it fails.
    """
    before, began, memory, first = _processor_of_children(), time.perf_counter(), 0, 0.0
    process = command.start(out, workers)
    while process.poll() is None:
        memory = max([memory, *(_peak_memory(worker) for worker in _workers(process.pid))])
        if not first and state_of(out):
            first = time.perf_counter() - began
        time.sleep(WATCHED)
    wall = time.perf_counter() - began
    if process.returncode:
        raise RuntimeError((command.home / "printed.txt").read_text(encoding="utf-8")[-2000:])
    return SurveyRun(wall, first, _processor_of_children() - before, memory)


def run_killed(
    command: SurveyCommand, out: Path, whole: Path, kills: int, alone: SurveyRun, seed: int
) -> list[State]:
    """Kill it, workers and all, at so many random moments; return the files after each kill.

    Parameters
    ----------
    alone
        A run on two workers into the folder `whole`. A kill comes at any time from the start
        until an equal share of what is left would be written, so that some find nothing new.
    """
    rng, states = np.random.default_rng(seed), []
    work, files = alone.wall - alone.first, len(state_of(whole))
    for kill in range(kills):
        left = 1 - len(state_of(out)) / files
        latest = alone.first + work * left / (kills - kill)
        process = command.start(out, 2)
        try:
            process.wait(rng.uniform(0.0, latest))
        except subprocess.TimeoutExpired:
            kill_group(process)
            states.append(state_of(out))
            continue
        break  # it was done before the kill
    return states


def kill_group(process: subprocess.Popen[bytes]) -> None:
    """Kill a command and all processes that it started, and wait for their end."""
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    while True:
        try:
            os.killpg(process.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.01)


def state_of(out: Path) -> State:
    """Return the files of a survey that are written, each with its identity and time."""
    return {
        str(file.relative_to(out)): (file.stat().st_ino, file.stat().st_mtime_ns)
        for file in sorted(out.rglob("*.parquet"))
    }


def same_files(one: Path, other: Path) -> bool:
    """Return whether two folders hold the same files to the last byte, and no others."""

    def contents(folder: Path) -> dict[str, bytes]:
        return {
            str(file.relative_to(folder)): file.read_bytes()
            for file in folder.rglob("*")
            if file.is_file()
        }

    return contents(one) == contents(other)


def written_twice(states: Sequence[State], out: Path) -> int:
    """Return how many files that were whole after a kill were written again."""
    last = state_of(out)
    return sum(last.get(name) != found for state in states for name, found in state.items())


def _workers(parent: int) -> list[int]:
    """Return the processes of a group that run Python for it, without the command itself."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            fields = (folder / "stat").read_text().rpartition(")")[2].split()
            line = (folder / "cmdline").read_bytes()
        except OSError:
            continue  # it ended meanwhile
        if int(fields[2]) == parent and int(folder.name) != parent and b"spawn_main" in line:
            found.append(int(folder.name))
    return found


def _peak_memory(process: int) -> int:
    try:
        lines = Path(f"/proc/{process}/status").read_text().splitlines()
    except OSError:
        return 0
    return max([1024 * int(line.split()[1]) for line in lines if line.startswith("VmHWM")] or [0])


def _processor_of_children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime
