"""How long saved answers still count at a launch without signal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from safety_check.model.weather import Briefing, Observation, Provenance, SourceFailure
from safety_check.sources.greatest_ages import greatest_age
from safety_check.sources.stations import load_reaches


@dataclass(frozen=True)
class Item:
    """The answer of one service.

    Parameters
    ----------
    source
        The title of the service.
    received
        When it was received.
    good_until
        From then on it counts as missing.
    required
        True for a forecast: without one the verdict is UNKNOWN.
    """

    source: str
    received: datetime
    good_until: datetime
    required: bool


@dataclass(frozen=True)
class OfflineValidity:
    """The data received for a plan, and how long it counts.

    Parameters
    ----------
    at
        When it was received.
    items
        One for each service, the first to expire first.
    missed
        The services that failed although they apply here.
    """

    at: datetime
    items: tuple[Item, ...]
    missed: tuple[SourceFailure, ...]

    @property
    def go_until(self) -> datetime | None:
        """Until when all data counts; after that the best verdict without a signal is MARGINAL."""
        return self.items[0].good_until if self.items and not self.missed else None

    @property
    def known_until(self) -> datetime | None:
        """Until when every forecast counts; after that the verdict without a signal is UNKNOWN."""
        return min((item.good_until for item in self.items if item.required), default=None)

    def good_at(self, moment: datetime) -> bool:
        """Return whether all data still counts at a time, so that a GO is possible."""
        return self.go_until is not None and moment <= self.go_until

    def pack_again_after(self, launch: datetime) -> datetime | None:
        """Return from when on data received with the same lifetime is valid until a launch.

        None where a service did not answer: then it is not known how long its answer is valid.
        """
        return None if self.go_until is None else launch - (self.go_until - self.at)


def find_offline_validity(briefing: Briefing, wanted: frozenset[str]) -> OfflineValidity:
    """Return until when a briefing is valid.

    Parameters
    ----------
    briefing
        The data received.
    wanted
        The observed quantities that the rules weigh on this trip.
    """
    soonest: dict[str, Item] = {}
    for item in _items(briefing, wanted):
        soonest[item.source] = min(soonest.get(item.source, item), item, key=_expiry)
    return OfflineValidity(
        at=briefing.at,
        items=tuple(sorted(soonest.values(), key=_expiry)),
        missed=tuple(failure for failure in briefing.silences if failure.applies),
    )


def _items(briefing: Briefing, wanted: frozenset[str]) -> Iterator[Item]:
    yield from (_item(forecast.provenance, required=True) for forecast in briefing.forecasts)
    yield from (_item(alert.provenance) for alert in briefing.alerts)
    yield from (_item(origin) for origin in briefing.others)
    yield from (_observed(seen) for seen in briefing.observations if seen.quantity in wanted)


def _item(origin: Provenance, *, required: bool = False) -> Item:
    """Return an item; its age is the one that the service states, and at least since receipt."""
    made = origin.issued or origin.fetched
    until = min(made, origin.fetched) + timedelta(seconds=greatest_age()[origin.source])
    return Item(origin.source, origin.fetched, until, required)


def _observed(seen: Observation) -> Item:
    """Return an item for an observation, which becomes too old before its service's answer."""
    item = _item(replace(seen.provenance, issued=None))
    fades = seen.time + timedelta(seconds=load_reaches()[seen.quantity].age)
    return Item(item.source, item.received, min(item.good_until, fades), required=False)


def _expiry(item: Item) -> datetime:
    return item.good_until
