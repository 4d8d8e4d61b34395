"""The folder of a survey: one Parquet file for each block, written once and completely."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from safety_check.errors import ConfigError
from safety_check.model.verdict import Severity
from safety_check.settings.private_files import PART, write_file
from safety_check.use_cases.survey.block import JudgedBlock, SurveyTask
from safety_check.use_cases.survey.table import RefusedRow, SurveyLaunch

ABOUT = "survey.json"
VERDICTS, REFUSED = "verdicts", "refused"


class SurveyFolder:
    """Where a survey writes; a run that was ended goes on where it was.

    Parameters
    ----------
    folder
        Created where it is missing.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def begin(self, key: str, about: dict[str, Any]) -> None:
        """Say what the folder holds, or make sure that it holds just that.

        Raises
        ------
        ConfigError
            Where it holds another survey, or files that are none.
        """
        file = self.folder / ABOUT
        if file.exists():
            try:
                there = json.loads(file.read_text(encoding="utf-8")).get("key")
            except (OSError, ValueError, AttributeError):
                there = None
            if there != key:
                raise ConfigError(
                    f"{self.folder}: it holds another survey (other launches, forecasts, settings"
                    " or version). Give another folder with --out, or empty this one."
                )
            for part in self.folder.glob(f"*/*{PART}"):  # of a run that was killed as it wrote
                part.unlink(missing_ok=True)
            return
        if self.folder.exists() and any(self.folder.iterdir()):
            raise ConfigError(
                f"{self.folder}: it is not empty and holds no survey. Give another folder."
            )
        text = json.dumps({"key": key, **about}, indent=2, ensure_ascii=False)
        write_file(file, lambda out: out.write(text.encode()))

    def has(self, block: int) -> bool:
        """Return whether a block is written."""
        return self._part(VERDICTS, block).exists()

    def write(self, block: int, judged: JudgedBlock) -> None:
        """Write a block: first what was refused, then its verdicts, each completely or not."""
        if judged.refused:
            self._write(REFUSED, block, judged.refused, _refused_schema())
        self._write(VERDICTS, block, judged.verdicts, _verdict_schema())

    def write_refused_rows(self, rows: Iterable[RefusedRow]) -> None:
        """Write the rows of the table that can't be judged."""
        said = [{"launch": row.name or f"row {row.row}", "why": row.why} for row in rows]
        if said:
            self._write(REFUSED, -1, said, _refused_schema())

    def refused(self) -> list[dict[str, str]]:
        """Return every launch that was refused, and why."""
        from pyarrow import parquet

        parts = sorted((self.folder / REFUSED).glob("*.parquet"))
        return [row for part in parts for row in parquet.read_table(part).to_pylist()]

    def unknown(self) -> list[str]:
        """Return every launch with a day whose verdict is UNKNOWN, in the order of the files."""
        from pyarrow import parquet

        parts = sorted((self.folder / VERDICTS).glob("*.parquet"))
        rows = (
            row
            for part in parts
            for row in parquet.read_table(part, columns=["launch", "verdict"]).to_pylist()
        )
        unknown = str(Severity.UNKNOWN)
        return list(dict.fromkeys(row["launch"] for row in rows if row["verdict"] == unknown))

    def _part(self, kind: str, block: int) -> Path:
        name = "table" if block < 0 else f"part-{block:06}"
        return self.folder / kind / f"{name}.parquet"

    def _write(self, kind: str, block: int, rows: Sequence[Any], schema: Any) -> None:
        import pyarrow
        from pyarrow import parquet

        table = pyarrow.Table.from_pylist(rows, schema=schema)
        path = self._part(kind, block)
        write_file(path, lambda out: parquet.write_table(table, out, compression="zstd"))


def _verdict_schema() -> Any:
    import pyarrow

    moment = pyarrow.timestamp("s", tz="UTC")
    return pyarrow.schema(
        [
            ("launch", pyarrow.string()),
            ("latitude", pyarrow.float64()),
            ("longitude", pyarrow.float64()),
            ("day", pyarrow.date32()),
            ("verdict", pyarrow.string()),
            ("weather", pyarrow.string()),
            ("decides", pyarrow.string()),
            ("start", moment),
            ("end", moment),
            ("go", pyarrow.float64()),
        ]
    )


def _refused_schema() -> Any:
    import pyarrow

    return pyarrow.schema([("launch", pyarrow.string()), ("why", pyarrow.string())])


def survey_key(launches: Sequence[SurveyLaunch], task: SurveyTask, version: str) -> str:
    """Return a name for the result of this survey: its launches, forecasts, settings, version."""
    digest = hashlib.sha256(version.encode())
    for launch in launches:
        water = launch.water
        said = (launch.name, launch.craft, launch.reach, launch.water_temperature, water.kind)
        digest.update(repr((said, water.launches, water.depth, water.elevation)).encode())
        for ring in water.shoreline:
            digest.update(ring.tobytes())
        if water.fetch_table is not None:
            digest.update(water.fetch_table.bearing.tobytes() + water.fetch_table.fetch.tobytes())
    for name in task.forecasts:
        digest.update(repr(_contents(Path(name.partition("=")[2] or name))).encode())
    digest.update(repr((task.asked, task.hours, task.days, task.at)).encode())
    digest.update(task.settings.user.model_dump_json().encode())
    return digest.hexdigest()


def _contents(path: Path) -> list[tuple[str, int, int]]:
    """Return the files of a data set, with their sizes and times."""
    files = sorted(path.rglob("*")) if path.is_dir() else [path]
    return [
        (str(file.relative_to(path)), file.stat().st_size, file.stat().st_mtime_ns)
        for file in files
        if file.is_file()
    ]
