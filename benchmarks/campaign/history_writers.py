"""Commands that write the history, saved answers and pages, with the change that each makes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from benchmarks.campaign.home_state import Parts, expire_answers, trip_number
from benchmarks.campaign.scene import CRAFT, START, Command, Refused, Scene, Writer
from tests.sources.fake_server import json_reply
from tests.sources.fakes import NOW, SAYS, document

UTC_START = "2026-06-13T11:00"
MARKED = ("open_meteo", "open_meteo_ensemble", "nws_alerts")  # whose answers carry the try's number


def _adds_check(name: str, at: str, start: str, water: str, seen: int) -> Callable[[Parts], None]:
    """Return the change that a check of a trip of four hours makes, whatever its verdict is.

    Parameters
    ----------
    name, water
        Of the plan.
    at, start
        The times of the check and of the trip, UTC.
    seen
        How many observations of that very minute it stores.
    """
    began = datetime.fromisoformat(start)
    row = {"at": _as_stored(datetime.fromisoformat(at)), "name": name, "water": water,
           "launch": "ramp", "craft": CRAFT, "start": _as_stored(began),
           "end": _as_stored(began + timedelta(hours=4)), "seen": seen}  # fmt: skip

    def change(parts: Parts) -> None:
        parts["checks"].append(row)

    return change


def _as_stored(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%f+00:00")


def _local(clock: str) -> str:
    """Return a time at the lake, five hours behind in summer, as UTC."""
    return (datetime.fromisoformat(clock) + timedelta(hours=5)).isoformat()


def check(scene: Scene, parts: Parts) -> Command:
    """Check a trip by a saved forecast; the water's temperature is stored too."""
    name = f"campaign {scene.number}"
    return Command(
        "check",
        ("check", "lake", *START, "--craft", CRAFT, *scene.saved, "--name", name,
         "--water-temp", "70 F"),
        _adds_check(name, _local(scene.clock), UTC_START, "lake", seen=1),
    )  # fmt: skip


def recheck(scene: Scene, parts: Parts) -> Command | None:
    """Check the first plan again with a wind seen at the launch."""
    if not parts["checks"]:
        return None
    first = parts["checks"][0]["name"]
    arguments = ("recheck", "--name", first, *scene.saved, "--wind", "3 mph")
    return Command(
        "recheck", arguments, _adds_check(first, _local(scene.clock), UTC_START, "lake", seen=1)
    )


def page(scene: Scene, parts: Parts) -> Command:
    """Check a trip, and write its page."""
    name, clock = f"campaign {scene.number}", datetime.fromisoformat(scene.clock)
    adds = _adds_check(name, _local(scene.clock), UTC_START, "pond", seen=0)

    def change(parts: Parts) -> None:
        adds(parts)
        parts["pages"]["page.html"] = f"{clock:%d %b %H:%M}"

    arguments = ("page", "pond", *START, "--craft", CRAFT, *scene.saved, "--name", name)
    return Command("page", (*arguments, "--out", scene.path("page.html")), change)


def pack(scene: Scene, parts: Parts) -> Command:
    """Save what the services answer; each answer carries the number of the try."""
    mark, name = str(scene.try_number), f"campaign {scene.number}"
    replies = {path: reply for service in MARKED for path, reply in SAYS[service](False).items()}
    for path, reply in replies.items():
        scene.services.server.serve(path, json_reply({**document(reply), "campaign": mark}))
    expire_answers(scene.home)
    now = NOW + timedelta(seconds=2 * scene.try_number)  # no answer is as new as one of before
    adds = _adds_check(name, now.isoformat()[:19], "2026-06-13T15:30", "pond", seen=0)

    def change(parts: Parts) -> None:
        adds(parts)
        parts["answers"] = dict.fromkeys(replies, mark)

    return Command(
        "pack",
        ("pack", "pond", "--start", "2026-06-13T10:30", "--hours", "4", "--craft", CRAFT,
         "--name", name),
        change,
        {"CAMPAIGN_NOW": now.isoformat()},
    )  # fmt: skip


def trip_log(scene: Scene, parts: Parts) -> Command:
    """Log a trip."""
    notes = f"campaign {scene.number}"
    row = {"water": "lake", "launch": "ramp", "craft": CRAFT, "comfort": 4, "notes": notes}
    return Command(
        "trip log",
        ("trip", "log", "lake", "--craft", CRAFT, "--comfort", "4", "--notes", notes),
        lambda parts: parts["trips"].append(row),
    )


def trip_remove(scene: Scene, parts: Parts) -> Command | None:
    """Remove a trip."""
    if not parts["trips"]:
        return None
    row = scene.chance.choice(parts["trips"])

    def change(parts: Parts) -> None:
        if row not in parts["trips"]:
            raise Refused
        parts["trips"].remove(row)

    number = trip_number(scene.home, row["notes"])
    return Command("trip remove", ("trip", "remove", str(number)), change)


def plan_write(scene: Scene, parts: Parts) -> Command:
    """Write a float plan."""
    note = f"campaign {scene.number}"

    def change(parts: Parts) -> None:
        parts["pages"]["float.html"] = note

    return Command(
        "plan write",
        ("plan", "write", "lake", "--start", "tomorrow 06:00", "--hours", "4", "--craft", CRAFT,
         "--html", scene.path("float.html"),
         "--note", note),
        change,
    )  # fmt: skip


WRITERS: tuple[Writer, ...] = (check, recheck, page, pack, trip_log, trip_remove, plan_write)
