"""Write the accident figures into SAFETY.md from the shipped records: `python -m docs.safety`."""

from __future__ import annotations

import csv
import re
import sys
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

from benchmarks import accidents
from docs.markdown import wrapped
from safety_check.model.verdict import Severity

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "SAFETY.md"
RECORDS = ROOT / "benchmarks" / "records"
BLOCK = re.compile(r"(<!-- figures[^>]*-->\n).*?(<!-- end of figures -->)", re.DOTALL)
LOADING = ("Improper loading", "Overloading")
INTOXICATION = ("Alcohol", "Drug")


@dataclass(frozen=True)
class Record:
    """Deaths in small craft: how many, of them drowned and with a life jacket worn, by cause."""

    deaths: int
    drowned: int
    worn: int
    by_cause: Counter[str]

    def share(self, *causes: str) -> float:
        """Return the share of the deaths with a known first cause that some causes account for."""
        known = self.deaths - self.by_cause["Unknown"]
        return sum(self.by_cause[cause] for cause in causes) / known


def main() -> None:
    """Write the figures into their place."""
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    sys.stdout.write(f"{PAGE.name}\n")


def page(text: str) -> str:
    """Return SAFETY.md with the figures that the records and the rules give today."""
    return BLOCK.sub(lambda found: f"{found[1]}{figures()}{found[2]}", text)


def read_record(path: Path = RECORDS / "deaths_2014_2022.csv") -> Record:
    """Return the deaths of a record, summed."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    total = {name: sum(int(row[name]) for row in rows) for name in ("Deaths", "Drowned", "PFDworn")}
    by_cause: Counter[str] = Counter()
    for row in rows:
        by_cause[row["FirstCause"]] += int(row["Deaths"])
    return Record(total["Deaths"], total["Drowned"], total["PFDworn"], by_cause)


def figures() -> str:
    """Return the figures as a list."""
    record = read_record()
    cases = [case for case in accidents.read(RECORDS / "fatal_vessels_2023.csv") if case.deaths]
    among, alone = (count["life jacket"] / len(cases) for count in accidents.decided(cases))
    worn = [replace(case, paddler=replace(case.paddler, life_jacket="worn")) for case in cases]
    items = (
        f"Of {record.deaths:,} people who died in canoes, kayaks, inflatables, rowing boats and on"
        f" paddleboards (US, 2014 to 2022), **{percent(record.drowned / record.deaths)} drowned**,"
        f" and a worn life jacket is on record for {percent(record.worn / record.deaths)}.",
        f"Where a first cause is known, it was alcohol or drugs in"
        f" {percent(record.share(*INTOXICATION))} of these deaths, overloading or bad loading in"
        f" {percent(record.share(*LOADING))}, and a medical event in"
        f" {percent(record.share('Sudden medical condition'))}.",
        f"The rules were run on {len(cases)} reports of vessels with a death (US, 2023): GO in"
        f" {go_share(cases)}. The life jacket was a reason in {percent(among)}, and the only one in"
        f" {percent(alone)}. **With every life jacket taken as worn, {go_share(worn)} would be a"
        " GO**: heart attacks and other medical events, overloading and alcohol are not in the"
        " weather.",
        f"A rule on wind alone would have said GO in {go_share(cases, accidents.WIND_ALONE)}.",
    )
    return "".join(wrapped(f"- {item}", "  ") for item in items)


def go_share(cases: list[accidents.Case], rules: tuple[str, ...] = tuple(accidents.FIELD)) -> str:
    """Return in how many of the cases some rules say GO."""
    share = accidents.shares(cases, accidents.MIDDLE, rules)[Severity.GO]
    return percent(share) if share else "none"


def percent(share: float) -> str:
    """Return a share as whole percent."""
    return f"{share:.0%}".replace("%", " %")


if __name__ == "__main__":
    main()
