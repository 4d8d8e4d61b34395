"""Changes that a person has read and found to change nothing that anyone can see."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from benchmarks.mutations.mutants import Mutant

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True, kw_only=True)
class Equivalent:
    """One change of equivalent.toml.

    Parameters
    ----------
    file
        Path from the root of the checkout.
    before, after
        As `Mutant` has them.
    because
        Why nobody can see it.
    line
        The source line, without the spaces around it; empty where the file has one such change.
    """

    file: str
    before: str
    after: str
    because: str
    line: str = ""

    def means(self, mutant: Mutant) -> bool:
        """Return whether a change is this one."""
        return (
            mutant.path == ROOT / self.file
            and (mutant.before, mutant.after) == (self.before, self.after)
            and self.line in ("", source_line(mutant))
        )


def source_line(mutant: Mutant) -> str:
    """Return the line of a change, without the spaces around it."""
    return mutant.path.read_text(encoding="utf-8").splitlines()[mutant.line - 1].strip()


def equivalent_changes() -> tuple[Equivalent, ...]:
    """Return all of them."""
    path = Path(__file__).with_name("equivalent.toml")
    read = tomllib.loads(path.read_text(encoding="utf-8"))["mutant"]
    return tuple(Equivalent(**one) for one in read)
