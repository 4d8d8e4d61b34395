"""Download the data that a plan needs, for a launch without signal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import typer

from safety_check.cli.moving import Current, Gauge, HighWater, Release
from safety_check.cli.options import (
    AsJson,
    CraftName,
    End,
    FromShore,
    Hours,
    LaunchName,
    PlanName,
    Reach,
    ReadAt,
    Route,
    Start,
    Verbose,
    WarningsOption,
    WaterName,
    WaterTemp,
)

if TYPE_CHECKING:
    from datetime import datetime, tzinfo

    from safety_check.model.plan import Plan
    from safety_check.sources.offline_validity import OfflineValidity

FURTHER = (
    "Use the same launch, reach and route at the ramp: without a signal, check and recheck use this"
    " data and say how old it is."
)


def pack(
    water: WaterName,
    craft: CraftName = None,
    launch: LaunchName = None,
    start: Start = None,
    hours: Hours = None,
    end: End = None,
    reach: Reach = None,
    route: Route = None,
    from_shore: FromShore = None,
    water_temp: WaterTemp = None,
    warnings: WarningsOption = None,
    read_at: ReadAt = None,
    current: Current = None,
    high_water: HighWater = None,
    gauge: Gauge = None,
    release: Release = None,
    name: PlanName = "",
    verbose: Verbose = False,
    as_json: AsJson = False,
) -> None:
    """Download the data that a plan needs, store it, and print how long it is valid.

    The current verdict is stored too, for recheck. Exit status: 0 if a forecast was stored, 1
    if there was none.

    Example: safety-check pack "Orvel Lake" --launch ramp --start "tomorrow 06:00" --hours 5
    """
    options = dict(locals())
    from zoneinfo import ZoneInfo

    from safety_check.cli.request import complete_request
    from safety_check.report.credits import credits_of
    from safety_check.use_cases.check import pack_plan

    settings, asked = complete_request(options, as_json)
    done, made = pack_plan(asked, settings, name)
    for remark in done.remarks:
        typer.echo(f"safety-check: {remark}", err=True)
    plan = done.verdict.plan
    if as_json:
        typer.echo(_as_json(plan, str(done.verdict.severity), made, credits_of(done.verdict)))
    else:
        for line in lines(plan, str(done.verdict.severity), made, ZoneInfo(plan.water.time_zone)):
            typer.echo(line)
        for credit in credits_of(done.verdict):
            typer.echo(f"  {credit}")
    raise typer.Exit(1 if made.known_until is None else 0)


def lines(plan: Plan, verdict: str, made: OfflineValidity, zone: tzinfo) -> list[str]:
    """Return what was stored, for a person."""
    where = f"{plan.water.name}, {plan.launch.name}"
    if made.known_until is None:
        told = [f"No usable forecast was stored for {where}."]
    else:
        told = [
            *_at_launch(plan, made, zone),
            f"Stored for {where}; the current verdict is {verdict}.",
            _spans(made.go_until, made.known_until, zone),
        ]
    told += [f"  {item.source}: valid until {_when(item.good_until, zone)}" for item in made.items]
    told += [f"  Missing: {failure.source}: {failure.reason}" for failure in made.missed]
    return [*told, FURTHER] if made.known_until else told


def _at_launch(plan: Plan, made: OfflineValidity, zone: tzinfo) -> list[str]:
    """Return whether the data will still be valid at the launch, and when to pack again."""
    start = f"at the launch ({_when(plan.start, zone)})"
    if made.good_at(plan.end):
        return [f"Still valid {start} and to the end of the trip: no need to pack again."]
    if made.good_at(plan.start):
        return [f"Still valid {start}, but not to the end of the trip."]
    again = made.pack_again_after(plan.start)
    when = f" Pack again after {_when(again, zone)}." if again else " Pack again later."
    return [f"NOT valid {start}.{when}"]


def _spans(go_until: datetime | None, known_until: datetime, zone: tzinfo) -> str:
    """Return how long which verdict is possible without a signal."""
    known = f"from {_when(known_until, zone)} on only UNKNOWN or NO-GO."
    if go_until is None:
        return f"Without a signal a GO is not possible with this data; {known}"
    go = f"a GO is possible until {_when(go_until, zone)}, MARGINAL at best after that"
    return f"Without a signal {go}; {known}"


def _when(moment: datetime, zone: tzinfo) -> str:
    local = moment.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b %H:%M}"


def _as_json(plan: Plan, verdict: str, made: OfflineValidity, credits: list[str]) -> str:
    import json

    items: list[dict[str, Any]] = [
        {
            "source": item.source,
            "received": item.received.isoformat(),
            "good_until": item.good_until.isoformat(),
        }
        for item in made.items
    ]
    said = {
        "water": plan.water.name,
        "launch": plan.launch.name,
        "verdict": verdict,
        "packed": made.at.isoformat(),
        "good_at_launch": made.good_at(plan.start),
        "go_until": made.go_until and made.go_until.isoformat(),
        "known_until": made.known_until and made.known_until.isoformat(),
        "items": items,
        "missed": [{"source": failure.source, "reason": failure.reason} for failure in made.missed],
        "credits": credits,
    }
    return json.dumps(said, indent=2, ensure_ascii=False)
