"""Read a TOML file strictly, and edit one without losing its comments."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from safety_check.errors import ConfigError
from safety_check.settings.private_files import write_file

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

    Document = TOMLDocument


class Strict(BaseModel):
    """A table in which every key is known and every type is right."""

    model_config = ConfigDict(
        extra="forbid", strict=True, frozen=True, populate_by_name=True, defer_build=True
    )


Model = TypeVar("Model", bound=Strict)


def read(path: Path, model: type[Model]) -> Model:
    """Return a TOML file as a checked model.

    Raises
    ------
    ConfigError
        Naming the file, the table, the key, the value and the remedy.
    """
    return validate(load(path), model, path.name)


def load(path: Path) -> dict[str, Any]:
    """Return a TOML file as plain tables; an absent file is an empty one."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as trouble:
        raise ConfigError(
            f"{path.name} cannot be read: {trouble}. Fix the file or move it elsewhere."
        ) from trouble
    except RecursionError as trouble:
        raise ConfigError(
            f"{path.name} is not TOML: its brackets are nested too deeply."
            " Fix them, or move the file aside to start over."
        ) from trouble
    except tomllib.TOMLDecodeError as trouble:
        raise ConfigError(
            f"{path.name} is not TOML: {trouble}."
            " Fix that line, or move the file aside to start over."
        ) from trouble


def validate(tables: Mapping[str, Any], model: type[Model], name: str) -> Model:
    """Return tables as a checked model; `name` is the file's for the error."""
    try:
        return model.model_validate(tables)
    except ValidationError as trouble:
        raise ConfigError(explain(trouble, name)) from trouble


def explain(trouble: ValidationError, name: str) -> str:
    """Return one paragraph on the first error."""
    errors = trouble.errors(include_url=False)
    first = errors[0]
    where = _where(first["loc"])
    more = f" ({len(errors) - 1} more after it.)" if len(errors) > 1 else ""
    if first["type"] == "extra_forbidden":
        return (
            f"{name}, {where}: this key is not known, so it would change nothing."
            f" Correct its spelling or delete it.{more}"
        )
    if first["type"] == "missing":
        return f"{name}, {where}: this key is missing. Add it.{more}"
    message = first["msg"].removeprefix("Value error, ")
    return f"{name}, {where} = {first['input']!r}: {message.rstrip('.')}. Correct the value.{more}"


def _where(location: Sequence[int | str]) -> str:
    """Return "table paddler, key light" or "limit 3, key no_go" for a place in a file."""
    *tables, key = [f"{part + 1}" if isinstance(part, int) else part for part in location] or ["?"]
    return f"table {' '.join(tables)}, key {key}" if tables else f"key {key}"


def edit(path: Path) -> Document:
    """Return a TOML file for editing; comments and order stay."""
    import tomlkit  # only the commands that write need it

    load(path)
    return tomlkit.parse(path.read_text(encoding="utf-8")) if path.exists() else tomlkit.document()


def save(path: Path, text: str) -> bool:
    """Write a file completely or not at all; return whether it replaced one."""
    try:
        return write_file(path, lambda file: file.write(text.encode()))
    except (OSError, UnicodeError) as trouble:
        raise ConfigError(
            f"{path.name} cannot be written: {trouble}. Nothing was changed;"
            " free some space or correct the folder's permissions."
        ) from trouble
