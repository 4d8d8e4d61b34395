"""The few questions that a first check needs, asked on a terminal and stored."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from safety_check.errors import SafetyCheckError
from safety_check.settings.edit import edit_settings
from safety_check.settings.settings import Settings, load_settings

if TYPE_CHECKING:
    from safety_check.use_cases.plan_request import PlanRequest

WHO = ("name", "phone", "emergency_name", "emergency_phone", "vehicle", "colours")
WIDEST = 80  # columns
NO_ADDRESS = ("", "n", "no", "none", "-")


def complete_settings(quiet: bool) -> Settings:
    """Return the user's settings; on a terminal, ask first for what they lack.

    Parameters
    ----------
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    loaded = load_settings()
    if quiet or not on_a_terminal():
        return loaded
    from safety_check.cli.gear import ask_gear

    answers: dict[str, Any] = ask_gear(loaded)
    if answers:
        edit_settings(lambda document: _keep(document, answers))
    return load_settings()


def reach_or_answer(reach: str | None, route: str | None, quiet: bool) -> str | None:
    """Return the reach; on a terminal, ask for it where neither it nor a route is given.

    Parameters
    ----------
    reach, route
        As on the command line.
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    import typer

    from safety_check.use_cases.planning import DEFAULT_REACH

    if reach or route or quiet or not on_a_terminal():
        return reach
    question = f"How far from the launch will you go? (press Enter for {DEFAULT_REACH})"
    return str(typer.prompt(question, default="", show_default=False, err=True)).strip() or None


def complete_warnings(
    asked: PlanRequest, settings: Settings, forecast: Path | None, quiet: bool
) -> PlanRequest:
    """Return a request; where no service warns here, ask when the user read the warnings.

    Parameters
    ----------
    asked, settings, forecast
        What is asked for; no answer is needed where an alert service covers the launch.
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    from safety_check.use_cases.own_word import NONE, needs_own_word

    if quiet or not on_a_terminal() or not needs_own_word(asked, settings, forecast):
        return asked
    read_at = ask_when_read()
    return replace(asked, warnings=NONE, read_at=read_at) if read_at else asked


def complete_release(asked: PlanRequest, settings: Settings, quiet: bool) -> PlanRequest:
    """Return a request; below a dam, ask when its operator releases water.

    Parameters
    ----------
    asked, settings
        What is asked for, and whose waters are known.
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    if quiet or not on_a_terminal() or asked.release or not asked.water:
        return asked
    import typer

    from safety_check.waters import files

    folder = settings.folders.waters
    if not files.known(asked.water, folder) or not files.load(asked.water, folder).dam:
        return asked
    question = 'When does the dam upstream release water, as its operator says ("none", "14:00")'
    said = str(typer.prompt(f"{question}; Enter if nobody was asked", default="",
                            show_default=False, err=True)).strip()  # fmt: skip
    return replace(asked, release=said or None)


def ask_when_read() -> str:
    """Return when the user read that no official warning is in force; empty where they did not."""
    import typer

    typer.echo(
        "No service has official warnings for this place. Read those of your weather service.",
        err=True,
    )
    said = typer.prompt(
        'If none is in force, when did you read them ("20:10", or Enter to skip)',
        default="", show_default=False, err=True,
    )  # fmt: skip
    return str(said).strip()


def complete_water_temperature(asked: PlanRequest, settings: Settings, quiet: bool) -> PlanRequest:
    """Return a request with the water temperature, asked for where none is known.

    Parameters
    ----------
    asked, settings
        What is asked for; a temperature that was stored recently needs no answer.
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    from datetime import UTC, datetime

    from safety_check.use_cases.water_memory import needs_water_temperature

    known = quiet or not on_a_terminal()
    if known or not needs_water_temperature(asked, settings, datetime.now(UTC)):
        return asked
    import typer

    question = 'Water temperature, measured or the newest report ("58 F"; Enter if not known)'
    said = str(typer.prompt(question, default="", show_default=False, err=True)).strip()
    return replace(asked, water_temperature=said or None)


def complete_contact(
    waters: Iterable[str | None], settings: Settings, forecast: object, quiet: bool
) -> Settings:
    """Return the settings; on a terminal, ask once for the contact that a service asks for.

    An empty answer is stored too, so that nobody is asked twice.

    Parameters
    ----------
    waters, settings
        Whose launches are checked, and what the user has stored.
    forecast
        A saved forecast to use; then no service is asked.
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    from safety_check.use_cases.contact import services_without_contact

    if quiet or forecast or not on_a_terminal():
        return settings
    services = services_without_contact(waters, settings)
    if not services:
        return settings
    email = _ask_for_email(services)
    try:
        edit_settings(lambda document: document.setdefault("contact", {}).update(email=email))
    except SafetyCheckError as trouble:  # a contact is not worth a verdict
        sys.stderr.write(f"safety-check: your address was not stored. {trouble}\n")
        return settings
    return load_settings()


def _ask_for_email(services: tuple[str, ...]) -> str:
    """Return an e-mail address, or an empty text where the user gives none."""
    import typer

    names = list(dict.fromkeys(service.partition(",")[0] for service in services))
    who = " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
    typer.echo(
        f"{who} {'ask' if names[1:] else 'asks'} for a contact in each request. Your address is"
        " sent to no other service, and every check works without it.",
        err=True,
    )
    while True:
        said = typer.prompt(
            "Your e-mail address (Enter for none; asked only once)",
            default="", show_default=False, err=True,
        )  # fmt: skip
        email = str(said).strip()
        if email.casefold() in NO_ADDRESS:
            return ""
        if re.fullmatch(r"[^@\s]+@[^@\s]+", email):
            return email
        typer.echo(f"{email!r} is not an e-mail address.", err=True)


def complete_float_plan(settings: Settings, quiet: bool) -> Settings:
    """Return the settings; on a terminal, ask once in one line who goes and who waits ashore.

    Parameters
    ----------
    settings
        The user's; nothing is asked where they hold any of it.
    quiet
        True where a program reads the answer: then nothing is asked.
    """
    contact = settings.user.contact
    if quiet or not on_a_terminal() or any(getattr(contact, name) for name in WHO):
        return settings
    import typer

    tell(
        "For your float plans, once: your name; your phone; who waits ashore; their phone; your"
        " vehicle; colours of craft and clothing. Separate them with ; and leave out what you"
        " like."
    )
    said = str(typer.prompt("Who goes and who waits (Enter for none)", default="",
                            show_default=False, err=True))  # fmt: skip
    told = dict(zip(WHO, (part.strip() for part in said.split(";")), strict=False))
    known = {name: text for name, text in told.items() if text}
    if not known:
        return settings
    edit_settings(lambda document: document.setdefault("contact", {}).update(known))
    return load_settings()


def tell(text: str) -> None:
    """Print a remark to standard error, wrapped to the width of the terminal."""
    import shutil
    import textwrap

    width = min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns)
    print(textwrap.fill(text, width, break_on_hyphens=False), file=sys.stderr)  # noqa: T201


def on_a_terminal() -> bool:
    """Return whether a person can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _keep(document: Any, answers: dict[str, Any]) -> None:
    kind = answers.pop("craft", None)
    if kind is not None:
        document.setdefault("craft", {})["my craft"] = {"class": kind}
        document["default_craft"] = "my craft"
    if "light" in answers:
        answers["light"] = answers["light"] == "yes"
    document.setdefault("paddler", {}).update(answers)
