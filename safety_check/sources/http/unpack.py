"""Unpack the body of an answer, up to a size limit."""

from __future__ import annotations

import zlib

ACCEPTED = "gzip"  # what is requested; deflate is understood too
_WINDOW = {"gzip": 31, "x-gzip": 31, "deflate": 15}  # zlib: 15 bits, 16 more for gzip's header


def packed(encoding: str) -> bool:
    """Return whether a Content-Encoding means that the body is packed.

    Examples
    --------
    >>> packed("gzip"), packed("identity"), packed("")
    (True, False, False)
    """
    return encoding not in ("", "identity")


def unpack(raw: bytes, encoding: str, limit: int, *, whole: bool = True) -> bytes:
    """Return a body unpacked.

    Parameters
    ----------
    raw
        The body as received.
    encoding
        Its Content-Encoding.
    limit
        The greatest number of bytes that are unpacked; a longer body ends there.
    whole
        False for the beginning of a body.

    Raises
    ------
    ValueError
        Where it is packed in another way, more than once, or not completely. Of several
        members only the first would count, so they are refused.

    Examples
    --------
    >>> import gzip
    >>> unpack(gzip.compress(bytes(1_000_000)), "gzip", 10) == bytes(10)
    True
    """
    if encoding not in _WINDOW:
        raise ValueError(f"unknown content encoding {encoding[:40]!r}")
    stream = zlib.decompressobj(_WINDOW[encoding])
    try:
        body = stream.decompress(raw, limit)
    except zlib.error as trouble:
        raise ValueError("not compressed as its headers say") from trouble
    complete = stream.eof and not stream.unused_data
    if whole and len(body) < limit and not complete:
        raise ValueError("the compressed body is not complete")
    return body
