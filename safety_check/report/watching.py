"""What a watch reports: a line for each check, and a bell and a notice for each change."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack
from datetime import datetime
from types import TracebackType
from typing import TYPE_CHECKING

from safety_check.errors import SafetyCheckError
from safety_check.model.changes import CompletedRecheck
from safety_check.model.local_clock import LocalClock
from safety_check.model.plan import Plan
from safety_check.report.changes import describe_changes
from safety_check.report.credits import credits_of
from safety_check.report.layout import terminal_width
from safety_check.units import Preferences

if TYPE_CHECKING:
    from rich.progress import Progress

BELL = "\a"
MOST_CHANGES = 3  # in a notice; the re-check has the others


class WatchReporter(AbstractContextManager["WatchReporter"]):
    """Reports on a terminal and, where the verdict changed, by a notice too.

    Parameters
    ----------
    plan
        The plan that is watched.
    prefer
        The units that the user reads in.
    say, remark
        Write a line to standard output, and to standard error.
    notify
        Sends a title and a text; None sends nothing.
    as_json
        Whether to print a JSON object on each line, without a bell.
    """

    def __init__(
        self,
        plan: Plan,
        prefer: Preferences,
        say: Callable[[str], None],
        remark: Callable[[str], None],
        notify: Callable[[str, str], bool] | None = None,
        as_json: bool = False,
    ) -> None:
        self._plan, self._prefer, self._notify = plan, prefer, notify
        self._say, self._remark, self._as_json = say, remark, as_json
        self._clock = LocalClock.of(plan)
        self._credited: set[str] = set()
        self._bar = _Bar(plan.start, self._clock, quiet=as_json)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        trouble: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._bar.stop()

    def waits(self, now: datetime, until: datetime) -> None:
        """Show how long it is until the next check, and until the launch."""
        self._bar.show(now, until)

    def checked(self, done: CompletedRecheck) -> None:
        """Report a re-check in a line."""
        self._bar.stop()
        for remark in done.remarks:
            self._remark(f"safety-check: {remark}")
        if self._as_json:
            self._say(json.dumps(_plain(done)))
            return
        self._say(_wrapped(self._line(done)))
        for credit in credits_of(done.verdict):
            if credit not in self._credited:  # each is printed once in a watch
                self._credited.add(credit)
                self._say(_wrapped(f"      {credit}"))

    def changed(self, done: CompletedRecheck) -> None:
        """Ring the terminal bell, print what changed, and send the notice."""
        news = describe_changes(done.changes, self._prefer, self._clock)[:MOST_CHANGES]
        if not self._as_json:
            self._say(BELL + "\n".join(_wrapped(f"      {line}") for line in news))
        if self._notify is None:
            return
        start = self._plan.start.astimezone(self._clock.zone)
        title = f"{done.changes.after}: {self._plan.water.name}, {start:%a %H:%M}"
        text = [self._line(done), *news, *credits_of(done.verdict)]
        if not self._notify(title, "\n".join(text)):
            self._remark("safety-check: not every service accepted the notice.")

    def failed(self, at: datetime, trouble: SafetyCheckError) -> None:
        """Report that a re-check was not possible."""
        self._bar.stop()
        self._remark(f"safety-check: {self._clock.time(at)} could not check: {trouble}")

    def _line(self, done: CompletedRecheck) -> str:
        then, now = done.changes.before, done.changes.after
        if now == then:
            return f"{self._clock.time(done.verdict.at)} {now}, as before."
        worst = done.verdict.findings[0] if done.verdict.findings else None
        reason = f": {worst.reason}" if worst and worst.severity == now and now else "."
        return f"{self._clock.time(done.verdict.at)} {now}, was {then}{reason}"


def _wrapped(line: str) -> str:
    return textwrap.fill(line, terminal_width(), subsequent_indent="      ", break_on_hyphens=False)


def _plain(done: CompletedRecheck) -> dict[str, object]:
    found = done.changes
    return {
        "at": done.verdict.at.isoformat(),
        "verdict": str(found.after),
        "before": str(found.before),
        "changed": found.after != found.before,
        "credits": credits_of(done.verdict),
        "because": [
            finding.reason for finding in done.verdict.findings if finding.severity == found.after
        ]
        if found.after
        else [],
    }


class _Bar:
    """A progress bar until the launch, on a terminal only."""

    def __init__(self, launch: datetime, local: LocalClock, quiet: bool) -> None:
        from rich.console import Console

        self._launch, self._clock = launch, local
        # The bar draws with terminal commands, which the cleaned stream would remove.
        self._console = Console(file=getattr(sys.stderr, "terminal", sys.stderr))
        self._shown = self._console.is_terminal and not quiet
        self._begun: datetime | None = None
        self._running: tuple[Progress, ExitStack] | None = None

    def show(self, now: datetime, until: datetime) -> None:
        if not self._shown:
            return
        self._begun = self._begun or now
        if self._running is None:
            from rich.progress import BarColumn, Progress, TextColumn

            # Redirecting would send lines that go into a pipe to the terminal instead.
            progress = Progress(
                TextColumn("{task.description}"),
                BarColumn(),
                console=self._console,
                transient=True,
                redirect_stdout=False,
                redirect_stderr=False,
            )
            stack = ExitStack()
            stack.enter_context(progress)
            progress.add_task("", total=(self._launch - self._begun).total_seconds())
            self._running = progress, stack
        progress, _ = self._running
        following, launch = map(self._clock.time, (until, self._launch))
        progress.update(
            progress.task_ids[0],
            completed=(now - self._begun).total_seconds(),
            description=f"next check {following}, launch {launch}",
        )

    def stop(self) -> None:
        if self._running is not None:
            self._running[1].close()
            self._running = None
