"""Commands that write the user's settings, with the change that each makes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from benchmarks.campaign.home_state import Parts
from benchmarks.campaign.scene import CRAFT, NAMES, Command, Refused, Scene, Writer


def settings_set(scene: Scene, parts: Parts) -> Command:
    """Set a unit."""
    unit = scene.chance.choice(("mph", "kt", "km/h", "m/s", "Bft"))

    def change(parts: Parts) -> None:
        parts["settings"].setdefault("units", {})["wind"] = unit

    return Command("settings set", ("settings", "set", "units.wind", unit), change)


def paddler_set(scene: Scene, parts: Parts) -> Command:
    """Declare something else than before."""
    wears = "wetsuit" if parts["settings"]["paddler"]["wearing"] == "none" else "none"

    def change(parts: Parts) -> None:
        parts["settings"]["paddler"]["wearing"] = wears

    return Command("paddler set", ("paddler", "set", "--wearing", wears), change)


def craft_add(scene: Scene, parts: Parts) -> Command:
    """Add a craft, or change one."""
    name, speed = f"craft {scene.chance.randrange(NAMES)}", f"{2 + scene.number % 9 / 10:.1f} mph"
    table = {"class": "canoe", "cruise_speed": speed}

    def change(parts: Parts) -> None:
        parts["settings"]["craft"][name] = table

    arguments = ("craft", "add", name, "--class", "canoe", "--cruise", speed, "--no-default")
    return Command("craft add", arguments, change)


def craft_remove(scene: Scene, parts: Parts) -> Command | None:
    """Remove a craft with its limits."""
    others = [name for name in parts["settings"]["craft"] if name != CRAFT]
    if not others:
        return None
    name = scene.chance.choice(others)

    def change(parts: Parts) -> None:
        if parts["settings"]["craft"].pop(name, None) is None:
            raise Refused
        _keep_limits(parts, lambda limit: limit["craft"] != name)

    return Command("craft remove", ("craft", "remove", name), change)


def limits_set(scene: Scene, parts: Parts) -> Command:
    """Set a limit of a craft, perhaps one that is removed at the same time."""
    craft = scene.chance.choice(list(parts["settings"]["craft"]))
    no_go = f"{12 + scene.number % 20 / 10:.1f} mph"
    limit = {"craft": craft, "quantity": "wind_speed", "no_go": no_go}

    def change(parts: Parts) -> None:
        if craft not in parts["settings"]["craft"]:
            raise Refused
        _keep_limits(parts, lambda other: other["craft"] != craft)
        parts["settings"].setdefault("limit", []).append(limit)

    return Command(
        "limits set", ("limits", "set", "wind", "--craft", craft, "--no-go", no_go), change
    )


def limits_reset(scene: Scene, parts: Parts) -> Command | None:
    """Go back to the default limits of a craft."""
    limited = [limit["craft"] for limit in parts["settings"].get("limit", [])]
    if not limited:
        return None
    craft = scene.chance.choice(limited)

    def change(parts: Parts) -> None:
        if not any(limit["craft"] == craft for limit in parts["settings"].get("limit", [])):
            raise Refused
        _keep_limits(parts, lambda limit: limit["craft"] != craft)

    return Command("limits reset", ("limits", "reset", "--craft", craft), change)


def _keep_limits(parts: Parts, wanted: Callable[[dict[str, Any]], bool]) -> None:
    kept = [limit for limit in parts["settings"].pop("limit", []) if wanted(limit)]
    if kept:
        parts["settings"]["limit"] = kept


def plan_save(scene: Scene, parts: Parts) -> Command:
    """Save a plan, or change one."""
    name, hours = f"plan {scene.chance.randrange(NAMES)}", str(1 + scene.number % 9)
    table = {"water": "lake", "launch": "ramp", "hours": hours}

    def change(parts: Parts) -> None:
        parts["settings"].setdefault("plan", {})[name] = table

    return Command("plan save", ("plan", "save", name, "lake", "--hours", hours), change)


def plan_remove(scene: Scene, parts: Parts) -> Command | None:
    """Remove a plan."""
    plans = list(parts["settings"].get("plan", {}))
    if not plans:
        return None
    name = scene.chance.choice(plans)

    def change(parts: Parts) -> None:
        plans = parts["settings"].get("plan", {})
        if plans.pop(name, None) is None:
            raise Refused
        if not plans:
            del parts["settings"]["plan"]

    return Command("plan remove", ("plan", "remove", name), change)


WRITERS: tuple[Writer, ...] = (
    settings_set,
    paddler_set,
    craft_add,
    craft_remove,
    limits_set,
    limits_reset,
    plan_save,
    plan_remove,
)
