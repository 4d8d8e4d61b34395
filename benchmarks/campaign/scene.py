"""What a campaign of kills starts from: a command that writes, and a home with its services."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from benchmarks.campaign.home_state import Parts
from tests.cli import forecasts
from tests.cli.conftest import point_at, run_at
from tests.cli.test_water import RAMP, SHAPE, collection
from tests.sources.fakes import Services

MAIN = "from safety_check.cli import main; main()"
FIRST_CLOCK = datetime(2026, 6, 12, 0, 0)  # noqa: DTZ001, the water's own clock
START = ("--start", "2026-06-13 06:00", "--hours", "4")
CRAFT = "mine"
NAMES = 5  # names of plans, craft and rules that come again and are replaced
SETTLED = (
    ("paddler", "set", "--life-jacket", "worn", "--wearing", "none", "--company", "group",
     "--light", "yes"),
    ("craft", "add", CRAFT, "--class", "canoe"),
    ("water", "add", "pond", "--fetch", "N 300 m, E 300 m, S 300 m, W 300 m",
     "--launch", "ramp=44.9,-99.6"),
)  # fmt: skip


class Refused(Exception):
    """A command that a home in this state refuses."""


@dataclass(frozen=True)
class Command:
    """A command that writes.

    Parameters
    ----------
    name
        What kind it is.
    arguments
        Of the command line.
    change
        Changes the parts of a home as the command does; raises Refused where it refuses.
    environment
        For the process, besides the home.
    code
        What the process runs.
    """

    name: str
    arguments: tuple[str, ...]
    change: Callable[[Parts], None]
    environment: Mapping[str, str] = field(default_factory=dict)
    code: str = MAIN


@dataclass
class Scene:
    """What a command is made for.

    Parameters
    ----------
    folder
        It has the home, the files that commands read, and the pages that they write.
    services
        The services that `pack` asks, on a socket of this machine.
    chance
        Draws.
    shore
        The water that `water add` makes of the shore's file.
    number
        Of the command, which leaves it in what it writes.
    try_number
        Of the try, which two commands may share.
    """

    folder: Path
    services: Services
    chance: random.Random
    shore: dict[str, Any] = field(default_factory=dict)
    number: int = 0
    try_number: int = 0

    @property
    def home(self) -> Path:
        """The folder of all that is the user's."""
        return self.folder / "home"

    @property
    def clock(self) -> str:
        """A time at the lake that no other command has, on the day before the trip."""
        return (FIRST_CLOCK + timedelta(seconds=20 * self.number)).isoformat()

    def path(self, name: str) -> str:
        """Return a file beside the home."""
        return str(self.folder / name)

    @property
    def saved(self) -> tuple[str, ...]:
        """Options of a check of a saved forecast, at the clock of this try."""
        return ("--forecast", self.path("forecast.json"), "--as-of", self.clock)


Writer = Callable[[Scene, Parts], Command | None]


def settle(scene: Scene) -> None:
    """Make a home with a craft and two waters, and the files that commands read."""
    (scene.folder / "shore.geojson").write_text(
        json.dumps(collection(SHAPE, RAMP)), encoding="utf-8"
    )
    forecasts.write(scene.folder)
    add = ("water", "add", "lake", "--file", scene.path("shore.geojson"), "--yes")
    for arguments in (*SETTLED, add):
        if run_at(scene.home, *arguments):
            raise RuntimeError(f"{' '.join(arguments)} failed")
    point_at(scene.home, scene.services.addresses())
    scene.shore = json.loads((scene.home / "waters" / "lake.geojson").read_text(encoding="utf-8"))
