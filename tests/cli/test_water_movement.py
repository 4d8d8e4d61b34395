"""What a water is: asked, proposed, stored, shown, and never guessed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Runner
from tests.cli.terminal import run_on_terminal

FETCH = ("--fetch", "N 900 m, E 900 m, S 900 m, W 900 m")
INLAND, BY_THE_SEA = ("--launch", "ramp=44.9,-99.6"), ("--launch", "ramp=41.20,-70.60")


def kept(ready: Runner, name: str) -> dict[str, object]:
    found: dict[str, object] = ready("water", "show", name, "--json").json["properties"]
    return found


def test_kind_and_marks_are_stored_shown_and_taken_back(ready: Runner) -> None:
    assert "movement: not said" in ready("water", "show", "pond").out
    done = ready("water", "set", "pond", "--kind", "Both", "--bar", "--dam",
                 "--launch", "ramp", "--dries", "1 ft")  # fmt: skip
    assert done.status == 0, done.err
    for line in ("movement: tidal and flowing", "a bar, race or inlet", "a dam upstream",
                 "dries at a tide of 0.3048 m"):  # fmt: skip
        assert line in done.out
    found = kept(ready, "pond")
    assert (found["kind"], found["bar"], found["dam"]) == ("both", True, True)
    ready("water", "set", "pond", "--kind", "still", "--no-bar", "--no-dam",
          "--launch", "ramp", "--dries", "none")  # fmt: skip
    found = kept(ready, "pond")
    assert (found["kind"], found["bar"], found["dam"]) == ("still", False, False)
    assert "dries" not in ready("water", "show", "pond").out


def test_a_height_below_the_datum_keeps_its_sign(ready: Runner) -> None:
    shown = ready("water", "set", "pond", "--launch", "ramp", "--dries", "-0.2 m").out
    assert "dries at a tide of -0.2 m" in shown


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--kind", "wavy"), "--kind: 'wavy': give still, tidal, flowing, both"),
        (("--dries", "0.5 m"), "belong together"),
        (("--launch", "ramp"), "belong together"),
        (("--launch", "ramp", "--dries", "500 m"), "no tide is so high"),
        (("--launch", "ramp", "--dries", "half"), "--dries"),
        (("--launch", "44.9,-99.6", "--dries", "1 m"), "name a launch"),
    ],
)
def test_what_cannot_be_read_is_one_paragraph_and_changes_nothing(
    ready: Runner, options: tuple[str, ...], words: str
) -> None:
    before = kept(ready, "pond")
    done = ready("water", "set", "pond", *options)
    assert done.status == 2
    assert words in done.err
    assert len(done.err.strip().splitlines()) == 1
    assert kept(ready, "pond") == before


def test_a_file_with_an_unknown_kind_is_refused(ready: Runner, home: Path) -> None:
    path = home / "waters" / "pond.geojson"
    body = json.loads(path.read_text(encoding="utf-8"))
    body["properties"]["kind"] = "calm"
    path.write_text(json.dumps(body), encoding="utf-8")
    done = ready("water", "show", "pond")
    assert done.status != 0
    assert "pond.geojson is not a water file" in done.err


def test_what_was_said_stays_when_the_water_is_added_again(ready: Runner) -> None:
    ready("water", "set", "pond", "--kind", "tidal", "--bar", "--launch", "ramp", "--dries", "1 m")
    again = ready("water", "add", "pond", *FETCH, *INLAND)
    assert again.out.startswith("Replaced")
    assert "movement: tidal" in again.out
    assert "a bar" in again.out
    assert "dries at a tide of 1 m" in again.out


def test_a_new_water_is_what_its_user_says_and_nothing_else(ready: Runner) -> None:
    assert "movement: tidal" in ready("water", "add", "a", *FETCH, *INLAND, "--kind", "tidal").out
    assert "movement: not said" in ready("water", "add", "b", *FETCH, *BY_THE_SEA).out
    assert kept(ready, "b")["kind"] is None


@pytest.mark.thorough
def test_a_terminal_asks_and_says_why(home: Path) -> None:
    add = ["water", "add", "bay", *FETCH, *BY_THE_SEA]
    status, printed = run_on_terminal(home, add, ["wet", "tidal"])
    assert status == 0, printed
    assert "The sea is within 10 km of a launch, so it may be tidal." in printed
    assert "Your answer: 'wet'" in printed
    assert "movement: tidal" in printed
    status, printed = run_on_terminal(home, [*add[:2], "lake", *FETCH, *INLAND], [""])
    assert status == 0, printed
    assert "The sea is within" not in printed
    assert "movement: not said" in printed


def test_a_water_by_the_sea_is_shown_as_what_it_counts_as(ready: Runner) -> None:
    ready("water", "add", "cove", *FETCH, *BY_THE_SEA)
    assert "near the sea, so it counts as tidal" in ready("water", "show", "cove").out
    assert "counts as tidal" not in ready("water", "show", "pond").out
    ready("water", "set", "cove", "--kind", "still")
    assert "movement: still" in ready("water", "show", "cove").out
