"""Wait until the user is home; send the contact only what the user has agreed to."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

import typer

from safety_check.cli.ask import on_a_terminal

if TYPE_CHECKING:
    from safety_check.assess.float_plan import FloatPlan
    from safety_check.settings.settings import Settings
    from safety_check.use_cases.notify import Notify
    from safety_check.use_cases.watch import Clock

HOME = ("home", "back")


def agreed_contact(made: FloatPlan, own: Settings, address: str | None, yes: bool) -> Notify | None:
    """Return how to tell the contact; None where there is no address or the user says no.

    Parameters
    ----------
    made, own
        The float plan, and the user's settings.
    address
        Of --tell.
    yes
        True where the user agreed on the command line.

    Raises
    ------
    PlanError
        Where nobody can be asked and --yes is missing.
    """
    from safety_check.errors import PlanError
    from safety_check.model.local_clock import LocalClock
    from safety_check.report.homecoming import alarm_text
    from safety_check.use_cases.notify import build_notifier

    if address is None:
        return None
    notify = build_notifier([address])
    by = LocalClock.of(made.plan).time(made.alarm)
    typer.echo(
        f"If you have not typed home by {by}, the address of --tell gets this:\n"
        f"{alarm_text(made, own.preferences)}",
        err=True,
    )
    if yes:
        return notify
    if not on_a_terminal():
        raise PlanError("--tell: nothing is sent unless you agree. Add --yes to agree.")
    answer = str(typer.prompt("Send it in that case? yes or no", err=True)).strip().casefold()
    if answer != "yes":
        typer.echo("Nothing will be sent.", err=True)
    return notify if answer == "yes" else None


def listen() -> Callable[[], bool]:
    """Return what says whether the user has typed home; a thread reads standard input."""
    home = threading.Event()

    def read() -> None:
        for line in sys.stdin:
            if line.strip().casefold() in HOME:
                home.set()
                return

    threading.Thread(target=read, daemon=True).start()
    return home.is_set


def see_home(
    made: FloatPlan, own: Settings, clock: Clock, notify: Notify | None, contact: Notify | None
) -> bool:
    """Return whether the user came home; meanwhile remind the user and tell the contact."""
    from safety_check.cli.printed import print_marked
    from safety_check.model.clean_text import remove_invisible
    from safety_check.model.local_clock import LocalClock
    from safety_check.report.homecoming import HomecomingReporter
    from safety_check.report.watching import BELL
    from safety_check.use_cases.homecoming import Return, await_home

    def say(line: str) -> None:
        marked = BELL if line.startswith(BELL) else ""
        print_marked(marked + remove_invisible(line))

    def remark(line: str) -> None:
        typer.echo(line, err=True)

    local = LocalClock.of(made.plan)
    say(
        f"Back by {local.time(made.plan.end)}, alarm at {local.time(made.alarm)}. Type home and"
        " Enter once you are off the water."
    )
    reporter = HomecomingReporter(made, own.preferences, say, remark, notify, contact)
    return await_home(Return(made.plan.end, made.alarm), clock, listen(), reporter)
