"""Store what the paddler brings, and whom to call ashore."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from safety_check.settings.edit import edit_settings
from safety_check.settings.user_file import require_choice


def declare_paddler(said: Mapping[str, str | bool | None]) -> None:
    """Store what the paddler brings, by a key of [paddler]; None takes a declaration back.

    Raises
    ------
    PlanError
        For a word that is not one of the options; nothing is changed then.
    """
    for key, value in said.items():
        if isinstance(value, str):
            require_choice(key, value)
    _update("paddler", said)


def set_contact(said: Mapping[str, str | None]) -> None:
    """Store the shore contact and the user's own, by a key of [contact]; None removes one."""
    _update("contact", said)


def _update(table: str, said: Mapping[str, str | bool | None]) -> None:
    def edit(document: Any) -> None:
        place = document.setdefault(table, {})
        for key, value in said.items():
            if value is None:
                place.pop(key, None)
            else:
                place[key] = value

    edit_settings(edit)
