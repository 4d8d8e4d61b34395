"""Options that several commands share, so that they look and work the same."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from safety_check.cli import complete
from safety_check.cli.verbose import print_requests


class Jacket(StrEnum):
    """How the life jacket is carried."""

    worn = "worn"
    carried = "carried"
    none = "none"


class Wear(StrEnum):
    """Immersion clothing."""

    none = "none"
    wetsuit = "wetsuit"
    drysuit = "drysuit"


class Company(StrEnum):
    """Whether others go along."""

    alone = "alone"
    group = "group"


class OwnWord(StrEnum):
    """What the user has read of official warnings."""

    none = "none"


class YesNo(StrEnum):
    """Yes or no; None means not declared."""

    yes = "yes"
    no = "no"


class Form(StrEnum):
    """In which form a report is printed."""

    short = "short"
    full = "full"
    quiet = "quiet"
    json = "json"

    @classmethod
    def of(cls, full: bool, quiet: bool, as_json: bool) -> Form:
        """Return the form that the options ask for; more than one of them is an error."""
        from safety_check.errors import PlanError

        asked = {"--full": full, "--quiet": quiet, "--json": as_json}
        given = [name for name, wanted in asked.items() if wanted]
        if len(given) > 1:
            raise PlanError(f"{' and '.join(given)} contradict each other. Give only one of them.")
        return cls(given[0].removeprefix("--")) if given else cls.short


WarningsOption = Annotated[
    OwnWord | None,
    typer.Option(
        "--warnings",
        help="none: you have read that no official warning is in force (with --read-at).",
        show_default=False,
    ),
]
ReadAt = Annotated[
    str | None,
    typer.Option("--read-at", help='When you read the warnings: "20:10".', show_default=False),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]
Verbose = Annotated[
    bool,
    typer.Option(
        "--verbose",
        help="Also print the requests to the services, their answers and their duration to stderr.",
        callback=print_requests,
    ),
]
Full = Annotated[bool, typer.Option("--full", help="Print everything that is known.")]
Quiet = Annotated[
    bool, typer.Option("--quiet", help="Print one line that can be sent as a text message.")
]
WaterName = Annotated[
    str,
    typer.Argument(
        help="A water that you added, or a saved plan.",
        show_default=False,
        autocompletion=complete.waters_and_plans,
    ),
]
CraftName = Annotated[
    str | None,
    typer.Option(
        "--craft",
        help="Your craft, or a craft class.",
        show_default=False,
        autocompletion=complete.crafts,
    ),
]
LaunchName = Annotated[
    str | None,
    typer.Option(
        "--launch",
        help="A launch of the water, or LAT,LON.",
        show_default=False,
        autocompletion=complete.launches,
    ),
]
Start = Annotated[
    str | None,
    typer.Option(
        "--start", help='"tomorrow 06:00", "sat 5:30", "28 Nov 6am", now.', show_default=False
    ),
]
Hours = Annotated[
    str | None,
    typer.Option("--hours", help='How long the trip lasts: 5, "4h", "4:30".', show_default=False),
]
End = Annotated[
    str | None,
    typer.Option("--end", help="When you will be back.", show_default=False),
]
Reach = Annotated[
    str | None,
    typer.Option("--reach", help='How far you go from the launch: "1 mi".', show_default=False),
]
FromShore = Annotated[
    str | None,
    typer.Option(
        "--from-shore", help='Greatest distance from the shore: "150 yd".', show_default=False
    ),
]
Route = Annotated[
    str | None,
    typer.Option(
        "--route",
        help='The way out: "LAT,LON; LAT,LON", or a GeoJSON, GPX or KML file with a line.',
        show_default=False,
    ),
]
WaterTemp = Annotated[
    str | None, typer.Option("--water-temp", help='As measured: "58 F".', show_default=False)
]
ForecastFile = Annotated[
    Path | None,
    typer.Option(
        "--forecast",
        help="Use a saved forecast file instead of asking the services.",
        show_default=False,
    ),
]
PlanName = Annotated[
    str,
    typer.Option("--name", help="Your name for this plan, to find it again.", show_default=False),
]
AsOf = Annotated[
    str | None,
    typer.Option("--as-of", help="Evaluate as of this time (with --forecast).", show_default=False),
]
JacketOption = Annotated[
    Jacket | None,
    typer.Option("--life-jacket", help="How you carry the life jacket.", show_default=False),
]
WearOption = Annotated[
    Wear | None, typer.Option("--wearing", help="Immersion clothing.", show_default=False)
]
CompanyOption = Annotated[
    Company | None, typer.Option("--company", help="Whether others go along.", show_default=False)
]
LightOption = Annotated[
    YesNo | None, typer.Option("--light", help="A white light on board.", show_default=False)
]
Night = Annotated[
    bool, typer.Option("--night", help="The trip is planned in the dark, with a light.")
]
