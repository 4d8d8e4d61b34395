"""Judge few of many classes of observation: a worse one never gets the better verdict."""

from __future__ import annotations

import numpy as np

from safety_check.arrays import BoolArray, IntArray
from safety_check.model.verdict import Severity


class Lattice:
    """The least and the greatest verdict that each class can still have.

    Parameters
    ----------
    at_least_as_bad : array (class, class)
        True where the second class is the first one, or at least as bad in every respect.
    least
        No class has a better verdict than this.
    """

    def __init__(self, at_least_as_bad: BoolArray, least: Severity) -> None:
        self._above = at_least_as_bad.astype(np.int64)
        self.lowest: IntArray = np.full(len(at_least_as_bad), int(least))
        self.highest: IntArray = np.full(len(at_least_as_bad), int(Severity.NO_GO))
        self._basis: IntArray = np.full(len(at_least_as_bad), -1)

    def settle(self, judged: int, severity: Severity) -> None:
        """Take in the verdict on one class: worse classes are no better, milder ones no worse."""
        above, below = self._above[judged] > 0, self._above[:, judged] > 0
        raised = above & (self.lowest < severity)
        self.lowest[raised] = severity
        self._basis[raised] = judged
        self.highest[below] = np.minimum(self.highest[below], int(severity))

    def next_to_judge(self, wanted: BoolArray, expected: IntArray) -> int | None:
        """Return the class whose expected verdict settles most; None where all are settled.

        Parameters
        ----------
        wanted : array (class,)
            The classes that have to be settled.
        expected : array (class,)
            A guess of every verdict. It only decides how many classes are judged.
        """
        open_ones = self.lowest < self.highest
        if not (open_ones & wanted).any():
            return None
        guess, gain = np.clip(expected, self.lowest, self.highest), np.zeros(len(wanted))
        for level in Severity:
            raised = np.where(wanted, np.maximum(level - self.lowest, 0), 0)
            lowered = np.where(wanted, np.maximum(self.highest - level, 0), 0)
            gain += (guess == level) * (self._above @ raised + lowered @ self._above)
        return int(np.argmax(np.where(open_ones, gain, -1.0)))

    def basis(self, one: int) -> int:
        """Return the judged class from which a class has its verdict; -1 for the least one."""
        return int(self._basis[one])
