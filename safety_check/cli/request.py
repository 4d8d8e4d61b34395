"""Turn the options of a command into the request of a plan; ask for what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from enum import Enum
from typing import Any

from safety_check.cli import ask
from safety_check.cli.options import YesNo
from safety_check.settings.settings import Settings
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.use_cases.saved_plans import fill_from_saved


def request_from(options: Mapping[str, Any]) -> PlanRequest:
    """Return the request that a command's options make; it is empty where there is no option.

    Parameters
    ----------
    options
        The command's arguments. Those that no request has are ignored.
    """
    given = {**options, "water_temperature": options.get("water_temp")}
    known = [field.name for field in fields(PlanRequest) if field.name in given]
    return PlanRequest(**{name: _plain(given[name]) for name in known})


def complete_request(
    options: Mapping[str, Any], silent: bool, new_user: bool = False
) -> tuple[Settings, PlanRequest]:
    """Return the user's settings and the request of a command's options, completed.

    A saved plan gives what the options do not say. On a terminal, what the user has not
    declared and how far the trip goes are asked for.

    Parameters
    ----------
    options
        The command's arguments.
    silent
        True where a program reads the answer: then nothing is asked.
    new_user
        True in the first check of all: the reach is assumed then, which the report says, and
        the contact is asked for in the next.
    """
    settings = ask.complete_settings(silent)
    asked = fill_from_saved(request_from(options), settings)
    defer = silent or new_user
    settings = ask.complete_contact((asked.water,), settings, options.get("forecast"), defer)
    return settings, replace(asked, reach=ask.reach_or_answer(asked.reach, asked.route, defer))


def _plain(value: Any) -> Any:
    """Return an option's value: a choice as its word, yes or no as a boolean."""
    if isinstance(value, YesNo):
        return value is YesNo.yes
    return value.value if isinstance(value, Enum) else value
