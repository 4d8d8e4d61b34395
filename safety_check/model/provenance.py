"""Where an item of a briefing comes from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Provenance:
    """Where an item comes from, and how old it is.

    Parameters
    ----------
    source
        The service or file, as a reader knows it.
    model
        Which model, station or office of that service.
    url
        The address of the request, without secrets; empty for a file.
    issued
        When it was made, as the service states; None where it does not say.
    fetched
        When this program received it.
    recorded
        True when it was read from a file or a store, false when asked live.
    attribution
        The credit and licence that the service asks for.
    """

    source: str
    model: str
    url: str
    issued: datetime | None
    fetched: datetime
    recorded: bool
    attribution: str = ""

    @property
    def read_from_file(self) -> bool:
        """Whether it comes from a file of the user's, and not from a service, now or stored."""
        return self.recorded and not self.url
