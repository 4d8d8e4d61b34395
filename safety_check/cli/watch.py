"""Re-check a plan until its launch."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from safety_check.cli.options import AsJson, ReadAt, Verbose, WarningsOption
from safety_check.cli.recheck import Last, LastOf, Named

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from safety_check.model.plan import Plan
    from safety_check.report.watching import WatchReporter
    from safety_check.settings.settings import Settings
    from safety_check.store.rows import StoredCheck
    from safety_check.use_cases.notify import Notify
    from safety_check.use_cases.watch import Clock

Every = Annotated[
    str | None,
    typer.Option("--every", help='"30 min", the default without --at.', show_default=False),
]
At = Annotated[
    list[str] | None,
    typer.Option("--at", help='"21:00"; may be repeated.', show_default=False),
]
NotifyTo = Annotated[
    list[str] | None,
    typer.Option(
        "--notify", help="Also send changes to this address: ntfy://…", show_default=False
    ),
]
File = Annotated[
    Path | None,
    typer.Option("--forecast", help="A saved forecast, read again each time.", show_default=False),
]
UntilHome = Annotated[
    bool,
    typer.Option(
        "--until-home", help="Go on until you type home; a reminder at the time of return."
    ),
]
Tell = Annotated[
    str | None,
    typer.Option(
        "--tell",
        help="With --until-home: at the alarm, after your yes, tell your contact: ntfy://…",
        show_default=False,
    ),
]
Yes = Annotated[
    bool, typer.Option("--yes", help="Agree to --tell without being asked; for scripts.")
]


def watch(
    water: LastOf = None,
    last: Last = False,
    name: Named = None,
    every: Every = None,
    at: At = None,
    notify: NotifyTo = None,
    forecast: File = None,
    warnings: WarningsOption = None,
    read_at: ReadAt = None,
    until_home: UntilHome = False,
    tell: Tell = None,
    yes: Yes = False,
    verbose: Verbose = False,
    as_json: AsJson = False,
) -> None:
    """Re-check the last plan until its launch, and report when the verdict changes.

    It rings the terminal's bell, and sends a notice to --notify or the setting notify.to. It
    ends at the launch. With --json each check is one line.

    With --until-home it goes on until you type home, reminds you at the time of return, and at
    the alarm tells the contact that you chose with --tell, if you agreed to it. It must keep
    running, on a computer with a connection: it is no substitute for somebody who waits.

    Exit status: that of the last check; 1 if none was possible. With --until-home 0 once you are
    home, 1 if you have not said so.

    Example: safety-check watch --every "30 min"
    """
    from safety_check.cli.recheck import require_one
    from safety_check.report.exit_status import EXIT_STATUS
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.recheck import WatchedPlan, last_check
    from safety_check.use_cases.watch import system_clock, watch_plan

    require_one(water, last)
    loaded = load_settings()
    saved = last_check(water, name, loaded)
    loaded = loaded.at(saved.kept.plan.launch)
    plan, clock, notifier = saved.kept.plan, system_clock(), _notify(notify, loaded)
    _require_agreeing(until_home, tell, yes, as_json)
    home = _homecoming(saved.kept, loaded, clock, notifier, (tell, yes)) if until_home else None
    done = None
    if home is None or plan.start > clock.now():
        times = _times(every, at, plan, clock)
        watched = WatchedPlan(saved.line.id, loaded, forecast, warnings and warnings.value, read_at)
        with _teller(plan, loaded, notifier, as_json) as teller:
            done = watch_plan(times, watched.again, clock, teller)
    if home is not None:
        raise typer.Exit(0 if home() else 1)
    raise typer.Exit(1 if done is None else EXIT_STATUS[done.verdict.severity])


def _require_agreeing(until_home: bool, tell: str | None, yes: bool, as_json: bool) -> None:
    from safety_check.errors import PlanError

    if (tell or yes) and not until_home:
        raise PlanError("--tell and --yes need --until-home. Add it, or leave them out.")
    if until_home and as_json:
        raise PlanError("--until-home talks to a person, and --json to a program. Give only one.")


def _homecoming(
    checked: StoredCheck,
    loaded: Settings,
    clock: Clock,
    notify: Notify | None,
    told: tuple[str | None, bool],
) -> Callable[[], bool]:
    """Return what waits for the user to come home; what it may send is agreed on before."""
    from safety_check.assess.float_plan import build_float_plan
    from safety_check.cli.homecoming import agreed_contact, see_home

    made = build_float_plan(checked.plan, loaded.user.contact, checked.verdict)
    contact = agreed_contact(made, loaded, *told)
    return lambda: see_home(made, loaded, clock, notify, contact)


def _times(
    every: str | None, at: list[str] | None, plan: Plan, clock: Clock
) -> tuple[datetime, ...]:
    from datetime import timedelta

    from safety_check.errors import PlanError
    from safety_check.units import parse
    from safety_check.use_cases.times_in_words import parse_time
    from safety_check.use_cases.watch import USUAL_PERIOD, chosen_times, regular_times

    now = clock.now()
    if plan.start <= now:
        raise PlanError(
            f"the last plan, on {plan.water.name}, was due to launch before now, so there is"
            " nothing to watch. Make a new plan with safety-check check, or use safety-check"
            " recheck."
        )
    if every is not None and at:
        raise PlanError("--every and --at contradict each other. Give only one.")
    if at:
        moments = [parse_time(text, plan.water.time_zone, now, "--at") for text in at]
        return chosen_times(moments, now, plan.start)
    if every is None:
        return regular_times(USUAL_PERIOD, now, plan.start)
    return regular_times(timedelta(seconds=parse(every, "duration", "--every")), now, plan.start)


def _notify(addresses: list[str] | None, loaded: Settings) -> Notify | None:
    """Return the function that sends a notice; None where the user named no address."""
    own = [loaded.user.notify.to] if loaded.user.notify.to else []
    if not (addresses or own):
        return None
    from safety_check.use_cases.notify import build_notifier

    return build_notifier(addresses or own)


def _teller(plan: Plan, loaded: Settings, notify: Notify | None, as_json: bool) -> WatchReporter:
    from safety_check.cli.printed import print_marked
    from safety_check.model.clean_text import remove_invisible
    from safety_check.report.watching import BELL, WatchReporter

    def say(line: str) -> None:
        if line.startswith(BELL):
            print_marked(BELL + remove_invisible(line))
        else:
            typer.echo(line)

    def remark(line: str) -> None:
        typer.echo(line, err=True)

    return WatchReporter(plan, loaded.preferences, say, remark, notify, as_json)
