"""Until when what was received still counts at a ramp without signal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from safety_check.model.weather import Briefing, Observation, Provenance, SourceFailure
from safety_check.sources.registry import greatest_age
from safety_check.sources.stations import load_reaches


@dataclass(frozen=True)
class Item:
    """What one service said.

    Parameters
    ----------
    source
        The service, as a reader knows it.
    received
        When.
    good_until
        From then on it is missed.
    required
        True for a forecast: without it nothing can be said.
    """

    source: str
    received: datetime
    good_until: datetime
    required: bool


@dataclass(frozen=True)
class OfflineValidity:
    """What was received for a plan.

    Parameters
    ----------
    at
        When it was packed.
    items
        One for each service, the soonest to expire first.
    missed
        Who was silent although it applies here.
    """

    at: datetime
    items: tuple[Item, ...]
    missed: tuple[SourceFailure, ...]

    @property
    def go_until(self) -> datetime | None:
        """Until when all of it counts; from then on MARGINAL is the best without a signal."""
        return self.items[0].good_until if self.items and not self.missed else None

    @property
    def known_until(self) -> datetime | None:
        """Until when every forecast counts; from then on all is UNKNOWN without a signal."""
        return min((each.good_until for each in self.items if each.required), default=None)


def find_offline_validity(briefing: Briefing, wanted: frozenset[str]) -> OfflineValidity:
    """Return until when a briefing holds.

    Parameters
    ----------
    briefing
        What was received.
    wanted
        Of the observations, what the rules weigh on this trip.
    """
    soonest: dict[str, Item] = {}
    for each in _items(briefing, wanted):
        soonest[each.source] = min(soonest.get(each.source, each), each, key=_expiry)
    return OfflineValidity(
        at=briefing.at,
        items=tuple(sorted(soonest.values(), key=_expiry)),
        missed=tuple(each for each in briefing.silences if each.applies),
    )


def _items(briefing: Briefing, wanted: frozenset[str]) -> Iterator[Item]:
    yield from (_item(each.provenance, required=True) for each in briefing.forecasts)
    yield from (_item(each.provenance) for each in briefing.alerts)
    yield from (_item(each) for each in briefing.others)
    yield from (_seen(each) for each in briefing.observations if each.quantity in wanted)


def _item(origin: Provenance, *, required: bool = False) -> Item:
    """Return an item; a forecast is as old as its run, and never younger than its receipt."""
    made = origin.issued if required and origin.issued else origin.fetched
    until = min(made, origin.fetched) + timedelta(seconds=greatest_age()[origin.source])
    return Item(origin.source, origin.fetched, until, required)


def _seen(seen: Observation) -> Item:
    """Return an item for what was seen, which grows old before its service's answer does."""
    item = _item(seen.provenance)
    fades = seen.time + timedelta(seconds=load_reaches()[seen.quantity].age)
    return Item(item.source, item.received, min(item.good_until, fades), required=False)


def _expiry(item: Item) -> datetime:
    return item.good_until
