"""Classes that are worse in every respect share what is known of each other's verdicts."""

from __future__ import annotations

from copy import deepcopy

import numpy as np
import pytest

from safety_check.assess.sight_lattice import Lattice
from safety_check.model.verdict import Severity

GO, MARGINAL, UNKNOWN, NO_GO = Severity
WIDTH = 3  # classes of wind times classes of waves
CLASSES = [(wind, wave) for wind in range(WIDTH) for wave in range(WIDTH)]
WORSE = np.array([[two[0] >= one[0] and two[1] >= one[1] for two in CLASSES] for one in CLASSES])


def chain(length: int, least: Severity = GO) -> Lattice:
    """Return classes of which each is worse than the one before."""
    return Lattice(np.triu(np.ones((length, length), dtype=bool)), least)


def test_worse_classes_are_no_better_and_milder_ones_no_worse() -> None:
    classes = chain(4)
    assert classes.lowest.tolist() == [GO] * 4
    assert classes.highest.tolist() == [NO_GO] * 4
    classes.settle(1, MARGINAL)
    assert classes.lowest.tolist() == [GO, MARGINAL, MARGINAL, MARGINAL]
    assert classes.highest.tolist() == [MARGINAL, MARGINAL, NO_GO, NO_GO]
    classes.settle(2, NO_GO)
    assert classes.lowest.tolist() == [GO, MARGINAL, NO_GO, NO_GO]
    assert classes.highest.tolist() == [MARGINAL, MARGINAL, NO_GO, NO_GO]
    classes.settle(0, GO)
    assert classes.highest.tolist() == [GO, MARGINAL, NO_GO, NO_GO]


def test_a_class_has_its_verdict_from_the_first_that_showed_it() -> None:
    classes = chain(4)
    assert [classes.basis(one) for one in range(4)] == [-1] * 4
    classes.settle(2, MARGINAL)
    classes.settle(3, MARGINAL)  # that was known
    assert [classes.basis(one) for one in range(4)] == [-1, -1, 2, 2]
    classes.settle(3, NO_GO)
    assert classes.basis(3) == 3


def test_classes_that_are_worse_in_one_respect_only_say_nothing_of_each_other() -> None:
    classes = Lattice(WORSE, GO)
    windy, wavy = CLASSES.index((1, 0)), CLASSES.index((0, 1))
    classes.settle(windy, NO_GO)
    assert classes.lowest[wavy] == GO
    assert classes.highest[wavy] == NO_GO
    assert classes.lowest[CLASSES.index((1, 1))] == NO_GO
    classes.settle(wavy, GO)
    assert classes.highest[windy] == NO_GO
    assert classes.highest[0] == GO


def test_nothing_is_left_to_judge_where_every_wanted_class_is_settled() -> None:
    classes, expected = chain(3), np.zeros(3, dtype=int)
    wanted = np.array([True, True, False])
    classes.settle(1, GO)
    assert classes.next_to_judge(wanted, expected) is None
    assert classes.next_to_judge(~wanted, expected) == 2
    assert chain(3, least=NO_GO).next_to_judge(np.ones(3, dtype=bool), expected) is None


def test_a_settled_class_is_never_judged_again() -> None:
    classes = chain(2)
    classes.settle(0, MARGINAL)
    classes.settle(1, UNKNOWN)
    narrow = deepcopy(classes)
    narrow.lowest[1] = MARGINAL  # one step is open, in the second class alone
    assert narrow.next_to_judge(np.array([True, True]), np.array([1, 1])) == 1


def settled_by(classes: Lattice, one: int, guess: int, wanted: np.ndarray) -> int:
    """Return by how many steps the verdict that is guessed narrows the wanted classes."""
    after = deepcopy(classes)
    after.settle(one, Severity(guess))
    before, now = (lattice.highest - lattice.lowest for lattice in (classes, after))
    return int((before - now)[wanted].sum())


@pytest.mark.parametrize("seed", range(20))
def test_the_class_is_judged_whose_expected_verdict_narrows_the_wanted_ones_most(
    seed: int,
) -> None:
    chance = np.random.default_rng(seed)
    steps = chance.integers(0, 3, 2 * WIDTH).reshape(2, WIDTH).cumsum(axis=1)
    verdicts = [min(int(steps[0][wind] + steps[1][wave]), 3) for wind, wave in CLASSES]
    wanted = chance.random(len(CLASSES)) < 0.8
    expected = chance.integers(0, 4, len(CLASSES))
    classes, judged = Lattice(WORSE, GO), 0
    while (chosen := classes.next_to_judge(wanted, expected)) is not None:
        unsettled = np.flatnonzero(classes.lowest < classes.highest)
        guess = np.clip(expected, classes.lowest, classes.highest)
        narrowed = {
            int(one): settled_by(classes, int(one), int(guess[one]), wanted) for one in unsettled
        }
        assert narrowed[chosen] == max(narrowed.values())
        classes.settle(chosen, Severity(verdicts[chosen]))
        judged += 1
    assert judged <= len(CLASSES)
    for one in np.flatnonzero(wanted):
        assert classes.lowest[one] == classes.highest[one] == verdicts[one]
