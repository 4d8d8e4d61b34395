"""Errors that this program raises on purpose.

SafetyCheckError
├── PlanError      what was asked can't be checked: unknown water, end before start, bad unit
├── ConfigError    a settings, limits, craft or water file that can't be used as it stands
├── DataError      an answer or a file that means nothing: not JSON, wrong shape, wrong unit
└── SourceError    a service that gave no answer: refused, timed out, said no

Each message is one paragraph of four parts: file or service, field and value,
why it is refused, what to do.
"""

from __future__ import annotations


class SafetyCheckError(Exception):
    """Any trouble that a person can mend; the command line shows it as it stands."""

    exit_status = 1


class PlanError(SafetyCheckError):
    """A plan or a value on the command line that can't be checked."""

    exit_status = 2


class ConfigError(SafetyCheckError):
    """A settings, limits, craft or water file that can't be used as it stands."""


class DataError(SafetyCheckError):
    """An answer or a file that means nothing."""


class SourceError(SafetyCheckError):
    """A service that gave no answer.

    Parameters
    ----------
    message
        The whole sentence for the reader.
    retryable
        Whether asking the same again soon may help.
    retry_after
        How long the service itself said to wait. [s]
    """

    def __init__(
        self, message: str, *, retryable: bool = False, retry_after: float | None = None
    ) -> None:
        super().__init__(message)
        self.retryable = retryable
        self.retry_after = retry_after
