"""Commands that write the files of waters, with the change that each makes."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

from benchmarks.campaign.home_state import Parts
from benchmarks.campaign.scene import NAMES, Command, Refused, Scene, Writer

DECLARED = ("rules", "drive_s", "elevation_m", "estimate", "kind", "bar", "dam")


def water_add(scene: Scene, parts: Parts) -> Command:
    """Add a water, or add it again with another depth; what was declared of it stays."""
    name, depth = f"mere {scene.chance.randrange(2)}", 1.0 + scene.number % 50

    def change(parts: Parts) -> None:
        new = copy.deepcopy(scene.shore)
        new["properties"] |= {"name": name, "depth_m": depth}
        if before := parts.get(f"water {name}"):
            new["properties"] |= {key: before["properties"][key] for key in DECLARED}
        parts[f"water {name}"] = new

    return Command(
        "water add",
        ("water", "add", name, "--file", scene.path("shore.geojson"), "--depth", f"{depth:g} m",
         "--yes"),
        change,
    )  # fmt: skip


def water_set(scene: Scene, parts: Parts) -> Command | None:
    """Say how long the drive to a water is."""
    minutes = 10 + scene.number % 50

    def change(properties: dict[str, Any]) -> None:
        properties["drive_s"] = 60.0 * minutes

    return _changes_water(scene, parts, "water set", ("--drive", f"{minutes} min"), change)


def water_rule(scene: Scene, parts: Parts) -> Command | None:
    """Add a rule of a water, or change one."""
    name, added = f"rule {scene.chance.randrange(NAMES)}", 1.0 + scene.number % 9
    rule = {"name": name, "wind_added": added, "hours": None, "sector": None}

    def change(properties: dict[str, Any]) -> None:
        others = [other for other in properties["rules"] if other["name"] != name]
        properties["rules"] = [*others, rule]

    options = ("--name", name, "--add-wind", f"{added:g} m/s")
    return _changes_water(scene, parts, "water rule", options, change)


def _changes_water(
    scene: Scene,
    parts: Parts,
    name: str,
    options: tuple[str, ...],
    change_properties: Callable[[dict[str, Any]], None],
) -> Command | None:
    water = _a_mere(scene, parts)
    if water is None:
        return None

    def change(parts: Parts) -> None:
        if f"water {water}" not in parts:
            raise Refused
        change_properties(parts[f"water {water}"]["properties"])

    return Command(name, (*name.split(), water, *options), change)


def water_remove(scene: Scene, parts: Parts) -> Command | None:
    """Remove a water."""
    water = _a_mere(scene, parts)
    if water is None:
        return None

    def change(parts: Parts) -> None:
        if parts.pop(f"water {water}", None) is None:
            raise Refused

    return Command("water remove", ("water", "remove", water), change)


def _a_mere(scene: Scene, parts: Parts) -> str | None:
    waters = [name.removeprefix("water ") for name in parts if name.startswith("water mere")]
    return scene.chance.choice(waters) if waters else None


WRITERS: tuple[Writer, ...] = (water_add, water_set, water_rule, water_remove)
