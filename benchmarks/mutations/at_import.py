"""Change a table of a module while it is imported, in a process of its own, and run tests.

Tables are read while other modules are imported, so a change that is put in later reaches nobody.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Sequence
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType
from typing import Never

import pytest

from benchmarks.mutations.mutants import Mutant, changed_tree, mutants_of

SURVIVED, KILLED = 0, 1
NO_CHANGE = -1  # in place of the number of a change


def run_in_its_place(mutant: Mutant, tests: Sequence[str]) -> Never:
    """Replace this process by one that imports the changed file and runs tests until one fails."""
    with tempfile.NamedTemporaryFile("w", suffix=".txt", delete=False) as names:
        names.write("\n".join(tests))
    here = [sys.executable, "-m", "benchmarks.mutations.at_import"]
    os.execv(sys.executable, [*here, str(mutant.path), str(mutant.number), names.name])


def change_when_imported(mutant: Mutant) -> None:
    """Have the changed code in place of the file's own from now on."""
    own = SourceFileLoader.get_code

    def get_code(loader: SourceFileLoader, name: str) -> CodeType | None:
        if loader.get_filename(name) != str(mutant.path):
            return own(loader, name)
        return compile(changed_tree(mutant), str(mutant.path), "exec", dont_inherit=True)

    SourceFileLoader.get_code = get_code  # type: ignore[assignment, method-assign]


def main() -> None:
    """Run the tests named in a file with one change, and exit with what they showed."""
    path, number, names = sys.argv[1:]
    if int(number) != NO_CHANGE:
        change_when_imported(mutants_of(Path(path))[int(number)])
    try:
        status = pytest.main(["-x", "-q", "-p", "no:cacheprovider", f"@{names}"])
    finally:
        Path(names).unlink()
    sys.exit(SURVIVED if status == pytest.ExitCode.OK else KILLED)


if __name__ == "__main__":
    main()
