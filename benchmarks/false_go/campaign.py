"""Every danger with every fault, over real sockets, and the resulting verdicts."""

from __future__ import annotations

import pickle
import tempfile
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import cache, partial
from hashlib import sha256
from pathlib import Path

from benchmarks.false_go.dangers import Danger, list_dangers
from benchmarks.false_go.fault import Fault
from benchmarks.false_go.faults import list_faults
from safety_check.model.plan import Plan
from safety_check.model.verdict import Severity
from safety_check.model.weather import Briefing
from safety_check.rules.unknowns import best_possible
from safety_check.sources.http.asker import RetryPolicy
from tests.sources.fake_server import Reply, redirect
from tests.sources.fakes import SAYS, Services
from tests.sources.gathering import briefing, trip, verdict

# Far longer than anything takes but an answer that never ends, so that a busy machine loses none.
PATIENT = RetryPolicy(deadline=30.0, patience=15.0, first_pause=0.001)
HASTY = RetryPolicy(deadline=0.5, patience=0.2, first_pause=0.001)  # for answers that never end
IN_MEMORY = Path("/dev/shm")  # where there is one, answers are kept without a disk
KNOWN = (Severity.MARGINAL, Severity.NO_GO)


@dataclass(frozen=True)
class Outcome:
    """The result of one fault.

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
        """Whether the danger was lost unnoticed."""
        return self.severity == Severity.GO


@dataclass(frozen=True)
class Case:
    """One danger with one fault in some of its answers."""

    danger: Danger
    paths: tuple[str, ...]
    fault: Fault

    @property
    def replies(self) -> dict[str, Reply]:
        """The answers served in place of those of a calm day."""
        spoilt = {path: self.fault.spoil(self.danger.replies[path]) for path in self.paths}
        return {**self.danger.replies, **spoilt}


def list_cases(danger: Danger) -> Iterator[Case]:
    """Yield the cases of one danger: each answer damaged by itself, then all in the same way."""
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
    """Runs cases against one server; what was judged once is not judged again."""

    def __init__(self, services: Services) -> None:
        self._services = services
        self._calm = {path: reply for says in SAYS.values() for path, reply in says(False).items()}
        self._judged: dict[bytes, Severity] = {}
        services.server.serve("/again", redirect("/again"))

    def gather(
        self, replies: dict[str, Reply], measured: bool, policy: RetryPolicy = PATIENT
    ) -> Briefing:
        """Return the briefing when these answers replace those of a calm day."""
        for path, reply in {**self._calm, **replies}.items():
            self._services.server.serve(path, reply)
        with tempfile.TemporaryDirectory(dir=IN_MEMORY if IN_MEMORY.is_dir() else None) as folder:
            return briefing(self._services, Path(folder), _plan(measured), policy)

    def judge(self, told: Briefing, measured: bool) -> Severity:
        """Return the verdict on a briefing."""
        key = sha256(pickle.dumps((told, measured))).digest()
        if key not in self._judged:
            self._judged[key] = verdict(told, _plan(measured)).severity
        return self._judged[key]

    def run(self, case: Case, truth: Severity) -> Outcome:
        """Return the result of a case, with the verdict that its danger gives without a fault."""
        danger = case.danger
        told = self.gather(case.replies, danger.measured, HASTY if case.fault.stalls else PATIENT)
        held = best_possible(told)
        return Outcome(
            danger.service,
            danger.hazard,
            case.fault.kind,
            f"{', '.join(case.paths)}: {case.fault.what}",
            truth,
            # Judging takes longer than gathering, and a hold already decides that there is no GO.
            held if held > Severity.GO else self.judge(told, danger.measured),
        )

    def truth(self, danger: Danger) -> Severity:
        """Return the verdict without a fault: a danger that is known, in answers without a gap."""
        calm, told = (
            self.gather(replies, danger.measured) for replies in ({}, dict(danger.replies))
        )
        before, truth = self.judge(calm, danger.measured), self.judge(told, danger.measured)
        proved = before == Severity.GO == best_possible(told) and truth in KNOWN
        if not proved:
            raise RuntimeError(
                f"{danger.service}, {danger.hazard} proves nothing: {before.name} on a calm day,"
                f" {truth.name} with it, held at {best_possible(told).name}."
            )
        return truth


def _plan(measured: bool) -> Plan:
    return trip(water_temperature=None if measured else 296.15)


def sample(dangers: Iterable[Danger], one_in: int) -> dict[tuple[str, str], list[Case]]:
    """Return by danger one in so many cases of each service and kind of fault, at least one."""
    by_kind: dict[tuple[str, str], list[Case]] = {}
    for danger in dangers:
        for case in list_cases(danger):
            by_kind.setdefault((danger.service, case.fault.kind), []).append(case)
    by_danger: dict[tuple[str, str], list[Case]] = {}
    for case in (case for cases in by_kind.values() for case in cases[::one_in]):
        by_danger.setdefault((case.danger.service, case.danger.hazard), []).append(case)
    return by_danger


def run_campaign(processes: int, one_in: int, service: str | None = None) -> Iterator[Outcome]:
    """Yield the outcomes of one case in so many, of one service or of all."""
    chosen = sample(_dangers(service), one_in)
    largest_first = sorted(chosen, key=lambda key: -len(chosen[key]))
    with ProcessPoolExecutor(processes) as pool:
        for outcomes in pool.map(partial(_run_danger, service, one_in), largest_first):
            yield from outcomes


def _dangers(service: str | None) -> list[Danger]:
    return [danger for danger in list_dangers() if service in (None, danger.service)]


@cache
def _cases(service: str | None, one_in: int) -> dict[tuple[str, str], list[Case]]:
    """Return the sample, made once in each process."""
    return sample(_dangers(service), one_in)


def _run_danger(service: str | None, one_in: int, key: tuple[str, str]) -> list[Outcome]:
    """Return the outcomes of one danger's cases, on a server of their own."""
    cases = _cases(service, one_in)[key]
    with Services() as services:
        campaign = Campaign(services)
        truth = campaign.truth(cases[0].danger)
        return [campaign.run(case, truth) for case in cases]
