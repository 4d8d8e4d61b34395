"""What commands that ran at the same time may leave: what they would leave one after the other."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import permutations, product

from benchmarks.campaign.home_state import Parts
from benchmarks.campaign.scene import Command, Refused

HISTORY = "checks"


class Ending(Enum):
    """How a command ended."""

    DONE = "done"
    REFUSED = "refused"
    FAILED = "failed: nothing may have changed"
    UNSTORED = "said that the history may not hold it"
    UNSURE = "killed, or said that the disk did not take all: each part is changed or not"


@dataclass(frozen=True)
class Ran:
    """A command, and how it ended."""

    command: Command
    ending: Ending


def wrong_parts(before: Parts, ran: Sequence[Ran], after: Parts) -> Iterator[str]:
    """Yield what is neither as it was nor as the commands would have left it.

    A command that was killed between two files has changed one part and not the other, so each
    part is compared by itself.
    """
    named = " and ".join(f"{one.command.name} ({one.ending.name.lower()})" for one in ran)
    of_history, of_others = (list(possible_parts(before, ran, lost)) for lost in (True, False))
    if not of_others:
        yield f"after {named}: in no order would these commands end so"
        return
    for part in sorted({part for parts in (*of_others, after) for part in parts}):
        possible = of_history if part == HISTORY else of_others
        if all(parts.get(part) != after.get(part) for parts in possible):
            expected = [_difference(parts.get(part), after.get(part)) for parts in possible]
            yield f"after {named}: {part}: {' or '.join(dict.fromkeys(expected))}"


def possible_parts(before: Parts, ran: Sequence[Ran], history_lost: bool) -> Iterator[Parts]:
    """Yield what the commands would leave in every order; one that is unsure may have done it.

    `history_lost` is true for what may be missing of commands that said so.
    """
    unsure = {Ending.UNSURE, Ending.UNSTORED} if history_lost else {Ending.UNSURE}
    choices = [(True, False) if one.ending in unsure else (True,) for one in ran]
    for taken in product(*choices):
        some = [one for one, runs in zip(ran, taken, strict=True) if runs]
        for order in permutations(some):
            parts = copy.deepcopy(before)
            if all(_follows(parts, one) for one in order):
                yield parts


def _follows(parts: Parts, one: Ran) -> bool:
    """Change the parts as a command does; return whether it would end as it did."""
    if one.ending is Ending.FAILED:
        return True
    try:
        one.command.change(parts)
    except Refused:
        return one.ending in (Ending.REFUSED, Ending.UNSURE)
    return one.ending is not Ending.REFUSED


def _difference(expected: object, found: object) -> str:
    """Return in a line where two values differ."""
    if isinstance(expected, dict) and isinstance(found, dict):
        for key in sorted({*expected, *found}, key=str):
            if expected.get(key) != found.get(key):
                return f"{key}: {_difference(expected.get(key), found.get(key))}"
    if isinstance(expected, list) and isinstance(found, list):
        if len(expected) != len(found):
            return f"{len(found)} entries, not {len(expected)}"
        for one, other in zip(expected, found, strict=True):
            if one != other:
                return _difference(one, other)
    return f"{str(found)[:80]!r}, not {str(expected)[:80]!r}"
