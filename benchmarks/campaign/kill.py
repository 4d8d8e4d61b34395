"""Kill the command line while it writes, and look at what it leaves."""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from safety_check.errors import SafetyCheckError
from safety_check.settings.settings import load_settings
from safety_check.store.store import Store
from safety_check.waters import files
from tests.cli import forecasts
from tests.cli.test_water import RAMP, SHAPE, collection

CODE = "from safety_check.cli import main; main()"
TRIP = ("--start", "2026-06-13 06:00", "--hours", "4", "--as-of", "2026-06-12 20:00")
SMALL = 40_000  # bytes that a file may have where the disk is said to be full


@dataclass(frozen=True)
class Writer:
    """A command that writes."""

    name: str
    arguments: tuple[str, ...]


def writers(folder: Path) -> list[Writer]:
    """Return every kind of command that writes into a home, on a water that is there."""
    shore, forecast = str(folder / "shore.geojson"), str(folder / "forecast.json")
    return [
        Writer("check", ("check", "pond", *TRIP, "--craft", "canoe", "--forecast", forecast)),
        Writer("trip log", ("trip", "log", "pond", "--craft", "canoe", "--comfort", "4")),
        Writer("limits set", ("limits", "set", "wind", "--craft", "canoe", "--no-go", "14 mph")),
        Writer("water add", ("water", "add", "pond", "--file", shore, "--yes")),
        Writer("water set", ("water", "set", "pond", "--kind", "still")),
        Writer("settings set", ("settings", "set", "units.wind", "kt")),
        Writer("paddler set", ("paddler", "set", "--company", "group")),
        Writer("craft add", ("craft", "add", "red", "--class", "canoe")),
        Writer("plan save", ("plan", "save", "dawn", "pond", "--hours", "4")),
    ]


def start(home: Path, arguments: Sequence[str], full: bool = False) -> subprocess.Popen[str]:
    """Start a command in a home, perhaps on a disk that is full."""
    return subprocess.Popen(
        [sys.executable, "-c", CODE, *arguments],
        env=os.environ | {"SAFETY_CHECK_HOME": str(home), "PYTHONHASHSEED": "0"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=_fill_disk if full else None,
    )


def _fill_disk() -> None:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL, SMALL))


class Home:
    """A home of files that commands write, and what must be in it."""

    def __init__(self, folder: Path) -> None:
        self.home = folder / "home"
        (folder / "shore.geojson").write_text(json.dumps(collection(SHAPE, RAMP)), encoding="utf-8")
        forecasts.write(folder)
        self.writers = writers(folder)
        self.checks, self.trips = 0, 0
        self.seconds: dict[str, float] = {}
        self._run(next(one for one in self.writers if one.name == "water add"))
        self._run(next(one for one in self.writers if one.name == "craft add"))
        for one in self.writers:
            began = time.monotonic()
            self._run(one)
            self.seconds[one.name] = time.monotonic() - began
            self.reported(one)

    def _run(self, writer: Writer) -> None:
        process = start(self.home, writer.arguments)
        out, err = process.communicate()
        if process.returncode in (1, 2):
            raise RuntimeError(f"{writer.name}: {out}{err}")

    def reported(self, writer: Writer) -> None:
        """Count what a command that ended by itself has said to have kept."""
        self.checks += writer.name == "check"
        self.trips += writer.name == "trip log"

    def wrong(self) -> Iterator[str]:
        """Yield what is damaged or lost."""
        try:
            settings = load_settings(self.home)
            files.load("pond", settings.folders.waters)
            with Store.open(settings.folders.data) as store:
                if store.set_aside is not None:
                    yield f"the history was set aside as {store.set_aside}"
                checks, trips = store.checks(limit=1_000_000), store.trips()
                if len(checks) < self.checks:
                    yield f"{len(checks)} of {self.checks} checks are left"
                if len(trips) < self.trips:
                    yield f"{len(trips)} of {self.trips} trips are left"
                if checks:
                    store.check(checks[0].id)
                # A command that was killed after it wrote has kept more than it said.
                self.checks, self.trips = len(checks), len(trips)
        except (SafetyCheckError, OSError, ValueError) as trouble:
            yield f"{type(trouble).__name__}: {trouble}"


@dataclass
class Campaign:
    """Tries at random moments, and what they came to."""

    chance: random.Random
    home: Home
    counts: Counter[str]
    failures: list[str]

    def try_once(self) -> None:
        """Start a command, perhaps another beside it, and kill it or let its disk be full."""
        writer = self.chance.choice(self.home.writers)
        beside = self.chance.choice(self.home.writers) if self.chance.random() < 1 / 3 else None
        other = start(self.home.home, beside.arguments) if beside else None
        if self.chance.random() < 1 / 10:
            self._on_a_full_disk(writer)
        else:
            self._kill(writer)
        if beside and other:
            self._await(beside, other, writer)
        found = [f"after {writer.name}: {text}" for text in self.home.wrong()]
        self.failures += found
        self.counts["tries"] += 1
        if found:  # go on in a sound home
            self.home = Home(Path(tempfile.mkdtemp()))

    def _kill(self, writer: Writer) -> None:
        process = start(self.home.home, writer.arguments)
        time.sleep(self.chance.uniform(0.0, 1.1 * self.home.seconds[writer.name]))
        self.counts["killed while it ran"] += process.poll() is None
        process.kill()
        process.communicate()
        if process.returncode >= 0:
            self.home.reported(writer)

    def _on_a_full_disk(self, writer: Writer) -> None:
        process = start(self.home.home, writer.arguments, full=True)
        _, err = process.communicate()
        self.counts["on a full disk"] += 1
        if "Traceback" in err:
            self.failures.append(f"{writer.name} on a full disk: {err[-300:]}")
        elif process.returncode not in (1, 2):
            self.home.reported(writer)

    def _await(self, beside: Writer, other: subprocess.Popen[str], killed: Writer) -> None:
        out, err = other.communicate()
        self.counts["with a second writer"] += 1
        if other.returncode in (1, 2):
            self.failures.append(f"{beside.name} beside {killed.name}: {out}{err}")
        else:
            self.home.reported(beside)


def run(seconds: float, seed: int, tries: int) -> tuple[int, list[str]]:
    """Return how many tries there were, and what went wrong.

    A third of the tries has a second writer beside the one that is killed, one in ten a full disk
    and no kill.
    """
    until = time.monotonic() + seconds
    campaign = Campaign(random.Random(seed), Home(Path(tempfile.mkdtemp())), Counter(), [])
    while campaign.counts["tries"] < tries and time.monotonic() < until:
        campaign.try_once()
    for name, count in campaign.counts.items():
        sys.stdout.write(f"{name}: {count}\n")
    return campaign.counts["tries"], campaign.failures
