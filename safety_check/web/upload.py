"""Read a file that a form sends; it is bounded, and its name is never a path."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.datastructures import UploadFile
from starlette.requests import Request

from safety_check.errors import PlanError
from safety_check.web.answers import MOST_FIELDS

GREATEST_UPLOAD = 8_000_000  # bytes; the outline of a great lake in full detail has about two


@dataclass(frozen=True)
class Upload:
    """A file as it was sent.

    Parameters
    ----------
    name
        As the browser says it; empty where no file was chosen.
    content
        All of it, or a little more than `GREATEST_UPLOAD`.
    """

    name: str
    content: bytes

    def checked(self, field: str) -> bytes:
        """Return the content; PlanError where there is none, or too much."""
        if not self.name and not self.content:
            raise PlanError("Choose a file.", field=field)
        if len(self.content) > GREATEST_UPLOAD:
            raise PlanError(
                f"The file has more than {GREATEST_UPLOAD // 1_000_000} MB, more than the shore of"
                " one water needs. Export only the water that you need.",
                field=field,
            )
        return self.content


async def read_upload(request: Request, field: str) -> Upload:
    """Return the file of a form; the other fields can still be read afterwards."""
    async with request.form(max_files=1, max_fields=MOST_FIELDS) as form:
        sent = form.get(field)
        if not isinstance(sent, UploadFile):
            return Upload("", b"")
        return Upload(sent.filename or "", await sent.read(GREATEST_UPLOAD + 1))
