"""Cache of computed arrays: keyed by content, written completely, ignored when damaged."""

from __future__ import annotations

import contextlib
import hashlib
import zipfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray
from safety_check.settings.private_files import write_file

LABEL = "label"
"""Entry that names the key of a file and its arrays."""


def cache_key(version: str, arrays: Sequence[FloatArray]) -> str:
    """Return a name for the result of this version of a formula on these arrays."""
    digest = hashlib.sha256(version.encode())
    for values in arrays:
        array = np.ascontiguousarray(values, dtype=float)
        digest.update(repr(array.shape).encode())
        digest.update(array.tobytes())
    return digest.hexdigest()[:32]


def cached(
    folder: Path, name: str, compute: Callable[[], Mapping[str, FloatArray]]
) -> dict[str, FloatArray]:
    """Return cached arrays; compute and store them where they are missing or damaged.

    A cache that cannot be written is not an error: the arrays are computed again next time.
    """
    path = folder / f"{name}.npz"
    saved = read_arrays(path, name)
    if saved is not None:
        return saved
    computed = dict(compute())
    with contextlib.suppress(OSError):
        write_arrays(path, name, computed)
    return computed


def read_arrays(path: Path, name: str) -> dict[str, FloatArray] | None:
    """Return the arrays of a file; None where it is missing, damaged or has another name."""
    try:
        with zipfile.ZipFile(path) as archive:
            if archive.testzip() is not None:  # numpy trusts a header before it checks the sum
                return None
        with np.load(path, allow_pickle=False) as saved:
            arrays = {file: saved[file] for file in saved.files}
        return arrays if str(arrays.pop(LABEL)) == _label(name, arrays) else None
    except (OSError, ValueError, KeyError, EOFError, RuntimeError, zipfile.BadZipFile):
        return None


def write_arrays(path: Path, name: str, arrays: Mapping[str, FloatArray]) -> None:
    """Write arrays to a file under a name, completely or not at all; OSError where it can't."""
    label = np.array(_label(name, arrays))
    write_file(path, lambda file: np.savez(file, allow_pickle=False, **{LABEL: label}, **arrays))


def _label(name: str, arrays: Mapping[str, FloatArray]) -> str:
    return " ".join([name, *sorted(arrays)])
