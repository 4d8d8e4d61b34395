"""What a newer check of a trip says that an older page does not, in a few words."""

from __future__ import annotations

from safety_check.model.changes import Changes, ForecastChange
from safety_check.model.local_clock import LocalClock
from safety_check.report.changes import NAMES
from safety_check.units import Preferences, show

MOST_MOVES = 3


def describe_newer(changes: Changes, prefer: Preferences, local: LocalClock) -> str:
    """Return what is newer and what it changes; empty where nothing is and nothing does.

    Parameters
    ----------
    changes
        From the older check to the newer one.
    prefer, local
        The units, and the water's clock.
    """
    said = [
        *_forecast(changes, prefer, local),
        *(f"New official warning: {headline}." for headline in changes.warned),
        *(f"No longer in force: {headline}." for headline in changes.ended),
        *(f"No longer answering: {source}." for source in changes.silent),
        *(f"Answering again: {source}." for source in changes.speaking),
    ]
    if changes.after != changes.before:
        return " ".join((*said, f"Verdict now {changes.after}, was {changes.before}."))
    if changes.turns and not said:
        said = ["Checked again: hours of the trip changed."]
    return " ".join((*said, f"The verdict is still {changes.after}.")) if said else ""


def _forecast(changes: Changes, prefer: Preferences, local: LocalClock) -> list[str]:
    newer = changes.same_forecast is False
    if not changes.moves:
        return ["A newer forecast changes little."] if newer else []
    moves = ", ".join(_move(move, prefer, local) for move in changes.moves[:MOST_MOVES])
    return [f"{'A newer forecast' if newer else 'What is expected now'}: {moves}."]


def _move(move: ForecastChange, prefer: Preferences, local: LocalClock) -> str:
    quantity = move.quantity.removesuffix("_high")
    way = "up" if move.after > move.before else "down"
    waves = quantity == "sea_surface_wave_significant_height"
    kind, unit = ("length", prefer.wave) if waves else ("speed", prefer.pace)
    by = show(abs(move.after - move.before), kind, unit)
    return f"{NAMES[quantity]} {way} {by} at {local.time(move.time)}"
