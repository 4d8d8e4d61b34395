"""How it reads when a service gives no answer."""

from __future__ import annotations

from safety_check.errors import SourceError
from safety_check.model.clean_text import clean_text

AGAIN = "Try again in a while, or ask another source."
SIGNAL = "Check the signal and try again."
OURS = "This is a fault of this program or of the address in the settings; please report it."


class StatusError(SourceError):
    """A service that answered with a status that is no answer.

    Parameters
    ----------
    message, retryable, retry_after
        As in `SourceError`.
    status
        The HTTP status.
    body
        The beginning of what came with it.
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


def error_message(title: str, why: str, mend: str) -> str:
    """Return the whole paragraph: who, why, what follows, what to do."""
    return f"{title} gave no answer: {why}. What it would have told is unknown. {mend}"


def no_answer(title: str, why: str, mend: str, *, retryable: bool) -> SourceError:
    """Return the error for a service that could not be reached or understood."""
    return SourceError(error_message(title, why, mend), retryable=retryable)


# Status: why, what to do, whether asking again soon may help. Pace of the retries: client.py.
_STATUS = {
    400: ("it refuses the question", OURS, False),
    401: ("it wants a key", "Choose another source, or another address for it.", False),
    403: (
        "it refuses this program",
        "Give a contact: set email under [contact] in the settings; services ask for one.",
        False,
    ),
    404: (
        "it has nothing at this address",
        "The place may lie outside what it covers; ask another source.",
        False,
    ),
    408: ("it lost patience with the connection", SIGNAL, True),
    410: ("what was asked has been taken away", OURS, False),
    429: ("it was asked too often", "Wait a minute or more, then try again.", True),
    500: ("it failed within", AGAIN, True),
    502: ("its gateway found nobody behind it", AGAIN, True),
    503: ("it is overloaded or being mended", AGAIN, True),
    504: ("its gateway waited in vain", AGAIN, True),
}


def status_error(title: str, status: int, body: bytes, retry_after: float | None) -> StatusError:
    """Return the error for a status that is no answer."""
    unlisted = ("it answers in a way that is not understood", AGAIN, status >= 500)
    why, mend, retryable = _STATUS.get(status, unlisted)
    words = _own_words(body)
    told = f" and says {words!r}" if words else ""
    return StatusError(
        error_message(title, f"{why} (status {status}){told}", mend),
        status=status,
        body=body,
        retryable=retryable,
        retry_after=retry_after,
    )


def _own_words(body: bytes) -> str:
    """Return the reason that came in JSON with an error, to be shown and never interpreted."""
    from pydantic_core import from_json

    try:
        told = from_json(body)
    except ValueError:
        return ""
    words = (
        next((told[key] for key in ("reason", "detail", "title", "message") if key in told), "")
        if isinstance(told, dict)
        else ""
    )
    return clean_text(words, limit=200) if isinstance(words, str) else ""
