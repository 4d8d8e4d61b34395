"""Judge all launches of a table on a Dask cluster, block by block."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from safety_check import __version__
from safety_check.errors import ConfigError, DataError
from safety_check.settings.survey_file import load_survey_file
from safety_check.sources.gridded.dataset import open_forecast
from safety_check.use_cases.survey.block import JudgedBlock, SurveyTask, try_block
from safety_check.use_cases.survey.files import SurveyFolder, survey_key
from safety_check.use_cases.survey.table import SurveyLaunch, read_launches

DASK = {
    "distributed.comm.timeouts.connect": "10s",
    # Arrays below this size [bytes] take memory that is at hand: Dask's own choice, to give it back
    # after each array, has its workers spend more time on getting memory than on the forecasts.
    "distributed.nanny.pre-spawn-environ.MALLOC_MMAP_THRESHOLD_": 2**25,
    "distributed.nanny.pre-spawn-environ.MALLOC_TRIM_THRESHOLD_": 2**28,
}
AHEAD = 2  # blocks for each worker that are sent before they are needed


@dataclass(frozen=True)
class SurveyResult:
    """What a survey did.

    Parameters
    ----------
    launches
        How many were judged, those of earlier runs included.
    refused
        Which were not, and why.
    unknown
        The launches with a day whose verdict is UNKNOWN.
    resumed
        How many blocks an earlier run had written.
    notes
        What of the forecasts could not be used.
    """

    launches: int
    refused: tuple[dict[str, str], ...]
    unknown: tuple[str, ...]
    resumed: int
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Cluster:
    """Where the blocks are judged: the address of a scheduler, or so many local processes."""

    scheduler: str | None = None
    workers: int = 1


def run_survey(
    table: Path,
    out: Path,
    task: SurveyTask,
    cluster: Cluster,
    progress: Callable[[int, int], None] = lambda done, number: None,
) -> SurveyResult:
    """Judge every launch of a table and write the verdicts as Parquet.

    Parameters
    ----------
    table
        The launches; see `read_launches`.
    out
        The folder to write; one that holds the same survey is completed.
    task
        What is asked of every launch.
    cluster
        Where the blocks are judged.
    progress
        Called with the number of blocks that are done, and of all.

    Raises
    ------
    ConfigError, DataError
        Where the table, the folder or a forecast can't be used at all; or where a forecast can't be
        read around some launches, once all others are judged and written.
    """
    launches, refused_rows = read_launches(table)
    notes = [note for name in task.forecasts for note in open_forecast(name).refused]
    blocks = _blocks(launches)
    folder = SurveyFolder(out)
    about = {"launches": len(launches), "forecasts": list(task.forecasts), "hours": task.hours,
             "days": task.days, "at": task.at.isoformat(), "program": __version__}  # fmt: skip
    folder.begin(survey_key(launches, task, __version__), about)
    folder.write_refused_rows(refused_rows)
    left = [number for number in range(len(blocks)) if not folder.has(number)]
    done = len(blocks) - len(left)
    progress(done, len(blocks))
    troubles: list[tuple[int, DataError]] = []
    for number, judged in _judged(blocks, left, task, cluster):
        if isinstance(judged, DataError):
            troubles.append((number, judged))
        else:
            folder.write(number, judged)
            done += 1
        progress(done, len(blocks))
    if troubles:
        raise _left_out([blocks[number] for number, _ in troubles], troubles[0][1], out)
    refused = tuple(folder.refused())
    return SurveyResult(
        launches=len(launches) + len(refused_rows) - len(refused),
        refused=refused,
        unknown=tuple(folder.unknown()),
        resumed=len(blocks) - len(left),
        notes=tuple(notes),
    )


def _left_out(blocks: Sequence[Sequence[SurveyLaunch]], trouble: DataError, out: Path) -> DataError:
    number = sum(map(len, blocks))
    return DataError(
        f"{trouble} Around {number} launches, {blocks[0][0].name} among them, it could not be read,"
        f" so they have no verdict. All others are in {out}; the same command tries these again. A"
        " survey from other files needs another folder."
    )


def _blocks(launches: Sequence[SurveyLaunch]) -> list[list[SurveyLaunch]]:
    """Return launches in blocks, neighbours together, so that a block reads little of a grid."""

    def place(launch: SurveyLaunch) -> tuple[int, float, str]:
        here = launch.water.launches[0]
        return (round(here.latitude), here.longitude, launch.name)

    size, ordered = load_survey_file().block.launches, sorted(launches, key=place)
    return [ordered[first : first + size] for first in range(0, len(ordered), size)]


def _judged(
    blocks: Sequence[Sequence[SurveyLaunch]],
    left: Sequence[int],
    task: SurveyTask,
    cluster: Cluster,
) -> Iterator[tuple[int, JudgedBlock | DataError]]:
    """Yield blocks as they are judged, with few of them sent ahead so that memory stays bounded."""
    if not left:
        return
    with _client(cluster) as client:
        from distributed import as_completed

        waiting = iter(left)
        most = AHEAD * max(1, len(client.scheduler_info()["workers"]))
        numbers: dict[str, int] = {}

        def send(number: int) -> Any:
            future = client.submit(try_block, blocks[number], task, pure=False)
            numbers[future.key] = number
            return future

        first = [send(number) for _, number in zip(range(most), waiting, strict=False)]
        running = as_completed(first, with_results=True)
        for future, judged in running:
            yield numbers.pop(future.key), judged
            future.release()
            following = next(waiting, None)
            if following is not None:
                running.add(send(following))


@contextmanager
def _client(cluster: Cluster) -> Iterator[Any]:
    try:
        import dask
        from distributed import Client, LocalCluster
    except ImportError as trouble:
        raise ConfigError(
            f"survey needs dask and distributed ({trouble}). Install them: pip install"
            " 'safety-check[survey]'"
        ) from trouble
    with ExitStack() as stack:
        stack.enter_context(dask.config.set(DASK))
        if cluster.scheduler is not None:
            try:
                yield stack.enter_context(Client(cluster.scheduler))
            except OSError as trouble:
                raise ConfigError(
                    f"--scheduler {cluster.scheduler}: no Dask scheduler answers there ({trouble})."
                ) from trouble
            return
        local = LocalCluster(
            n_workers=cluster.workers,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            # else its HTTP server listens to the network, on a port that another run may have
            scheduler_kwargs={"dashboard_address": "127.0.0.1:0"},
        )
        yield stack.enter_context(Client(stack.enter_context(local)))
