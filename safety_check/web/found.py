"""Waters that were found and wait for the user's choice, in memory only."""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict

from safety_check.use_cases.find_waters import Candidates

MOST = 3  # a file of 8 MB takes about 100 MB once it is read


class FoundWaters:
    """The newest searches, each by a key that cannot be guessed."""

    def __init__(self) -> None:
        self._found: OrderedDict[str, Candidates] = OrderedDict()
        self._lock = threading.Lock()

    def keep(self, found: Candidates) -> str:
        """Store a search, and return its key."""
        key = secrets.token_urlsafe(9)
        with self._lock:
            self._found[key] = found
            while len(self._found) > MOST:
                self._found.popitem(last=False)
        return key

    def get(self, key: str) -> Candidates | None:
        """Return a search; None where it is no longer stored."""
        with self._lock:
            return self._found.get(key)
