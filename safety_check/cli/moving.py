"""Options for what the user says of tide, current, river and dam."""

from __future__ import annotations

from typing import Annotated

import typer

Current = Annotated[
    str | None,
    typer.Option(
        help='The strongest current, where it comes "from" or flows "to", and slack from a current'
        ' table: "1.5 kt from NE, slack 09:20", "ebb 2 kt to SW, slack 09:20"; none. Tables name'
        " the direction it flows to.",
        show_default=False,
    ),
]
HighWater = Annotated[
    str | None,
    typer.Option(
        "--high-water",
        help='High water, from a tide table: "08:10", or "08:10 2.1 m, low 14:20 0.4 m".',
        show_default=False,
    ),
]
Gauge = Annotated[
    str | None,
    typer.Option(
        help='The river\'s gauge: "2.1 ft rising", "450 cfs falling", "1.2 m steady".',
        show_default=False,
    ),
]
Release = Annotated[
    str | None,
    typer.Option(
        help='When the dam upstream releases water, as its operator said: none, "14:00".',
        show_default=False,
    ),
]
