"""Errors that this program raises on purpose.

SafetyCheckError
├── PlanError      what was asked cannot be checked: unknown water, end before start, bad unit
│   └── LaunchError    a launch that is not at the shore of its water
├── ConfigError    a settings, limits, craft or water file that cannot be used as it is
│   └── SeveralWatersError    a file with more waters than the one that is wanted
├── DataError      an answer or a file that cannot be interpreted: not JSON, wrong shape, wrong unit
└── SourceError    a service that gave no answer: refused, timed out, failed

Each message is one paragraph of four parts: file or service, field and value,
why it is refused, what to do. The field stands apart, so that a form can show the rest at it.
"""

from __future__ import annotations


class SafetyCheckError(Exception):
    """Any expected error that a person can resolve; the command line prints all of it.

    Parameters
    ----------
    fault
        What is wrong and what to do, in words that hold on the command line and in a form.
    field
        The value that is wrong, as the command line or the file names it: "--reach",
        "settings.toml, no_go". A form finds its own field by the last word. Empty where no one
        value is wrong.
    remedy
        What to do on the command line; a form leaves it out.

    Examples
    --------
    >>> str(SafetyCheckError("'5' has no unit.", field="--reach", remedy="See --help."))
    "--reach: '5' has no unit. See --help."
    """

    exit_status = 1

    def __init__(self, fault: str, *, field: str = "", remedy: str = "") -> None:
        said = f"{field}: {fault}" if field else fault
        super().__init__(f"{said} {remedy}".rstrip())
        self.fault = fault
        self.field = field
        self.remedy = remedy


class PlanError(SafetyCheckError):
    """A plan or a value on the command line that cannot be checked."""

    exit_status = 2


class LaunchError(PlanError):
    """A launch that is not at the shore of its water.

    Parameters
    ----------
    message
        The whole sentence for the reader.
    launch
        Its name.
    choices
        The nearest places at the shore: in words, and as LAT,LON.
    map
        Lines of a small map with the numbers of the choices.
    remedy
        What to do on the command line.
    """

    def __init__(
        self,
        message: str,
        *,
        launch: str,
        choices: tuple[tuple[str, str], ...],
        map: tuple[str, ...] = (),
        remedy: str = "",
    ) -> None:
        super().__init__(message, remedy=remedy)
        self.field = "launch"  # the message begins with its name
        self.launch = launch
        self.choices = choices
        self.map = map


class ConfigError(SafetyCheckError):
    """A settings, limits, craft or water file that cannot be used as it is."""


class SeveralWatersError(ConfigError):
    """A file with more waters than the one that is wanted.

    Parameters
    ----------
    message
        The whole sentence for the reader.
    names
        Of the waters in the file, each different.
    """

    def __init__(self, message: str, names: tuple[str, ...]) -> None:
        super().__init__(message)
        self.names = names


class DataError(SafetyCheckError):
    """An answer or a file that cannot be interpreted."""


class SourceError(SafetyCheckError):
    """A service that gave no answer.

    Parameters
    ----------
    message
        The whole sentence for the reader.
    retryable
        Whether the same request may succeed soon.
    retry_after
        How long the service asked to wait. [s]
    """

    def __init__(
        self, message: str, *, retryable: bool = False, retry_after: float | None = None
    ) -> None:
        super().__init__(message)
        self.retryable = retryable
        self.retry_after = retry_after


def describe_os_error(trouble: OSError) -> str:
    """Return the paragraph for a file, folder or device that the system refused.

    Examples
    --------
    >>> describe_os_error(PermissionError(13, "Permission denied", "orvel.html"))
    'orvel.html: Permission denied. Correct its permissions or free some space, then try again.'
    """
    name = trouble.filename if isinstance(trouble.filename, str) else "the system"
    return (
        f"{name}: {trouble.strerror or trouble}. Correct its permissions or free some space, then"
        " try again."
    )
