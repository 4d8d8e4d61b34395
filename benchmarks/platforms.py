"""Use the program as a stranger would, on each Python that is here and in each encoding.

Run with `python -m benchmarks.platforms --python python3.12 --python python3.13`. For each Python
it makes an environment from `requirements.lock`, and then adds waters, checks a trip and runs the
sample, in homes whose names have spaces and letters beyond ASCII, with output in ASCII, code pages
437 and 1252, and UTF-8. One water has a name that Windows reserves. Without `--python` it takes
every `python3.11` to `python3.14` on the path. The last line is the number of failures.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.cli import forecasts
from tests.cli.test_water import RAMP, SHAPE, collection

ROOT = Path(__file__).parents[1]
SUPPORTED = ("python3.11", "python3.12", "python3.13", "python3.14")
ENCODINGS = ("ascii", "cp437", "cp1252", "utf-8")
HOMES = ("a home with spaces", "Ångström 湖")
WATERS = ("pond", "CON", "Øvre vatn")
NO_GO = 30


def main() -> None:
    """Print each Python's failures, and their number."""
    asked = _arguments()
    found = [name for name in asked.python or SUPPORTED if shutil.which(name)]
    failures = 0
    for name in found:
        with tempfile.TemporaryDirectory() as folder:
            tries = 0
            for what, trouble in _tried(Path(folder), name):
                tries += 1
                if trouble:
                    failures += 1
                    sys.stdout.write(f"{name}: {what}: {trouble}\n")
            sys.stdout.write(f"{name}: {tries} tries\n")
    missing = sorted(set(asked.python or SUPPORTED) - set(found))
    sys.stdout.write(f"not here: {', '.join(missing) or 'none'}\nfailures: {failures}\n")


def _tried(folder: Path, python: str) -> Iterator[tuple[str, str]]:
    """Yield what was tried, and what went wrong with it; nothing where it went well."""
    own = folder / "env" / ("Scripts" if os.name == "nt" else "bin")
    _run(python, "-m", "venv", str(folder / "env"))
    _run(str(own / "python"), "-m", "pip", "install", "-q", "-r", str(ROOT / "requirements.lock"))
    _run(str(own / "python"), "-m", "pip", "install", "-q", "--no-deps", str(ROOT))
    (folder / "shore.geojson").write_text(json.dumps(collection(SHAPE, RAMP)), encoding="utf-8")
    forecast = forecasts.write(folder)
    for encoding in ENCODINGS:
        for home in HOMES:
            where = {"SAFETY_CHECK_HOME": str(folder / encoding / home)}
            environment = os.environ | where | {"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
            for what, arguments, expected in _commands(folder, forecast):
                done = subprocess.run(
                    [str(own / "safety-check"), *arguments],
                    env=environment,
                    cwd=folder,
                    capture_output=True,
                    check=False,
                )
                said = done.stderr.decode(encoding, errors="replace")
                right = done.returncode in expected and "Traceback" not in said
                trouble = "" if right else f"status {done.returncode}: {said[-300:]}"
                yield f"{what}, {encoding}, {home}", trouble


def _commands(folder: Path, forecast: Path) -> Iterator[tuple[str, list[str], tuple[int, ...]]]:
    yield "sample", ["check", "--sample", "--full"], (NO_GO,)
    shore = str(folder / "shore.geojson")
    for water in WATERS:
        yield f"add {water}", ["water", "add", water, "--file", shore, "--yes"], (0,)
        yield f"show {water}", ["water", "show", water], (0,)
        trip = ["--start", "2026-06-13 06:00", "--hours", "4", "--as-of", "2026-06-12 20:00"]
        craft = ["--craft", "canoe", "--water-temp", "74 F", "--forecast", str(forecast)]
        yield f"check {water}", ["check", water, *trip, *craft], (0, 20, 30, 40)
    yield "history", ["history", "list"], (0,)


def _run(*command: str) -> None:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        sys.exit(f"{' '.join(command)}: {done.stderr[-2000:]}")


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.platforms")
    parser.add_argument("--python", action="append", help="an interpreter; may stand several times")
    return parser.parse_args()


if __name__ == "__main__":
    main()
