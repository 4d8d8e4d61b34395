"""The campaign of kills finds nothing in sound commands, and finds a fault put in on purpose."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmarks.campaign import kill
from benchmarks.campaign.home_state import Parts, strange_files
from benchmarks.campaign.kill import Campaign, Usual
from benchmarks.campaign.orders import Ending, Ran, wrong_parts
from benchmarks.campaign.scene import Command, Refused, Scene
from benchmarks.campaign.settings_writers import settings_set
from tests.sources.fakes import Services

HALF = """
import os, pathlib, time
settings = pathlib.Path(os.environ["SAFETY_CHECK_HOME"]) / "settings.toml"
text = settings.read_text() + "# the end"
settings.write_text(text[: text.index("paddler") + 20])
observer.tell("writes")
time.sleep(60)
settings.write_text(text)
"""


def half_a_file(scene: Scene, parts: Parts) -> Command:
    """Write the settings without a temporary file, and take long over the second half."""
    return Command("half a file", (), lambda parts: None, code=HALF)


@pytest.fixture
def campaign(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Campaign]:
    """Return a campaign of one command, killed as it writes, none beside it and no full disk."""
    for share in ("BESIDE", "FULL"):
        monkeypatch.setattr(kill, share, 0.0)
    for share in ("AIMED", "FRESH"):
        monkeypatch.setattr(kill, share, 1.0)
    folder = tmp_path / "campaign"
    folder.mkdir()
    with Services(inland=True) as services:
        made = Campaign(Scene(folder, services, random.Random(1)), (settings_set,))
        made.prepare()
        yield made


@pytest.mark.thorough
def test_a_few_kills_find_nothing_but_a_file_written_in_halves(campaign: Campaign) -> None:
    for _ in range(2):
        campaign.try_once()
    assert campaign.failures == []
    assert campaign.counts["tries"] == 2
    assert campaign.counts["killed while it ran"] > 0

    campaign.writers = (half_a_file,)
    campaign.usual["half a file"] = Usual(1.0, [0.0])
    campaign.try_once()
    assert len(campaign.failures) == 1
    assert campaign.failures[0].startswith("try 3: after half a file: ConfigError: settings.toml")
    assert campaign.parts["settings"]["paddler"], "the campaign goes on in a sound home"


# -- what commands may leave -------------------------------------------------------------------


def sets(key: str, value: int) -> Command:
    def change(parts: Parts) -> None:
        parts["settings"][key] = value

    return Command(f"set {key}", (), change)


def drops(key: str) -> Command:
    def change(parts: Parts) -> None:
        if key not in parts["settings"]:
            raise Refused
        del parts["settings"][key]

    return Command(f"drop {key}", (), change)


DONE, REFUSED, FAILED, UNSURE = Ending.DONE, Ending.REFUSED, Ending.FAILED, Ending.UNSURE
UNSTORED = Ending.UNSTORED


@pytest.mark.parametrize(
    ("ran", "left", "right"),
    [
        ([(sets("b", 2), UNSURE)], {"a": 1}, True),
        ([(sets("b", 2), UNSURE)], {"a": 1, "b": 2}, True),
        ([(sets("b", 2), UNSURE)], {"b": 2}, False),  # what was there before is lost
        ([(sets("b", 2), DONE)], {"a": 1}, False),  # it said that it had stored it
        ([(sets("b", 2), FAILED)], {"a": 1, "b": 2}, False),  # it said that it had not
        ([(sets("b", 2), UNSTORED)], {"a": 1}, False),  # only the history may lack it
        ([(sets("b", 2), DONE), (sets("c", 3), DONE)], {"a": 1, "b": 2, "c": 3}, True),
        ([(sets("b", 2), DONE), (sets("c", 3), DONE)], {"a": 1, "c": 3}, False),  # overwritten
        ([(sets("b", 2), DONE), (sets("b", 3), DONE)], {"a": 1, "b": 2}, True),  # the later one
        ([(drops("a"), UNSURE), (drops("a"), REFUSED)], {}, True),
        ([(drops("a"), UNSURE), (drops("a"), REFUSED)], {"a": 1}, False),  # nothing to refuse
        ([(drops("a"), DONE), (drops("a"), DONE)], {}, False),  # one of them has to refuse
    ],
)
def test_commands_leave_what_they_would_leave_one_after_the_other(
    ran: list[tuple[Command, Ending]], left: dict[str, int], right: bool
) -> None:
    wrong = wrong_parts({"settings": {"a": 1}}, [Ran(*one) for one in ran], {"settings": left})
    assert (list(wrong) == []) == right


def test_a_file_that_no_command_reads_is_named_unless_it_is_a_temporary_one(tmp_path: Path) -> None:
    (tmp_path / "waters").mkdir()
    for name in ("settings.toml", "waters/pond.geojson", "waters/pond.geojsonabc.part"):
        (tmp_path / name).touch()
    assert list(strange_files(tmp_path)) == []
    (tmp_path / "waters" / "pond.geojson.new").touch()
    (tmp_path / "cache").mkdir()
    (tmp_path / "cache" / "a.npz").write_bytes(b"PK half")
    assert list(strange_files(tmp_path)) == [
        "cache/a.npz is not whole",
        "waters/pond.geojson.new is a file that nobody knows",
    ]
