"""Turn messages into alerts: translations become one alert, different areas several."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from safety_check.model.clean_text import clean_text
from safety_check.model.weather import Alert, Provenance
from safety_check.settings.alert_classes import load_alert_classes
from safety_check.sources.cap.in_force import end_of
from safety_check.sources.cap.level import level
from safety_check.sources.cap.message import Area, Info, Message

NAMELESS = "Alert without a name"
ENGLISH = ("en",)


def to_alerts(
    message: Message,
    infos: Iterable[Info],
    provenance: Provenance,
    languages: Sequence[str] = ENGLISH,
) -> tuple[Alert, ...]:
    """Return the alerts of the parts of a message that concern a place.

    Parameters
    ----------
    message
        As read.
    infos
        Its information blocks that touch the place, or can't be said not to. A message without
        any gives one alert without a name.
    provenance
        The answer that it came in.
    languages
        Which text to show where there are several, the first choice first; else English, else
        the first one.
    """
    groups = list(translations(infos))
    if not groups:
        return (_alert(message, (Info("", "", ""),), provenance, languages),)
    return tuple(_alert(message, group, provenance, languages) for group in groups)


def translations(infos: Iterable[Info]) -> Iterator[tuple[Info, ...]]:
    """Yield information blocks that say the same in several languages, together.

    Blocks are translations of each other where their times, their codes, their level and their
    areas are the same and their languages differ.
    """
    groups: dict[tuple[object, ...], list[Info]] = {}
    seen: Counter[tuple[object, ...]] = Counter()
    for info in infos:
        same = (info.onset, info.expires, level(info), info.event_codes, *map(_shape, info.areas))
        place = seen[(info.language, *same)]
        seen[(info.language, *same)] += 1
        groups.setdefault((place, *same), []).append(info)
    yield from map(tuple, groups.values())


def preferred(group: Iterable[Info], languages: Sequence[str] = ENGLISH) -> Info:
    """Return the block in the first wanted language, else in English, else the first one."""
    return min(group, key=lambda info: _rank(info.language, (*languages, *ENGLISH)))


def hazard_of(group: Iterable[Info]) -> str:
    """Return the class of information blocks that say the same."""
    blocks = tuple(group)
    return load_alert_classes().hazard(
        codes=[code for info in blocks for code in (*info.event_codes, *info.parameters)],
        words=[text for info in blocks for text in (info.event, info.headline)],
        level=level(blocks[0]),
    )


def _alert(
    message: Message, group: tuple[Info, ...], provenance: Provenance, languages: Sequence[str]
) -> Alert:
    shown = preferred(group, languages)
    onset = shown.onset or shown.effective or message.sent
    ends = end_of(message, shown)
    return Alert(
        event=shown.event or NAMELESS,
        severity=level(shown),
        urgency=shown.urgency,
        certainty=shown.certainty,
        headline=shown.headline,
        description=shown.description,
        instruction=shown.instruction,
        onset=onset,
        # an end before the onset is that of the message, and not of the hazard
        ends=None if onset and ends and ends <= onset else ends,
        area=clean_text("; ".join(dict.fromkeys(area.description for area in shown.areas))),
        provenance=replace(provenance, model=shown.sender_name or message.sender),
        hazard=hazard_of(group),
        language=shown.language,
        link=shown.web if shown.web.startswith(("https://", "http://")) else "",
        sent=message.sent,
    )


def _shape(area: Area) -> tuple[object, ...]:
    """Return what an area covers, without its name: the same in every language."""
    rings = tuple(ring.tobytes() for ring in area.polygons)
    return (rings, area.circles, area.geocodes, area.altitude_m, area.ceiling_m)


def _rank(language: str, wanted: Sequence[str]) -> int:
    """Return the place of a language among those wanted, without its country."""
    plain = language.casefold().partition("-")[0]
    listed = [choice.casefold().partition("-")[0] for choice in wanted]
    return listed.index(plain) if plain in listed else len(listed)
