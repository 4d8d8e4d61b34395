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
from safety_check.rules.unknowns import best_possible
from safety_check.sources.http.asker import RetryPolicy
from tests.sources.fake_server import Reply, redirect
from tests.sources.fakes import SAYS, Services
from tests.sources.gathering import briefing, trip, verdict

PATIENT = RetryPolicy(deadline=4.0, patience=2.0, first_pause=0.001)
HASTY = RetryPolicy(deadline=0.5, patience=0.2, first_pause=0.001)  # for answers that never end
BATCH = 60  # cases that one server serves
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
        self._truths: dict[tuple[str, str], Severity] = {}
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

    def run(self, case: Case) -> Outcome:
        """Return what came of a case."""
        danger = case.danger
        policy = HASTY if case.fault.stalls else PATIENT
        return Outcome(
            danger.service,
            danger.hazard,
            case.fault.kind,
            f"{', '.join(case.paths)}: {case.fault.what}",
            self._truth(danger),
            self.severity(case.replies, danger.measured, policy),
        )

    def _truth(self, danger: Danger) -> Severity:
        """Return the verdict without a fault, which is no GO; calm, it is one."""
        key = danger.service, danger.hazard
        if key not in self._truths:
            calm = self.severity({}, danger.measured)
            truth = self.severity(dict(danger.replies), danger.measured)
            if calm != Severity.GO or truth == Severity.GO:
                raise RuntimeError(f"{key} proves nothing: {calm} on a calm day, {truth} with it.")
            self._truths[key] = truth
        return self._truths[key]


def sample(dangers: Iterable[Danger], one_in: int) -> list[Case]:
    """Return one in so many cases of each service and kind of fault, at least one of each."""
    by_kind: dict[tuple[str, str], list[Case]] = {}
    for danger in dangers:
        for case in list_cases(danger):
            by_kind.setdefault((danger.service, case.fault.kind), []).append(case)
    return [case for cases in by_kind.values() for case in cases[::one_in]]


def run_campaign(processes: int, one_in: int, service: str | None = None) -> Iterator[Outcome]:
    """Yield the outcomes of one case in so many, of one service or of all."""
    dangers = [danger for danger in list_dangers() if service in (None, danger.service)]
    batches = range(0, len(sample(dangers, one_in)), BATCH)
    run = partial(_run_batch, dangers, one_in)
    with ProcessPoolExecutor(processes) as pool:
        for outcomes in pool.map(run, batches):
            yield from outcomes


def _run_batch(dangers: list[Danger], one_in: int, first: int) -> list[Outcome]:
    """Return the outcomes of some cases in a row, on a server of their own."""
    with Services() as services:
        campaign = Campaign(services)
        return [campaign.run(case) for case in sample(dangers, one_in)[first : first + BATCH]]
