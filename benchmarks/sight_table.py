"""How long a saved page takes with its re-check, as a ratio to the same page without it.

Run: python -m benchmarks.sight_table

The plans are invented: light wind on a pond and on a lake of four kilometres, four single forecasts
and an ensemble. A page is judged, its alternatives are searched and it is written, without a map.
Times are processor seconds, the least of several runs in one process, by turns.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np

from safety_check.assess.verdict import assess_case
from safety_check.conditions.case import Case
from safety_check.report.page.page import render_page
from safety_check.use_cases.rulebook import load_rulebook
from safety_check.use_cases.sight_table import judge_sightings
from safety_check.use_cases.trust import load_trust
from safety_check.use_cases.what_else import with_alternatives
from tests import invented_lake, scenes

RUNS = 3
AT = scenes.START - timedelta(hours=2)


def cases() -> Iterator[tuple[str, Case]]:
    """Yield plans, each with its name."""
    for name, runs, singles in (("four forecasts", 0, 4), ("an ensemble", 31, 6)):
        rng = np.random.default_rng(1)
        given = scenes.forecast(
            *[
                {"wind_speed": speed, "wind_speed_of_gust": 1.5 * speed}
                | {"wind_from_direction": rng.uniform(200, 300)}
                for speed in rng.uniform(0.6, 2.0, runs + singles)
            ],
            models=["ncep_gefs025"] * runs + [f"model {number}" for number in range(singles)],
        )
        own, told = scenes.settings(dressing=True), scenes.briefing(given, AT)
        lake = invented_lake.open_water()
        for water, where in ((scenes.POND, "pond"), (lake, "lake")):
            trip = scenes.plan() if where == "pond" else invented_lake.plan()
            yield f"{where}, {name}", Case(trip, told, water, own, load_trust())


def seconds(case: Case) -> tuple[float, float, int]:
    """Return the seconds of a page, of the table in it, and how many classes were judged."""
    pages, tables, judged = [], [], 0
    for _ in range(RUNS):
        begun = time.process_time()
        made = assess_case(case, load_rulebook())
        verdict = with_alternatives(case, made, load_rulebook())
        render_page(verdict, replace(case.settings))
        middle = time.process_time()
        judged = judge_sightings(case, verdict).judged
        pages.append(middle - begun)
        tables.append(time.process_time() - middle)
    return min(pages), min(tables), judged


def main() -> None:
    """Print each plan's times, and the greatest ratio last."""
    greatest = 0.0
    for name, case in cases():
        page, table, judged = seconds(case)
        greatest = max(greatest, (page + table) / page)
        sys.stdout.write(f"{name:22} page {page:.2f} s, table {table:.2f} s, {judged} judged\n")
    sys.stdout.write(f"page_with_table_to_page_without: {greatest:.2f}\n")


if __name__ == "__main__":
    main()
