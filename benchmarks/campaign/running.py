"""A command line that runs in a process of its own, and says when it writes."""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import sys
import time
from collections.abc import Mapping
from multiprocessing.connection import Connection
from pathlib import Path

from benchmarks.campaign import observer
from benchmarks.campaign.orders import Ending
from benchmarks.campaign.scene import Command

ROOT = Path(__file__).parents[2]
WATCHED = "from benchmarks.campaign import observer; observer.watch(); "
AS_IT_WROTE = 0.01  # s from a write or the end of a transaction; the disk takes as long
LONGEST = 120.0  # s; a command that takes longer hangs
NOT_STORED = {  # what a command says of what the disk did not take
    "is not in the history": Ending.UNSTORED,
    "The water temperature is not stored": Ending.UNSTORED,
    "The answers of the services could not be stored": Ending.UNSURE,
}
FORKS = multiprocessing.get_context("forkserver")
FORKS.set_forkserver_preload(["benchmarks.campaign.warm"])


class Running:
    """A command in a home.

    Parameters
    ----------
    command, home
        What runs where.
    largest
        How large a file may become, as on a disk that is full; None for any size. [bytes]
    fresh
        Whether it starts up by itself, or is forked from a process that has started up.
    """

    def __init__(
        self, command: Command, home: Path, largest: int | None = None, *, fresh: bool = True
    ) -> None:
        self.command = command
        self.writes: list[float] = []
        self.err = ""
        self.whole = self.killed = self.hung = False
        limit = {} if largest is None else {"CAMPAIGN_LARGEST": str(largest)}
        environment = {"SAFETY_CHECK_HOME": str(home), **command.environment, **limit}
        self._told, told = FORKS.Pipe(duplex=False)
        self._err, err = FORKS.Pipe(duplex=False)
        self._killed_at = self._began = time.monotonic()
        self._process = (_started if fresh else _forked)(command, environment, told, err)
        told.close()
        err.close()

    def wait_for_write(self, number: int) -> None:
        """Wait until the command has begun to write so many times, or has ended."""
        while len(self.writes) < number and (said := os.read(self._told.fileno(), 65_536)):
            for line in said.decode().splitlines():
                moment, what = line.split()
                self.writes.append(float(moment))
                self.whole = what == observer.WHOLE

    def kill(self) -> None:
        """Kill the command, where it still runs."""
        self._killed_at = time.monotonic()
        self._process.kill()

    def end(self) -> Ending:
        """Wait for the end, and return how it was."""
        status = _status(self._process, LONGEST)
        if status is None:
            self.hung = True
            self._process.kill()
            status = _status(self._process, LONGEST)
        self.seconds = time.monotonic() - self._began
        self.killed = status is not None and status < 0
        self.wait_for_write(sys.maxsize)
        while said := os.read(self._err.fileno(), 65_536):
            self.err += said.decode(errors="replace")
        self._told.close()
        self._err.close()
        if self.killed:
            return Ending.UNSURE
        lost = {ending for text, ending in NOT_STORED.items() if text in self.err}
        if lost:  # with status 1 also a page or the answers that it was to write
            return Ending.UNSURE if Ending.UNSURE in lost or status == 1 else Ending.UNSTORED
        return {1: Ending.FAILED, 2: Ending.REFUSED}.get(status or 0, Ending.DONE)

    @property
    def killed_as_it_wrote(self) -> bool:
        """Whether it was killed so soon after it began to write that it was not done."""
        wrote = bool(self.writes) and not self.whole
        return self.killed and wrote and self._killed_at - self.writes[-1] < AS_IT_WROTE


Process = subprocess.Popen[bytes] | multiprocessing.process.BaseProcess


def _started(
    command: Command, environment: Mapping[str, str], told: Connection, err: Connection
) -> Process:
    pipe = {"CAMPAIGN_PIPE": str(told.fileno()), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.Popen(
        [sys.executable, "-c", WATCHED + command.code, *command.arguments],
        cwd=ROOT,
        env=os.environ | environment | pipe,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=err.fileno(),
        pass_fds=(told.fileno(),),
    )


def _forked(
    command: Command, environment: Mapping[str, str], told: Connection, err: Connection
) -> Process:
    arguments = (command.arguments, environment, told, err)
    process = FORKS.Process(target=observer.run_forked, args=arguments, daemon=True)
    process.start()
    return process


def _status(process: Process, patience: float) -> int | None:
    """Return the status of a process once it has ended, or None."""
    if isinstance(process, subprocess.Popen):
        try:
            return process.wait(patience)
        except subprocess.TimeoutExpired:
            return None
    process.join(patience)
    return process.exitcode
