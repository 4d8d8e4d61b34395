"""Write docs/services.md: each service, its credit and terms, and the area that it covers."""

from __future__ import annotations

from collections.abc import Iterator

from docs.calls import call_parts
from docs.markdown import table, wrapped
from docs.warning_services import warning_parts
from safety_check.sources import coverage, registry

WORDS = """\
None of these services needs a key. An answer is requested again when it is no longer fresh,
or earlier where the service says so itself. Without a signal the last answer is used while it
is good; after that its data count as unknown. The report lists every answer with the
service's credit, when it was made and when it was received. Your own address for a service
goes into settings.toml, table services; nothing else sends a request to another host, and a
redirect to another host is not followed."""
REGIONS = """\
Elsewhere these services are listed as not applying, and no request is sent to them.
Open-Meteo and the Aviation Weather Center are asked everywhere, the map only when a water is
added."""
ELSEWHERE = "not asked by itself during a check"


def service_parts() -> Iterator[str]:
    """Yield the parts of the page below its head."""
    yield wrapped(WORDS)
    yield from (
        _service(name, source)
        for name, source in registry.load_sources().items()
        if source.covers != registry.COUNTRIES
    )
    yield from call_parts()
    yield "## Where the services of one country are asked\n"
    yield wrapped(REGIONS)
    regions = coverage.regions()
    rows = [(region.name, _services(region), _span(region)) for region in regions]
    yield table(("region", "services", "south to north, west to east [degrees]"), rows)
    yield "".join(
        wrapped(f"- {region.name}: {region.source} Checked {region.checked}.", "  ")
        for region in regions
    )
    yield from warning_parts()


def _service(name: str, source: registry.Source) -> str:
    rows = [
        ("address", f"`{source.base_url}`"),
        ("documentation", f"<{source.docs}>"),
        ("credit", source.attribution),
        ("terms", source.terms),
        ("provides", _provided(source)),
        ("covers", source.covers.replace("_", " ")),
        ("fresh for", _lasting(source.ttl)),
        ("good for", _lasting(source.max_age)),
        ("coordinates sent", _sent(source)),
        ("basis", f"{source.source} Checked {source.checked}."),
    ]
    return f"## {source.title}\n\n" + table((name, ""), rows)


def _provided(source: registry.Source) -> str:
    """Return what a source provides, and on which water alone it is asked."""
    words = ", ".join(source.provides) or ELSEWHERE
    return f"{words}; asked only where the water has a {source.moving}" if source.moving else words


def _sent(source: registry.Source) -> str:
    """Return how exactly a service learns the place, and why so exactly."""
    if source.decimals is None:
        return "none"
    metres = f"{111_000 / 10**source.decimals:,.0f}"
    return f"to {source.decimals} decimals, about {metres} m. {source.decimals_reason}"


def _lasting(seconds: float) -> str:
    """Return a duration in the greatest unit of which it has at least two."""
    for unit, length in (("days", 86_400), ("h", 3600), ("min", 60)):
        if seconds >= 2 * length:
            return f"{seconds / length:g} {unit}"
    return f"{seconds:g} s"


def _services(region: coverage.Region) -> str:
    """Return the sources that cover a region and that a check asks."""
    sources = registry.load_sources().items()
    return ", ".join(
        name for name, source in sources if source.covers == region.group and source.adapter
    )


def _span(region: coverage.Region) -> str:
    return f"{region.south:g} to {region.north:g}, {region.west:g} to {region.east:g}"
