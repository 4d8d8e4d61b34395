"""Every danger with every fault, over real sockets, and the verdicts that come of it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from benchmarks.false_go.dangers import Danger, list_dangers
from benchmarks.false_go.fault import Fault
from benchmarks.false_go.faults import list_faults
from safety_check.model.verdict import Severity
from safety_check.rules.findings import best_possible
from safety_check.sources.http.client import RetryPolicy
from tests.sources.fake_server import Reply, redirect
from tests.sources.fakes import SAYS, Services
from tests.sources.gathering import briefing, trip, verdict

PATIENT = RetryPolicy(deadline=4.0, patience=2.0, first_pause=0.001)
HASTY = RetryPolicy(deadline=0.5, patience=0.2, first_pause=0.001)  # for answers that never end
IN_MEMORY = Path("/dev/shm")  # where there is one, answers are kept without a disk


@dataclass(frozen=True)
class Outcome:
    """What came of one fault.

    Parameters
    ----------
    service, hazard, kind, what
        Whose answer, which danger, and the fault.
    truth, severity
        The verdict without the fault, and with it.
    """

    service: str
    hazard: str
    kind: str
    what: str
    truth: Severity
    severity: Severity

    @property
    def false_go(self) -> bool:
        """Whether the danger was lost in silence."""
        return self.severity == Severity.GO


@dataclass(frozen=True)
class Case:
    """One danger with one fault in some of its answers."""

    danger: Danger
    paths: tuple[str, ...]
    fault: Fault

    @property
    def replies(self) -> dict[str, Reply]:
        """What is served in place of a calm day's answers."""
        spoilt = {path: self.fault.spoil(self.danger.replies[path]) for path in self.paths}
        return {**self.danger.replies, **spoilt}


def list_cases(danger: Danger) -> Iterator[Case]:
    """Yield the cases of one danger: each answer spoiled by itself, then all in the same way."""
    by_path = {path: list(list_faults(danger, path)) for path in danger.attacked}
    for path, faults in by_path.items():
        for fault in faults:
            yield Case(danger, (path,), fault)
    if len(danger.attacked) > 1 and danger.whole:
        first = {(fault.kind, fault.what) for fault in by_path[danger.attacked[0]]}
        for fault in by_path[danger.attacked[-1]]:
            if fault.kind in ("status", "transport") and (fault.kind, fault.what) in first:
                yield Case(danger, danger.attacked, replace(fault, what=f"all: {fault.what}"))


class Campaign:
    """Runs cases against one server."""

    def __init__(self, services: Services) -> None:
        self._services = services
        self._calm = {path: reply for says in SAYS.values() for path, reply in says(False).items()}
        services.server.serve("/again", redirect("/again"))

    def severity(
        self, replies: dict[str, Reply], measured: bool, policy: RetryPolicy = PATIENT
    ) -> Severity:
        """Return the verdict when these answers take the place of a calm day's."""
        for path, reply in {**self._calm, **replies}.items():
            self._services.server.serve(path, reply)
        plan = trip(water_temperature=None if measured else 296.15)
        with tempfile.TemporaryDirectory(dir=IN_MEMORY if IN_MEMORY.is_dir() else None) as folder:
            told = briefing(self._services, Path(folder), plan, policy)
        held = best_possible(told)
        # Judging takes longer than gathering, and a hold already decides that there is no GO.
        return held if held > Severity.GO else verdict(told, plan).severity

    def run(self, cases: Iterable[Case], truths: dict[tuple[str, str], Severity]) -> list[Outcome]:
        """Return what came of each case."""
        return [
            Outcome(
                case.danger.service,
                case.danger.hazard,
                case.fault.kind,
                f"{', '.join(case.paths)}: {case.fault.what}",
                truths[case.danger.service, case.danger.hazard],
                self.severity(
                    case.replies, case.danger.measured, HASTY if case.fault.stalls else PATIENT
                ),
            )
            for case in cases
        ]


def run_share(number: int, shares: int, every: int) -> list[Outcome]:
    """Return the outcomes of one share of the cases, on a server of its own."""
    with Services() as services:
        campaign = Campaign(services)
        for measured in (False, True):
            if campaign.severity({}, measured) != Severity.GO:
                raise RuntimeError("The calm day is no GO, so no fault could show one.")
        dangers = list_dangers()
        truths = {
            (each.service, each.hazard): campaign.severity(dict(each.replies), each.measured)
            for each in dangers
        }
        harmless = [name for name, truth in truths.items() if truth == Severity.GO]
        if harmless:
            raise RuntimeError(f"These dangers are a GO even without a fault: {harmless}")
        return campaign.run(sample(dangers, every)[number::shares], truths)


def sample(dangers: Iterable[Danger], every: int) -> list[Case]:
    """Return every so-manieth case of each service and kind of fault, at least one of each.

    Dangers of one service begin at different cases, so that together they try all faults.
    """
    by_kind: dict[tuple[str, str], list[Case]] = {}
    for danger in dangers:
        for case in list_cases(danger):
            by_kind.setdefault((danger.service, case.fault.kind), []).append(case)
    return [case for cases in by_kind.values() for case in cases[::every]]


def run_campaign(processes: int, every: int) -> list[Outcome]:
    """Return the outcomes of one case in so many."""
    with ProcessPoolExecutor(processes) as pool:
        share = partial(run_share, shares=processes, every=every)
        parts = pool.map(share, range(processes))
        return [outcome for part in parts for outcome in part]
