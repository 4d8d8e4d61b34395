"""Arrays computed once and kept: keyed by content, written whole, not trusted when damaged."""

from __future__ import annotations

import hashlib
import os
import tempfile
import zipfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

from safety_check.arrays import FloatArray


def key(version: str, arrays: Sequence[FloatArray]) -> str:
    """Return a name for what is computed from these arrays by this version of a formula."""
    digest = hashlib.sha256(version.encode())
    for each in arrays:
        array = np.ascontiguousarray(each, dtype=float)
        digest.update(repr(array.shape).encode())
        digest.update(array.tobytes())
    return digest.hexdigest()[:32]


def kept(
    folder: Path, name: str, compute: Callable[[], Mapping[str, FloatArray]]
) -> dict[str, FloatArray]:
    """Return arrays kept under a name; compute and keep them where they are not, or are damaged.

    A cache that can't be written is no trouble: the arrays are computed again next time.
    """
    path = folder / f"{name}.npz"
    try:
        with np.load(path, allow_pickle=False) as saved:
            return {each: saved[each] for each in saved.files}
    except (OSError, ValueError, EOFError, zipfile.BadZipFile, KeyError):
        computed = dict(compute())
        _write(path, computed)
        return computed


def _write(path: Path, arrays: Mapping[str, FloatArray]) -> None:
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, suffix=".part", delete=False) as file:
            temporary = Path(file.name)
            np.savez(file, allow_pickle=False, **arrays)
        os.replace(temporary, path)
    except OSError:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
