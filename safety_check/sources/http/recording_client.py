"""A client that remembers what it heard for one source, and what went wrong on the way.

An adapter may go on when a part of its answer is missing: another station has spoken, an
older service has stood in. What was missed is not lost here, for a station that is silent
may be the one where it blows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from safety_check.errors import DataError, SourceError
from safety_check.model.weather import Provenance
from safety_check.sources.http.client import Client, Parse, Parsed


@dataclass(frozen=True)
class RecordedAnswer:
    """One answer.

    Parameters
    ----------
    params
        The question.
    meaning
        What the answer was understood to mean.
    provenance
        Where it comes from.
    """

    params: Mapping[str, str]
    meaning: Any
    provenance: Provenance


class RecordingClient(Client):
    """The same connections, saved answers and deadline, with an ear of its own.

    Parameters
    ----------
    client
        Whose questions these are.

    Attributes
    ----------
    heard
        What was answered.
    missed
        What was not, and why.
    covered
        Troubles for which a saved answer stands in.
    """

    def __init__(self, client: Client) -> None:
        vars(self).update(vars(client))
        self.covered = []
        self.heard: list[RecordedAnswer] = []
        self.missed: list[SourceError | DataError] = []

    async def read(
        self,
        url: str,
        params: Mapping[str, str],
        parse: Parse[Parsed],
        *,
        source: str,
        max_age: timedelta | None = None,
    ) -> Parsed:
        """As `Client.read`; both outcomes are remembered."""
        origins: list[Provenance] = []

        def noted(body: bytes, provenance: Provenance) -> Parsed:
            meaning = parse(body, provenance)
            origins.append(provenance)
            return meaning

        try:
            meaning = await super().read(url, params, noted, source=source, max_age=max_age)
        except (SourceError, DataError) as trouble:
            self.missed.append(trouble)
            raise
        self.heard.append(RecordedAnswer(params, meaning, origins[-1]))
        return meaning

    def origins(self, source: str) -> tuple[Provenance, ...]:
        """Return where the answers of a service come from, by its title, each once."""
        found = (each.provenance for each in self.heard if each.provenance.source == source)
        return tuple(dict.fromkeys(found))
