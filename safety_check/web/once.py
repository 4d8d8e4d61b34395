"""Do the work of a form once, however often the form is sent."""

from __future__ import annotations

import asyncio
import hashlib
import json
from collections.abc import Awaitable, Callable, Mapping

from starlette.responses import Response

FIELD = "once"  # the hidden field with the key of a form
REMEMBERED = 60.0  # s, after the work is done: for a second tap, or after a lost answer


class Once:
    """The forms that are at work, and those that were done a moment ago.

    A form with the same key and the same fields gets the same answer, also while the first one
    is still at work. What was refused is not remembered.
    """

    def __init__(self) -> None:
        self._work: dict[str, asyncio.Future[Response]] = {}

    async def answer(
        self,
        path: str,
        form: Mapping[str, str],
        work: Callable[[], Awaitable[Response]],
        remembered: float = REMEMBERED,
    ) -> Response:
        """Return the answer to a form; a form without a key is done each time.

        Parameters
        ----------
        path, form
            Where the form was sent to, and its fields.
        work
            Does what it asks for.
        remembered
            How long a finished answer is given again. [s]
        """
        if not form.get(FIELD):
            return await work()
        name = _name(path, form)
        if name not in self._work:
            self._work[name] = asyncio.ensure_future(work())
            self._work[name].add_done_callback(lambda done: self._done(name, done, remembered))
        # One of two clients may leave; the other still waits for the same work.
        return await asyncio.shield(self._work[name])

    def _done(self, name: str, done: asyncio.Future[Response], remembered: float) -> None:
        failed = done.cancelled() or done.exception() is not None
        if failed or done.result().status_code >= 400:
            self._work.pop(name, None)
        else:
            done.get_loop().call_later(remembered, self._work.pop, name, None)


def _name(path: str, form: Mapping[str, str]) -> str:
    said = json.dumps([path, sorted(form.items())])
    return hashlib.sha256(said.encode()).hexdigest()
