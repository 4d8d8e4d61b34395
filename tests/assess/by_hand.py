"""Verdicts, hours and findings written by hand, for what is made from a verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

import numpy as np

from safety_check.model.advice import Advice, Fishing, GettingHome, InTheWater
from safety_check.model.plan import Plan
from safety_check.model.verdict import Finding, HourVerdict, Severity, Verdict
from tests import scenes


def finding(hazard: str, severity: Severity, quantity: str = "", value: float = 0.0) -> Finding:
    """Return the finding of a hazard, without words."""
    nothing = np.array([], "datetime64[s]")
    return Finding(hazard, quantity, value, 0.0, "", severity, nothing, None, 1.0, "", "", "")


def hours(
    severities: Sequence[Severity], shown: Sequence[Mapping[str, float]] = ()
) -> tuple[HourVerdict, ...]:
    """Return successive hours from the usual start on."""
    return tuple(
        HourVerdict(
            scenes.START + timedelta(hours=number),
            *(severity, {}, ()),
            shown[number] if shown else {},
        )
        for number, severity in enumerate(severities)
    )


def verdict(
    hours: Sequence[HourVerdict] = (),
    findings: Sequence[Finding] = (),
    plan: Plan | None = None,
    severity: Severity = Severity.GO,
) -> Verdict:
    """Return a verdict of the evening before, whatever its hours and findings would make it."""
    plan = plan or scenes.plan()
    return Verdict(*(plan, scenes.NOW, severity, tuple(hours), tuple(findings)), *((), (), (), ()))


def advice(
    stands_still: float, turn_back: datetime | None = None, by: datetime | None = None
) -> Advice:
    """Return advice on a way home: where the craft stands still, and by when one turns back.

    The third is when the weather gets worse.
    """
    home = GettingHome(
        *(False, (0.0, 0.0), scenes.START, 600.0, 500.0, 600.0),
        *(turn_back, scenes.START, "end", stands_still, ()),
    )
    fishing = Fishing(0.4, 1.0, np.array([], "datetime64[s]"), (), np.array([]))
    water = InTheWater(296.15, 0.0, 3600.0, 7200.0, 500.0, 100.0, "none")
    return Advice(by, "", (), home, fishing, (), water)
