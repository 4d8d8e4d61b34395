"""Complete the user's own names in a shell; a file that can't be read completes nothing."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import wraps

import typer

MOST_CHECKS = 200  # of the history, whose plan names are offered


def _offered(names: Callable[..., Iterable[str]]) -> Callable[..., list[str]]:
    """Return a completion that never fails, with names as the shell needs them."""

    @wraps(names)
    def complete(**context: typer.Context) -> list[str]:
        with suppress(Exception):  # Tab must never print an error over the command line
            return [_for_shell(name) for name in dict.fromkeys(names(**context))]
        return []

    return complete


def _for_shell(name: str) -> str:
    """Return a name as bash takes it: spaces and signs escaped, unless a quote is open."""
    words = os.environ.get("COMP_WORDS")  # set by bash only
    if words is None or words.count('"') % 2 or words.count("'") % 2:
        return name
    return re.sub(r"([^\w@%+=:,./-])", r"\\\1", name)


@_offered
def waters() -> Iterable[str]:
    """Return the names of the user's waters."""
    from safety_check.settings.folders import find_folders
    from safety_check.waters import files

    return files.names(find_folders().waters)


@_offered
def waters_and_plans() -> Iterable[str]:
    """Return the names of the user's waters, then those of the saved plans."""
    from safety_check.settings.folders import find_folders
    from safety_check.settings.settings import load_settings
    from safety_check.waters import files

    return (*files.names(find_folders().waters), *load_settings().user.plan)


@_offered
def saved_plans() -> Iterable[str]:
    """Return the names of the saved plans."""
    from safety_check.settings.settings import load_settings

    return load_settings().user.plan


@_offered
def launches(context: typer.Context) -> Iterable[str]:
    """Return the launches of the water on the command line; of all waters where none is named."""
    from safety_check.settings.folders import find_folders
    from safety_check.waters import files

    folder = find_folders().waters
    named = context.params.get("water")
    chosen = [named] if named and files.known(named, folder) else files.names(folder)
    return (launch.name for name in chosen for launch in files.load(name, folder).launches)


@_offered
def crafts() -> Iterable[str]:
    """Return the names of the user's craft, then the craft classes."""
    from safety_check.settings.crafts import load_craft_classes
    from safety_check.settings.settings import load_settings

    return (*load_settings().user.craft, *load_craft_classes())


@_offered
def plan_names() -> Iterable[str]:
    """Return the names under which plans were checked, newest first."""
    from safety_check.settings.folders import find_folders
    from safety_check.store.store import Store

    with Store.open(find_folders().data) as store:
        return [check.name for check in store.checks(MOST_CHECKS) if check.name]
