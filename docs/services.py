"""What docs/services.md says: each service, its credit and terms, and where it speaks."""

from __future__ import annotations

from collections.abc import Iterator

from docs.markdown import table, wrapped
from safety_check.sources import coverage, registry

WORDS = """\
What each open service is asked for costs no key. An answer is asked for again once it is no
longer fresh, sooner where the service says so itself; without a signal the last one stands in
while it is good, and beyond that what it said is unknown. Every answer goes into the report
with the service's credit, when it was made and when it was received. Your own address for a
service goes into settings.toml, table services; nothing else moves a question to another host,
and a service that sends it to another is not followed."""
REGIONS = """\
Elsewhere these services are listed as not applying, and nothing is asked of them. Open-Meteo
is asked everywhere, the map only when a water is added."""


def parts() -> Iterator[str]:
    """Yield the page's parts below its head."""
    yield wrapped(WORDS)
    yield from (_service(name, each) for name, each in registry.load_sources().items())
    yield "## Where the services of the United States are asked\n"
    yield wrapped(REGIONS)
    rows = [(each.name, ", ".join(each.services), _span(each)) for each in coverage.regions()]
    yield table(("region", "services", "south to north, west to east [degrees]"), rows)
    yield "".join(
        wrapped(f"- {each.name}: {each.source} Checked {each.checked}.", "  ")
        for each in coverage.regions()
    )


def _service(name: str, each: registry.Source) -> str:
    rows = [
        ("address", f"`{each.base_url}`"),
        ("documentation", f"<{each.docs}>"),
        ("credit", each.attribution),
        ("terms", each.terms),
        ("fresh for", _lasting(each.ttl)),
        ("good for", _lasting(each.max_age)),
        ("basis", f"{each.source} Checked {each.checked}."),
    ]
    return f"## {each.title}\n\n" + table((name, ""), rows)


def _lasting(seconds: float) -> str:
    """Return a length of time in the greatest unit of which it has two."""
    for unit, length in (("days", 86_400), ("h", 3600), ("min", 60)):
        if seconds >= 2 * length:
            return f"{seconds / length:g} {unit}"
    return f"{seconds:g} s"


def _span(each: coverage.Region) -> str:
    return f"{each.south:g} to {each.north:g}, {each.west:g} to {each.east:g}"
