"""Read a zip file of CAP messages, of bounded size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text
from safety_check.sources.cap.message import Listing, Message
from safety_check.sources.cap.read import read_cap
from safety_check.sources.cap.tree import GREATEST_ANSWER, GREATEST_XML, REMEDY, refuse_size

if TYPE_CHECKING:
    from zipfile import ZipFile, ZipInfo

MOST_MEMBERS = 5_000  # files; Germany sends one for each warning
GREATEST_UNPACKED = 2 * GREATEST_ANSWER  # bytes, all messages together


def read_zip(body: bytes, source: str) -> Listing:
    """Return the messages of a zip file; one that can't be read is named, and the rest stays.

    An empty archive is the answer of a service that has no warning in force.

    Raises
    ------
    DataError
        Where it is no zip file, or larger than any list of warnings.
    """
    from io import BytesIO
    from zipfile import BadZipFile, ZipFile

    refuse_size(body, source, GREATEST_ANSWER)
    try:
        with ZipFile(BytesIO(body)) as archive:
            return _read_members(archive, source)
    except (BadZipFile, ValueError, OSError, NotImplementedError, OverflowError) as trouble:
        raise DataError(
            f"{source}: not a zip file as documented ({clean_text(str(trouble))}). {REMEDY}"
        ) from trouble


def _read_members(archive: ZipFile, source: str) -> Listing:
    members = [member for member in archive.infolist() if member.file_size or not member.is_dir()]
    if len(members) > MOST_MEMBERS:
        raise DataError(f"{source}: the zip file has {len(members)} files. {REMEDY}")
    messages: list[Message] = []
    unread: list[str] = []
    room = GREATEST_UNPACKED
    for member in members:
        content = _unpack(archive, member, min(room, GREATEST_XML))
        name = clean_text(member.filename, 100)
        if content is None:
            unread.append(f"{name}: it can't be unpacked, or is too large")
            continue
        room -= len(content)
        try:
            messages += read_cap(content, source).messages
        except DataError:
            unread.append(f"{name}: not a CAP message")
    return Listing(tuple(messages), unread=tuple(unread))


def _unpack(archive: ZipFile, member: ZipInfo, room: int) -> bytes | None:
    """Return the content of a file; None where it is damaged, locked or larger than the room.

    The size that the archive states is not trusted: no more than the room is unpacked.
    """
    import lzma
    import zlib
    from zipfile import BadZipFile

    if member.file_size > room:
        return None
    try:
        with archive.open(member) as file:
            content = file.read(room + 1)
    except (
        BadZipFile,
        EOFError,
        NotImplementedError,
        OSError,
        RuntimeError,
        ValueError,
        lzma.LZMAError,
        zlib.error,
    ):
        return None
    return content if len(content) <= room else None
