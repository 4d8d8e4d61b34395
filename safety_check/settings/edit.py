"""Change the user's settings file: one edit at a time; comments stay."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from safety_check.settings import toml_file
from safety_check.settings.folders import find_folders
from safety_check.settings.private_files import only_change
from safety_check.settings.user_file import UserSettings


def edit_settings(edit: Callable[[Any], None]) -> UserSettings:
    """Apply an edit to the user's file; comments stay, and it is written only if it is valid.

    No other run changes the file meanwhile.

    Parameters
    ----------
    edit
        A function that takes the open TOML document and changes it. What it needs of the file
        must be looked up there: another run may have changed it since it was read before.
    """
    path = find_folders().settings_file
    with only_change(path.parent):
        document = toml_file.edit(path)
        edit(document)
        new = toml_file.validate(document.unwrap(), UserSettings, path.name)
        toml_file.save(path, document.as_string())
    return new


def replace_limit(
    document: Any,
    craft: str | None,
    quantity: str,
    tables: Sequence[Any],
    water: str | None = None,
) -> None:
    """Put tables in place of the user's limit for a craft, a water or both; none removes it."""
    others = [
        table
        for table in document.get("limit", [])
        if tuple(map(table.get, ("craft", "water", "quantity"))) != (craft, water, quantity)
    ]
    replace_limits(document, [*others, *tables])


def replace_limits(document: Any, tables: Sequence[Any]) -> None:
    """Put limit tables in place of those that an open settings document has."""
    import tomlkit

    limits = tomlkit.aot()
    for table in tables:
        limits.append(table)
    document.pop("limit", None)
    if tables:
        document["limit"] = limits


def parse_bare_value(text: str) -> str | float | bool:
    """Return a value as TOML would read it unquoted; otherwise the text itself.

    Examples
    --------
    >>> parse_bare_value("0.2"), parse_bare_value("true"), parse_bare_value("kt")
    (0.2, True, 'kt')
    """
    if text in ("true", "false"):
        return text == "true"
    try:
        return float(text)
    except ValueError:
        return text
