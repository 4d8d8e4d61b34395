"""Kill the command line while it writes, and compare what it leaves with what it found.

Left out is what writes by the same functions: `watch` (as `recheck`), `craft measure` (as
`craft add`), `water map` (as `plan write`), `serve` (as the commands whose forms it has), and the
questions of a terminal. A survey is killed by `python -m benchmarks.survey_runs`; `climate` and
`outlook` store computed arrays, as `check` does.
"""

from __future__ import annotations

import os
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from benchmarks.campaign import history_writers, settings_writers, water_writers
from benchmarks.campaign.home_state import (
    Damaged,
    read_parts,
    strange_files,
    temporary_files,
)
from benchmarks.campaign.orders import Ending, Ran, wrong_parts
from benchmarks.campaign.running import Running
from benchmarks.campaign.scene import Command, Scene, Writer, settle
from tests.sources.fakes import Services

WRITERS = (*history_writers.WRITERS, *settings_writers.WRITERS, *water_writers.WRITERS)
BESIDE = 1 / 3  # of the tries have a second command
FULL = 1 / 10  # of the tries have a full disk and no kill
AIMED = 2 / 3  # of the kills wait until the command has begun to write
WITHOUT_CACHE = 1 / 4  # of the tries find an empty cache, which the system may empty
FRESH = 1 / 10  # of the commands start up by themselves; others are forked from one that has
SMALLEST, SMALL = 100, 40_000  # bytes that a file may have where the disk is full
LAST_PAUSE = 0.002  # s
LATER = 0.1  # s that the killed command may start after the one beside it
OLDER = 7200.0  # s; older than any command that still writes


@dataclass
class Usual:
    """How a kind of command runs where nothing disturbs it.

    Parameters
    ----------
    seconds
        From its start to its end.
    pauses
        From each time that it writes to the next one, and after the last. [s]
    """

    seconds: float
    pauses: list[float]


@dataclass
class Campaign:
    """Tries in one home, and what they came to.

    Parameters
    ----------
    scene
        The home, its services and the draws.
    writers
        What makes the commands that are tried.
    """

    scene: Scene
    writers: Sequence[Writer] = WRITERS
    counts: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)
    usual: dict[str, Usual] = field(default_factory=dict)

    def prepare(self) -> None:
        """Make the home, and let each command run once without a kill."""
        settle(self.scene)
        self.parts = read_parts(self.scene.home)
        for writer in (*self.writers, *self.writers):  # what is removed must be there first
            command = self._command(writer)
            if command is not None and command.name not in self.usual:
                self.usual[command.name] = self._undisturbed(command)
        self._sound = self.scene.folder.with_name("sound")
        shutil.copytree(self.scene.home, self._sound)

    def _undisturbed(self, command: Command) -> Usual:
        running = Running(command, self.scene.home, fresh=FRESH == 1.0)
        ending = running.end()
        wrong = list(self._wrong([Ran(command, ending)]))
        if wrong or ending is not Ending.DONE:
            raise RuntimeError(f"{command.name} ended {ending}: {running.err}{wrong}")
        writes = running.writes
        pauses = [later - sooner for sooner, later in pairwise(writes)]
        return Usual(running.seconds, [*pauses, LAST_PAUSE])

    def try_once(self) -> None:
        """Kill a command, perhaps with another one beside it, or let its disk be full."""
        chance, home = self.scene.chance, self.scene.home
        self.scene.try_number += 1
        first, second = self._draw(), self._draw()
        if chance.random() < WITHOUT_CACHE:
            shutil.rmtree(home / "cache", ignore_errors=True)
        fresh = chance.random() < FRESH
        runs = [Running(second, home, fresh=fresh)] if chance.random() < BESIDE else []
        time.sleep(chance.uniform(0.0, LATER) if runs else 0.0)
        full = chance.random() < FULL
        size = int(SMALLEST * (SMALL / SMALLEST) ** chance.random())
        runs.append(Running(first, home, size if full else None, fresh=fresh))
        if not full:
            self._kill(runs[-1])
        ran = [Ran(one.command, one.end()) for one in runs]
        self._count(runs, full)
        found = [*_complaints(runs, ran, full), *self._wrong(ran)]
        self.failures += [f"try {self.scene.try_number}: {text}" for text in found]
        if found:
            self._start_anew()

    def _count(self, runs: Sequence[Running], full: bool) -> None:
        self.counts["tries"] += 1
        self.counts["on a full disk"] += full
        self.counts["with a second command"] += len(runs) > 1
        self.counts["killed while it ran"] += runs[-1].killed
        self.counts["killed while it wrote"] += runs[-1].killed_as_it_wrote

    def look_for_leftovers(self) -> None:
        """Let temporary files be old, run each command once more, and look which are left."""
        left = temporary_files(self.scene.home)
        self.counts["temporary files left by kills"] += len(left)
        for path in left:
            os.utime(path, (time.time() - OLDER,) * 2)
        for path in (self.scene.home / "cache").rglob("*.npz"):
            path.unlink()
        for writer in self.writers:
            if command := self._command(writer):
                self._undisturbed(command)
        self.failures += [f"{path.name} is never deleted" for path in left if path.exists()]

    def _draw(self) -> Command:
        while (command := self._command(self.scene.chance.choice(self.writers))) is None:
            pass
        return command

    def _command(self, writer: Writer) -> Command | None:
        self.scene.number += 1
        return writer(self.scene, self.parts)

    def _kill(self, running: Running) -> None:
        chance, usual = self.scene.chance, self.usual[running.command.name]
        if chance.random() < AIMED:
            number = chance.randrange(len(usual.pauses))
            running.wait_for_write(number + 1)
            time.sleep(chance.uniform(0.0, usual.pauses[number]))
        else:
            time.sleep(chance.uniform(0.0, usual.seconds))
        running.kill()

    def _wrong(self, ran: Sequence[Ran]) -> Iterator[str]:
        """Yield what is damaged, lost or half changed; the next try starts from what is there."""
        before = self.parts
        try:
            self.parts = read_parts(self.scene.home)
        except Damaged as damage:
            yield f"after {' and '.join(one.command.name for one in ran)}: {damage}"
            return
        yield from wrong_parts(before, ran, self.parts)
        yield from strange_files(self.scene.home)

    def _start_anew(self) -> None:
        """Go on in a sound home."""
        shutil.rmtree(self.scene.home)
        shutil.copytree(self._sound, self.scene.home)
        self.parts = read_parts(self.scene.home)


def _complaints(runs: Sequence[Running], ran: Sequence[Ran], full: bool) -> Iterator[str]:
    """Yield what a command must not say: only a full disk makes one fail, by its own error."""
    for running, one in zip(runs, ran, strict=True):
        failed = one.ending is Ending.FAILED and not (full and one is ran[-1])
        if failed or running.hung or "Traceback" in running.err:
            yield f"{one.command.name}: {running.err[-400:]}"


def run(seconds: float, seed: int, tries: int) -> tuple[int, list[str]]:
    """Return how many tries there were, and what went wrong."""
    until = time.monotonic() + seconds
    with tempfile.TemporaryDirectory() as place, Services(inland=True) as services:
        folder = Path(place) / "campaign"
        folder.mkdir()
        campaign = Campaign(Scene(folder, services, random.Random(seed)))
        campaign.prepare()
        while campaign.counts["tries"] < tries and time.monotonic() < until:
            campaign.try_once()
        campaign.look_for_leftovers()
    for name, count in campaign.counts.items():
        sys.stdout.write(f"{name}: {count}\n")
    return campaign.counts["tries"], campaign.failures
