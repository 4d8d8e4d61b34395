"""What a shipped value may call itself: published means that the source states the number."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from safety_check.settings.limits import LimitEntry

FILES = sorted((Path(__file__).parents[2] / "config").glob("*.toml"))
DOUBT = ("memory", "not read", "judgement", "ours", "second-hand", "common practice", "no source")


def tables(value: Any) -> Iterator[dict[str, Any]]:
    """Yield every table of a file that states a basis."""
    if isinstance(value, dict):
        if "basis" in value:
            yield value
        for inner in value.values():
            yield from tables(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from tables(inner)


LIMITS = tomllib.loads((FILES[0].parent / "limits.toml").read_text(encoding="utf-8"))


@pytest.mark.promise("limits have a source")
def test_no_limit_is_without_its_unit_basis_source_and_date() -> None:
    for limit in LIMITS["limit"]:
        assert limit["unit"]
        assert limit["basis"] in ("published", "common_practice", "judgement")
        assert len(limit["source"].split()) > 1
        assert isinstance(limit["since"], date)


@pytest.mark.promise("limits have a source")
@pytest.mark.parametrize("field", ["unit", "basis", "source", "since"])
def test_a_limit_without_one_of_them_is_refused(field: str) -> None:
    limit = {name: value for name, value in LIMITS["limit"][0].items() if name != field}
    with pytest.raises(ValidationError, match=field):
        LimitEntry.model_validate(limit)


@pytest.mark.promise("limits have a source")
@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_a_published_value_is_in_its_source(file: Path) -> None:
    for table in tables(tomllib.loads(file.read_text(encoding="utf-8"))):
        if table["basis"] == "published":
            said = f"{table.get('source', '')} {table.get('title', '')}".casefold()
            assert not [word for word in DOUBT if word in said], table
