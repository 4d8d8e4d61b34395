"""Where the recordings and data sets are, for the tests that read them."""

from __future__ import annotations

from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"


def shared_folder(*parts: str) -> Path:
    """Return a folder of recordings or data sets beside the checkout, or skip the test."""
    folder = SHARED.joinpath(*parts)
    if not folder.exists():
        pytest.skip(f"recordings: not beside this checkout: no {'/'.join(parts)}")
    return folder
