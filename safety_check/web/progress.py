"""Which services have answered, for a check that is being made and whose page waits."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager

from safety_check.sources.http.request_log import Step, listening

MOST = 12  # checks that are followed at once; a further one is made without being followed


class Progress:
    """The services that were asked, by the key of the form that asked."""

    def __init__(self) -> None:
        self._asked: OrderedDict[str, dict[str, list[int]]] = OrderedDict()
        self._lock = threading.Lock()

    @contextmanager
    def of(self, key: str) -> Iterator[None]:
        """Follow the check that is made in the `with` statement; without a key it is not followed.

        Parameters
        ----------
        key
            Of its form.
        """
        if not key or key in self._asked or len(self._asked) >= MOST:
            yield
            return
        asked: dict[str, list[int]] = {}
        with self._lock:
            self._asked[key] = asked

        def note(service: str, step: Step) -> None:
            with self._lock:
                counts = asked.setdefault(service, [0, 0])
                counts[step is not Step.ASKED] += 1

        try:
            with listening(note):
                yield
        finally:
            with self._lock:
                self._asked.pop(key, None)

    def said(self, key: str) -> dict[str, list[str]] | None:
        """Return the services that have answered or failed, and those that have not yet.

        None where no check of this key is being made.
        """
        with self._lock:
            asked = self._asked.get(key)
            if asked is None:
                return None
            done = [name for name, (open_ones, ended) in asked.items() if ended >= open_ones]
            return {"done": done, "open": [name for name in asked if name not in done]}
