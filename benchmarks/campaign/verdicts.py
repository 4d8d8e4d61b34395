"""The promises of the verdict with very many cases, weighed in blocks."""

from __future__ import annotations

import math
import sys
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from itertools import count, islice

import numpy as np

from benchmarks.campaign.worse import PROMISES, SITES, changed_block, drawn_block
from safety_check.assess.many import judge_many
from safety_check.model.verdict import Severity
from safety_check.use_cases.rulebook import load_rulebook


@dataclass
class Found:
    """What blocks of cases showed, by promise."""

    tries: Counter[str] = field(default_factory=Counter)
    worse: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)

    def add(self, other: Found) -> None:
        """Count what another block showed."""
        self.tries += other.tries
        self.worse += other.worse
        self.failures += other.failures


def run(seconds: float, seed: int, tries: int) -> tuple[int, list[str]]:
    """Return how many cases were judged again after a change, and what failed.

    Parameters
    ----------
    seconds
        When to stop; blocks that are at work are still counted.
    seed
        Draws the cases.
    tries
        Cases of each promise, in whole blocks.
    """
    found = Found()
    for block in _blocks(time.monotonic() + seconds, seed, math.ceil(tries / SITES)):
        found.add(block)
    for promise in PROMISES:
        judged, worse = found.tries[promise.name], found.worse[promise.name]
        sys.stdout.write(f"{promise.name}: {judged} cases, {worse} of them worse than before\n")
        if not worse:
            found.failures.append(f"{promise.name}: no case of {judged} was worse than before")
    return found.tries.total(), found.failures


def _blocks(end: float, seed: int, number: int) -> Iterator[Found]:
    """Yield what each block shows, on all cores, until they are done or the time is over."""
    with ProcessPoolExecutor() as pool:
        left = iter(range(number))
        ahead = [pool.submit(judged_block, seed, block) for block in islice(left, 4)]
        for place in count():
            if place == len(ahead):
                return
            yield ahead[place].result()
            if time.monotonic() < end:
                ahead += [pool.submit(judged_block, seed, block) for block in islice(left, 1)]


def judged_block(seed: int, block: int) -> Found:
    """Return what a block of cases shows of each promise."""
    rulebook = load_rulebook()
    cases, found = drawn_block(seed, block), Found()
    told = judge_many(cases, rulebook)
    before = told.plans.severity
    because = np.array([*told.hazards, ""])[told.plans.decides]  # the last is of a GO
    for promise in PROMISES:
        changed = changed_block(cases, promise, seed, block)
        after = judge_many(changed, rulebook).plans.severity
        compared = (because != promise.lifts) | (promise.lifts == "")
        found.tries[promise.name] = int(compared.sum())
        found.worse[promise.name] = int((after > before).sum())
        least = before if promise.least is None else np.full_like(before, promise.least)
        found.failures += [
            f"{promise.name}: seed {seed}, block {block}, trip {site}:"
            f" {Severity(before[site])} before, {Severity(after[site])} after"
            for site in np.flatnonzero(compared & (after < least))
        ]
    return found
