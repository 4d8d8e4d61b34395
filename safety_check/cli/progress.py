"""The bar that shows how much of a long command is done."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_bar(parts: str) -> Iterator[Callable[[int, int], None]]:
    """Show on a terminal how many of the parts are done, until the command has its result.

    Parameters
    ----------
    parts
        What is counted, as "past years". The function that is yielded takes the number of parts
        done, and of all.
    """
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task(parts)
        yield lambda done, number: progress.update(task, completed=done, total=number)
