"""The tables of the seasons' benchmark: shares, reasons, hours, and the aims part by part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from benchmarks.mornings import FIRST, LAST
from benchmarks.season_counts import ALL, Count, Outing

SOLO = ("sit-on-top-kayak", "alone")
HEADLINE = (*SOLO, "3 km", "0.5 mi")
# Shares of fine mornings refused, in per cent: (outing or its craft and company …, the most).
AIMS = {
    "kayak alone, 3 km, 0.5 mi": (HEADLINE, 10.0),
    "kayak alone, 3 km, 200 m": ((*SOLO, "3 km", "200 m"), 8.0),
    "kayak alone, 12 km, 200 m": ((*SOLO, "12 km", "200 m"), 12.0),
    "kayak in company, 3 km, 200 m": (("sit-on-top-kayak", "group", "3 km", "200 m"), 5.0),
    "float tube alone, 3 km, 200 m": (("float-tube", "alone", "3 km", "200 m"), 25.0),
    "float tube in company, 3 km, 200 m": (("float-tube", "group", "3 km", "200 m"), 15.0),
    "canoe alone, 3 km, 200 m": (("canoe", "alone", "3 km", "200 m"), 15.0),
}
ON_SHORES = 10.0  # % of fine mornings refused to a kayak alone at most, on each shoreline
BEARABLE = 90.0  # % of breezes that are GO or MARGINAL at least, kayak alone on the smallest lake


def percent(part: int, whole: int) -> str:
    """Return a share in per cent, or a dash of nothing."""
    return f"{100 * part / whole:6.1f}" if whole else f"{'-':>6}"


def show(found: Mapping[Outing, Count]) -> None:
    """Print a line of shares for each outing."""
    print(f"\n{'craft, company, lake, reach':54}    GO   fine refused  blow GO  breeze not NO-GO")
    for outing, one in found.items():
        name = f"{outing.craft}, {outing.company}, {outing.lake}, {outing.reach}"
        print(
            f"{name:54}{percent(one.go, one.mornings)}  {percent(one.fine_refused, one.fine)}"
            f"         {one.blow_go:5d}   {percent(one.breeze_bearable, one.breeze)}"
        )


def show_reasons(found: Mapping[Outing, Count]) -> None:
    """Print what refuses fine mornings, in per cent of them, for each craft and company."""
    print("\nWhat refuses fine mornings, with others or alone, % of them, all lakes and reaches")
    for craft, who in dict.fromkeys((outing.craft, outing.company) for outing in found):
        outings = [
            one for outing, one in found.items() if (outing.craft, outing.company) == (craft, who)
        ]
        together = sum(outings[1:], outings[0])
        reasons = [
            f"{name} {100 * number / together.fine:.0f}"
            for name, number in together.because.most_common()
            if number > 0.005 * together.fine
        ]
        print(f"{craft}, {who}: {', '.join(reasons) or 'nothing'}")


def show_hours(found: Mapping[Outing, Count]) -> None:
    """Print how many fine hours are not GO for a kayak alone, by the hour of the trip."""
    clock = "".join(f"{hour:02d}:00 " for hour in range(FIRST, LAST))
    print(f"\n{'Fine hours that are not GO, kayak alone, %':54}{clock}")
    for outing, one in found.items():
        if (outing.craft, outing.company) == SOLO:
            shares = "".join(percent(int(bad), int(fine)) for fine, bad in one.hours)
            print(
                f"{f'{outing.craft}, {outing.company}, {outing.lake}, {outing.reach}':52}{shares}"
            )


@dataclass(frozen=True)
class Aimed:
    """A share of mornings that has an aim.

    Parameters
    ----------
    name
        To print.
    counted, mornings
        How many of how many mornings.
    aim, at_least
        In per cent, and whether more is better.
    """

    name: str
    counted: int
    mornings: int
    aim: float
    at_least: bool = False

    @property
    def missed(self) -> bool:
        """Whether the share is on the wrong side of the aim; not so without a morning."""
        reached, aimed = 100 * self.counted, self.aim * self.mornings
        return reached < aimed if self.at_least else reached > aimed


def aimed(found: Mapping[Outing, Count], on_shores: Mapping[Outing, Count]) -> list[Aimed]:
    """Return each figure that has an aim, of one part of the mornings."""
    rows = []
    for name, (which, most) in AIMS.items():
        one = found[Outing(*which)]
        rows.append(Aimed(f"fine refused, {name}", one.fine_refused, one.fine, most))
    for outing, one in on_shores.items():
        name = f"fine refused, {outing.lake}, {outing.reach}"
        rows.append(Aimed(name, one.fine_refused, one.fine, ON_SHORES))
    pond = found[Outing(*SOLO, "0.6 km", "200 m")]
    name = "breeze not NO-GO, 0.6 km, 200 m"
    return [*rows, Aimed(name, pond.breeze_bearable, pond.breeze, BEARABLE, at_least=True)]


def show_aims(found: Mapping[Outing, Count], on_shores: Mapping[Outing, Count]) -> None:
    """Print each figure that has an aim, and whether it is reached."""
    print(f"\n{'against the aims, %':54} reached      aim")
    for row in aimed(found, on_shores):
        sign, result = ">=" if row.at_least else "<=", "MISSED" if row.missed else "met"
        print(
            f"{row.name:54}{percent(row.counted, row.mornings)}   {sign} {row.aim:4.0f}  {result}"
        )
    blow = sum(one.blow_go for one in {**found, **on_shores}.values())
    print(f"{'blow mornings GO, all cases':54}{blow:6d}   <=    0  {'MISSED' if blow else 'met'}")


def of_part(found: Mapping[Outing, Count], part: str) -> dict[Outing, Count]:
    """Return what was counted on one part of the mornings."""
    return {replace(outing, part=ALL): one for outing, one in found.items() if outing.part == part}


def show_parts(found: Mapping[Outing, Count], on_shores: Mapping[Outing, Count]) -> None:
    """Print the figures with an aim for each part of the mornings, a missed aim with a mark."""
    names = [name for name in dict.fromkeys(outing.part for outing in found) if name != ALL]
    print("\nThe same for parts of the mornings, % (! misses the aim)")
    columns = []
    for number, name in enumerate(names, 1):
        part, shores = of_part(found, name), of_part(on_shores, name)
        one = part[Outing(*HEADLINE)]
        blow = sum(other.blow_go for other in {**part, **shores}.values())
        counts = f"{one.fine} fine, {one.breeze} breeze, {one.blow} blow; blow mornings GO: {blow}"
        print(f"{number:3d}: {name}: {counts}, over launches")
        columns.append(aimed(part, shores))
    print(f"{'':54}" + "".join(f"{number:6d} " for number in range(1, len(names) + 1)))
    for rows in zip(*columns, strict=True):
        shares = "".join(
            percent(row.counted, row.mornings) + ("!" if row.missed else " ") for row in rows
        )
        print(f"{rows[0].name:54}{shares}")


def headline(found: Mapping[Outing, Count]) -> str:
    """Return the two figures by which changes of the limits are judged."""
    solo = found[Outing(*HEADLINE)]
    permitted = sum(one.blow_go for one in found.values())
    refused = solo.fine_refused / solo.fine if solo.fine else float("nan")
    return f"fine_refused: {refused:.3f}\nblow_permitted: {permitted}"
