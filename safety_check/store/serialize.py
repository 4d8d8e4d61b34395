"""Turn the shared types into bytes and back exactly, NaN and every bit included."""

from __future__ import annotations

import dataclasses
import json
import math
import types
import zlib
from collections.abc import Callable, Mapping
from datetime import date, datetime
from enum import Enum
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

import numpy as np
from pydantic import BaseModel

from safety_check.errors import DataError

VERSION = 1
HEAD = 8  # bytes that give the length of the JSON; the arrays follow it
UNREADABLE = "this stored check cannot be read"
DAMAGED = (zlib.error, ValueError, LookupError, TypeError, ArithmeticError, AttributeError)

T = TypeVar("T")


def serialize(value: object) -> bytes:
    """Return a tree of dataclasses as bytes.

    Notes
    -----
    JSON with the version, then the arrays as they are in memory, equal ones once, all deflated.
    Types are not written: the reader names the type. Deflate carries a checksum, so damage shows.
    """
    arrays: dict[bytes, int] = {}
    text = json.dumps({"version": VERSION, "value": _plain(value, arrays)}, allow_nan=False)
    head = text.encode()
    return zlib.compress(len(head).to_bytes(HEAD, "big") + head + b"".join(arrays))


def deserialize(kind: type[T], body: bytes) -> T:
    """Return the dataclass of a kind from the bytes that `serialize` made.

    Keys that the kind no longer has are ignored; a new one takes its default.

    Raises
    ------
    DataError
        Where the bytes are damaged, of a newer version, or lack what has no default.
    """
    try:
        whole = zlib.decompress(body)
        end = HEAD + int.from_bytes(whole[:HEAD], "big")
        said = json.loads(whole[HEAD:end])
        if said["version"] > VERSION:
            raise DataError(f"{UNREADABLE}: a newer safety-check wrote it. Update this one.")
        read: T = _read(kind, said["value"], memoryview(whole)[end:])
        return read
    except (
        zlib.error,
        ValueError,
        LookupError,
        TypeError,
        ArithmeticError,
        AttributeError,
    ) as trouble:
        raise DataError(
            f"{UNREADABLE} ({type(trouble).__name__}: {trouble}). It is damaged, or its version is"
            " too old; the other checks are not affected."
        ) from trouble


# -- out ---------------------------------------------------------------------------------------


def _plain(value: object, arrays: dict[bytes, int]) -> Any:
    if isinstance(value, np.ndarray):
        return _kept_apart(value, arrays)
    if dataclasses.is_dataclass(value):
        names = [field.name for field in dataclasses.fields(value)]
        return {name: _plain(getattr(value, name), arrays) for name in names}
    if isinstance(value, Mapping):
        return {_key(key): _plain(item, arrays) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(item, arrays) for item in value]
    return _scalar(value)


def _scalar(value: object) -> Any:
    if isinstance(value, BaseModel):
        return value.model_dump_json(by_alias=True)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value


def _key(key: object) -> str:
    return str(key.value if isinstance(key, Enum) else key)


def _kept_apart(array: np.ndarray[Any, Any], arrays: dict[bytes, int]) -> dict[str, Any]:
    body = np.ascontiguousarray(array).tobytes()
    at = arrays.setdefault(body, sum(map(len, arrays)))
    return {"at": at, "bytes": len(body), "type": array.dtype.str, "shape": list(array.shape)}


# -- in ----------------------------------------------------------------------------------------


def _read(kind: Any, said: Any, arrays: memoryview) -> Any:
    """Return a value of a kind from its plain form."""
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return None if said is None else _read(_other_than_none(kind), said, arrays)
    if origin is np.ndarray:
        return _array(said, arrays)
    if origin is tuple:
        return _tuple(get_args(kind), said, arrays)
    if origin is not None:
        key, value = get_args(kind)
        return {_from_key(key, name): _read(value, item, arrays) for name, item in said.items()}
    if dataclasses.is_dataclass(kind):
        return _fields(kind, said, arrays)
    return _leaf(kind)(said)


def _fields(kind: Any, said: Mapping[str, Any], arrays: memoryview) -> Any:
    hints = _hints(kind)
    return kind(
        **{name: _read(hints[name], item, arrays) for name, item in said.items() if name in hints}
    )


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _leaf(kind: Any) -> Callable[[Any], Any]:
    made: Callable[[Any], Any] = kind
    if issubclass(kind, (datetime, date)):
        made = kind.fromisoformat
    if issubclass(kind, BaseModel):
        made = kind.model_validate_json
    return made


def _other_than_none(kind: Any) -> Any:
    return next(argument for argument in get_args(kind) if argument is not types.NoneType)


def _tuple(kinds: tuple[Any, ...], said: list[Any], arrays: memoryview) -> tuple[Any, ...]:
    each_kind = [kinds[0]] * len(said) if kinds[-1] is Ellipsis else kinds
    return tuple(_read(kind, item, arrays) for kind, item in zip(each_kind, said, strict=True))


def _from_key(kind: Any, name: str) -> Any:
    return kind(int(name)) if issubclass(kind, Enum) else kind(name)


def _array(said: Mapping[str, Any], arrays: memoryview) -> np.ndarray[Any, Any]:
    kind = np.dtype(said["type"])
    if kind.hasobject:
        raise ValueError("an array of objects")
    body = arrays[said["at"] : said["at"] + said["bytes"]]
    return np.frombuffer(body, kind).reshape(said["shape"]).copy()
