"""The origin that every entry of the shipped config states."""

from __future__ import annotations

from datetime import date
from typing import Literal

from safety_check.settings.toml_file import Strict

Basis = Literal["published", "common_practice", "judgement"]


class Sourced(Strict):
    """An entry of the shipped config: basis, source, and the dates that belong to it.

    Parameters
    ----------
    basis
        Whether the source states the number itself, the practice is common, or it is our judgement.
    source
        Where the number comes from.
    since
        The first verdict given with this value.
    checked
        When the source was last read and still said so.
    """

    basis: Basis
    source: str
    since: date
    checked: date
