"""Error messages for failed service requests."""

from __future__ import annotations

from safety_check.errors import DataError, SourceError
from safety_check.model.clean_text import clean_text

AGAIN = "Try again later, or use another source."
SIGNAL = "Check the signal and try again."
OURS = "This is a fault of this program or of the address in the settings; please report it."


class StatusError(SourceError):
    """A service that answered with an error status.

    Parameters
    ----------
    message, retryable, retry_after
        As in `SourceError`.
    status
        The HTTP status.
    body
        The beginning of the body.
    """

    def __init__(
        self,
        message: str,
        *,
        status: int,
        body: bytes = b"",
        retryable: bool = False,
        retry_after: float | None = None,
    ) -> None:
        super().__init__(message, retryable=retryable, retry_after=retry_after)
        self.status = status
        self.body = body

    def says(self, words: bytes, status: int) -> bool:
        """Return whether words are in the body, with the one status that the service documents."""
        return self.status == status and words in self.body


class NothingToReport(DataError):
    """A working service says that one station, or one place, has no data.

    Only the answer of a single station counts as that, or documented words in the documented
    status. A list that is missing shows nothing about its entries.
    """


def error_message(title: str, why: str, remedy: str) -> str:
    """Return the whole paragraph: which service, why, what is missing, what to do."""
    return f"{title} gave no answer: {why}. Its data is missing from this check. {remedy}"


def no_answer(title: str, why: str, remedy: str, *, retryable: bool) -> SourceError:
    """Return the error for a service that could not be reached or understood."""
    return SourceError(error_message(title, why, remedy), retryable=retryable)


# Status: why, what to do, whether another try soon may help. Retries: client.py.
_STATUS = {
    204: ("it has no data for this request", AGAIN, False),
    400: ("it refuses the request", OURS, False),
    401: ("it requires an API key", "Choose another source, or another address for it.", False),
    403: (
        "it refuses this program",
        "Give a contact: set email under [contact] in the settings; some services require one.",
        False,
    ),
    404: (
        "it has nothing at this address",
        "The place may be outside the area that it covers; use another source.",
        False,
    ),
    408: ("the request timed out on its side", SIGNAL, True),
    410: ("this address was removed", OURS, False),
    429: ("it received too many requests", "Wait a minute or more, then try again.", True),
    500: ("it had an internal error", AGAIN, True),
    502: ("its gateway got an invalid response", AGAIN, True),
    503: ("it is overloaded or under maintenance", AGAIN, True),
    504: ("its gateway timed out", AGAIN, True),
}


def status_error(title: str, status: int, body: bytes, retry_after: float | None) -> StatusError:
    """Return the error for an error status."""
    unlisted = ("it answers with a status that is not known here", AGAIN, status >= 500)
    why, remedy, retryable = _STATUS.get(status, unlisted)
    words = _own_words(body)
    quoted = f" and says {words!r}" if words else ""
    return StatusError(
        error_message(title, f"{why} (status {status}){quoted}", remedy),
        status=status,
        body=body,
        retryable=retryable,
        retry_after=retry_after,
    )


def _own_words(body: bytes) -> str:
    """Return the reason in the JSON of an error, to be shown and never interpreted."""
    from pydantic_core import from_json

    try:
        document = from_json(body)
    except ValueError:
        return ""
    words = (
        next(
            (document[key] for key in ("reason", "detail", "title", "message") if key in document),
            "",
        )
        if isinstance(document, dict)
        else ""
    )
    return clean_text(words, limit=200) if isinstance(words, str) else ""
