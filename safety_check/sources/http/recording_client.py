"""A client that records what one source answered, and what failed.

An adapter may go on when a part of its answer is missing: another station has reported, an
older service replaces it. The failure is still recorded here, because the station that does not
answer may be the one where the wind is strong.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Provenance
from safety_check.sources.http.client import Client, Parse, Parsed
from safety_check.sources.listing import Counted


@dataclass(frozen=True)
class RecordedAnswer:
    """One answer.

    Parameters
    ----------
    params
        The query.
    meaning
        The result of the parser.
    provenance
        Where it comes from.
    """

    params: Mapping[str, str]
    meaning: Any
    provenance: Provenance


class RecordingClient(Client):
    """Uses the same connections, saved answers and deadline, and records the answers.

    Parameters
    ----------
    client
        The client whose connections it uses.

    Attributes
    ----------
    answers
        The answers received.
    missed
        The requests without an answer, and why.
    covered
        Errors where a saved answer was used instead.
    """

    def __init__(self, client: Client) -> None:
        vars(self).update(vars(client))
        self.covered = []
        self.answers: list[RecordedAnswer] = []
        self.missed: list[SourceError | DataError] = []

    async def read(
        self,
        url: str,
        params: Mapping[str, str],
        parse: Parse[Parsed],
        *,
        source: str,
        max_age: timedelta | None = None,
        one_station: bool = False,
    ) -> Parsed:
        """As `Client.read`; answers and failures are both recorded."""
        origins: list[Provenance] = []

        def parse_and_note(body: bytes, provenance: Provenance) -> Parsed:
            meaning = parse(body, provenance)
            origins.append(provenance)
            return meaning

        try:
            meaning = await super().read(
                url,
                params,
                parse_and_note,
                source=source,
                max_age=max_age,
                one_station=one_station,
            )
        except (SourceError, DataError) as trouble:
            self.missed.append(trouble)
            raise
        self.answers.append(RecordedAnswer(params, meaning, origins[-1]))
        return meaning

    @property
    def unreadable(self) -> int:
        """How many entries of all lists in the answers could not be read."""
        meanings = (answer.meaning for answer in self.answers)
        return sum(meaning.unreadable for meaning in meanings if isinstance(meaning, Counted))
