"""What a service of official warnings answered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from safety_check.model.weather import Provenance, SourceFailure
from safety_check.sources.cap.message import Listing


@dataclass(frozen=True)
class Answered:
    """What one or several requests to a service brought.

    Parameters
    ----------
    listings
        The lists, and the messages read at their own addresses.
    provenance
        Of the first answer that came; None without one.
    failures
        Requests without an answer that can be used.
    """

    listings: tuple[Listing, ...]
    provenance: Provenance | None
    failures: tuple[SourceFailure, ...]


def join_answers(parts: Sequence[Answered]) -> Answered:
    """Return several answers of one service as one; equal failures are listed once."""
    origins = (part.provenance for part in parts if part.provenance)
    return Answered(
        listings=tuple(listing for part in parts for listing in part.listings),
        provenance=next(origins, None),
        failures=tuple(dict.fromkeys(failure for part in parts for failure in part.failures)),
    )
