"""A survey sends few blocks ahead, of neighbours, and says which launches have no verdict."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import distributed
import pytest

from safety_check.errors import ConfigError, DataError
from safety_check.settings.survey_file import load_survey_file
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.survey import run
from safety_check.use_cases.survey.block import survey_rulebook
from safety_check.use_cases.survey.run import Cluster


def launch(name: str, latitude: float, longitude: float) -> Any:
    here = SimpleNamespace(latitude=latitude, longitude=longitude)
    return SimpleNamespace(name=name, water=SimpleNamespace(launches=(here,)))


def blocks_of(monkeypatch: pytest.MonkeyPatch, size: int, *launches: Any) -> list[list[str]]:
    block = SimpleNamespace(block=SimpleNamespace(launches=size))
    monkeypatch.setattr(run, "load_survey_file", lambda: block)
    return [[one.name for one in found] for found in run._blocks(launches)]


def test_neighbours_are_in_one_block_from_south_to_north_and_west_to_east(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    launches = (
        launch("north", 46.0, -95.0), launch("east", 44.9, -90.0), launch("b", 45.1, -99.0),
        launch("a", 45.1, -99.0), launch("west", 45.2, -100.0),
    )  # fmt: skip
    expected = [["west", "a"], ["b", "east"], ["north"]]
    assert blocks_of(monkeypatch, 2, *launches) == expected
    assert blocks_of(monkeypatch, 5, *launches) == [["west", "a", "b", "east", "north"]]
    assert blocks_of(monkeypatch, 2) == []


def test_a_block_has_the_size_of_the_settings() -> None:
    size = load_survey_file().block.launches
    launches = [launch(f"{at:05}", 45.0, -99.0) for at in range(size + 1)]
    assert [len(block) for block in run._blocks(launches)] == [size, 1]


class Workers:
    """A scheduler with some workers, which counts the blocks that are under way."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.sent: list[Any] = []
        self.under_way = self.most = 0

    def scheduler_info(self) -> dict[str, list[int]]:
        return {"workers": list(range(self.number))}

    def submit(self, judge: object, block: Any, task: object, pure: bool) -> Any:
        assert not pure  # the same block of two surveys is judged twice
        self.sent.append(block)
        self.under_way += 1
        self.most = max(self.most, self.under_way)
        return SimpleNamespace(key=str(len(self.sent)), block=block, release=self.released)

    def released(self) -> None:
        self.under_way -= 1


class Completed:
    """Blocks in the order in which they were sent."""

    def __init__(self, sent: list[Any], with_results: bool) -> None:
        assert with_results
        self.waiting = list(sent)

    def add(self, block: Any) -> None:
        self.waiting.append(block)

    def __iter__(self) -> Iterator[tuple[Any, str]]:
        while self.waiting:
            block = self.waiting.pop(0)
            yield block, f"judged {block.block}"


@pytest.mark.parametrize(("workers", "most"), [(0, 2), (1, 2), (3, 6)])
def test_two_blocks_are_sent_ahead_for_each_worker(
    monkeypatch: pytest.MonkeyPatch, workers: int, most: int
) -> None:
    made = Workers(workers)

    @contextmanager
    def client(_: Cluster) -> Iterator[Workers]:
        yield made

    monkeypatch.setattr(run, "_client", client)
    monkeypatch.setattr(distributed, "as_completed", Completed)
    blocks: Any = [[f"block {number}"] for number in range(12)]
    task: Any = None
    found = dict(run._judged(blocks, [*range(1, 12)], task, Cluster()))
    assert made.most == most
    assert made.sent == blocks[1:]  # an earlier run had judged the first
    assert {number: str(one) for number, one in found.items()} == {
        number: f"judged ['block {number}']" for number in range(1, 12)
    }
    assert made.under_way == 0


def test_without_a_block_left_no_cluster_is_started(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_: Cluster) -> None:
        raise AssertionError

    monkeypatch.setattr(run, "_client", none)
    task: Any = None
    assert list(run._judged([], [], task, Cluster())) == []


def test_launches_without_a_verdict_are_counted_and_the_first_one_named() -> None:
    blocks = [[launch("pier", 45.0, -99.0)], [launch("ramp", 46.0, -99.0)] * 2]
    told = str(run._left_out(blocks, DataError("A part is damaged."), Path("out")))
    assert told.startswith("A part is damaged. Around 3 launches, pier among them,")


def test_a_scheduler_that_does_not_answer_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(address: str) -> None:
        raise OSError(f"nobody at {address}")

    monkeypatch.setattr(distributed, "Client", refused)
    with (
        pytest.raises(ConfigError, match=r"--scheduler tcp://127\.0\.0\.1:1: no Dask"),
        run._client(Cluster(scheduler="tcp://127.0.0.1:1")),
    ):
        pass


def test_local_workers_are_processes_that_open_no_page(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[dict[str, Any]] = []

    @contextmanager
    def cluster(**options: Any) -> Iterator[str]:
        told.append(options)
        yield "a cluster"

    @contextmanager
    def client(of: str) -> Iterator[str]:
        yield f"client of {of}"

    monkeypatch.setattr(distributed, "LocalCluster", cluster)
    monkeypatch.setattr(distributed, "Client", client)
    with run._client(Cluster(workers=3)) as made:
        assert made == "client of a cluster"
    (options,) = told
    assert (options["n_workers"], options["threads_per_worker"]) == (3, 1)
    assert options["processes"]
    assert options["dashboard_address"] is None
    assert options["scheduler_kwargs"] == {"dashboard_address": "127.0.0.1:0"}


@pytest.mark.parametrize(("said", "read"), [(None, False), ("none", True)])
def test_where_nobody_has_read_the_warnings_a_survey_weighs_all_but_them_and_says_so(
    said: str | None, read: bool
) -> None:
    rulebook, told = survey_rulebook(PlanRequest(warnings=said))
    assert told is read
    names = {hazard.name for hazard in rulebook.hazards}
    everything = {hazard.name for hazard in load_rulebook().hazards}
    assert everything - names == (set() if read else {"official_warning"})
