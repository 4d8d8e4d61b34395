"""How old an answer of each source may be, by the source's title."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from safety_check.sources.registry import listed_sources, load_sources


@dataclass(frozen=True)
class GreatestAges(Mapping[str, float]):
    """The greatest useful age of an answer by the source's title [s].

    The services of official warnings are many, and read only for a title that no other source has.

    Parameters
    ----------
    own
        Those of other origins, which no service has.
    """

    own: Mapping[str, float]

    def __getitem__(self, title: str) -> float:
        for known in (self.own, _ages()):
            if title in known:
                return known[title]
        return _all_ages()[title]

    def __iter__(self) -> Iterator[str]:
        return iter({**_all_ages(), **self.own})

    def __len__(self) -> int:
        return len({**_all_ages(), **self.own})


@cache
def _ages() -> dict[str, float]:
    return {source.title: source.max_age for source in listed_sources().values()}


@cache
def _all_ages() -> dict[str, float]:
    return {source.title: source.max_age for source in load_sources().values()}


def greatest_age(own: Mapping[str, float] | None = None) -> Mapping[str, float]:
    """Return the greatest useful age of an answer by the source's title, and others [s]."""
    return GreatestAges(own or {})
