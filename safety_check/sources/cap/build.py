"""Build a message from a tree of CAP elements, whether it came as XML or as JSON."""

from __future__ import annotations

from safety_check.model.clean_text import clean_text
from safety_check.sources.cap.message import Area, Info, Message, Named, Reference
from safety_check.sources.cap.shapes import cap_shapes, metres
from safety_check.sources.cap.times import earliest, in_order, latest, unread_time
from safety_check.sources.cap.tree import Tree, text, texts, trees

DEFAULT_LANGUAGE = "en-US"  # CAP 1.2, section 3.2.2
LONGEST_TEXT = 20_000  # characters; the services ask for their text unshortened


def build_message(alert: Tree) -> Message:
    """Return the message of an `alert`; what can't be read is named, and the rest stays."""
    infos = tuple(build_info(info) for info in trees(alert, "info"))
    return Message(
        identifier=clean_text(text(alert, "identifier")),
        sender=clean_text(text(alert, "sender")),
        sent=in_order(text(alert, "sent")),
        status=clean_text(text(alert, "status")),
        msg_type=clean_text(text(alert, "msgType")),
        scope=clean_text(text(alert, "scope")),
        references=read_references(" ".join(texts(alert, "references"))),
        infos=infos,
        unread=() if infos else ("a message without information",),
    )


def read_references(listed: str) -> tuple[Reference, ...]:
    """Return the references of a message: `sender,identifier,sent` separated by blanks.

    Examples
    --------
    >>> read_references("trinet@caltech.edu,TRI13970876.1,2003-06-11T20:30:00-07:00")[0].identifier
    'TRI13970876.1'
    """
    parts = (entry.split(",") for entry in listed.split())
    return tuple(
        Reference(clean_text(part[0]), clean_text(",".join(part[1:-1])), clean_text(part[-1]))
        for part in parts
        if len(part) >= 3
    )


def build_info(info: Tree) -> Info:
    """Return an information block."""
    effective, onset, expires = (text(info, name) for name in ("effective", "onset", "expires"))
    begins, starts, ends = earliest(effective), earliest(onset), latest(expires)
    areas = tuple(build_area(area) for area in trees(info, "area"))
    return Info(
        language=clean_text(text(info, "language")) or DEFAULT_LANGUAGE,
        category=" ".join(clean_text(word) for word in texts(info, "category")),
        event=_line(info, "event"),
        event_codes=_named(info, "eventCode"),
        urgency=_line(info, "urgency"),
        severity=_line(info, "severity"),
        certainty=_line(info, "certainty"),
        response_types=tuple(clean_text(word) for word in texts(info, "responseType")),
        effective=begins,
        onset=starts,
        expires=ends,
        sender_name=_line(info, "senderName"),
        headline=_line(info, "headline"),
        description=_paragraphs(info, "description"),
        instruction=_paragraphs(info, "instruction"),
        web=_line(info, "web"),
        parameters=_named(info, "parameter"),
        areas=areas,
        unread=(
            *unread_time("effective", effective, begins),
            *unread_time("onset", onset, starts),
            *unread_time("expires", expires, ends),
        ),
    )


def build_area(area: Tree) -> Area:
    """Return an area; a shape that can't be read is named."""
    polygons, circles, unread = cap_shapes(texts(area, "polygon"), texts(area, "circle"))
    return Area(
        description=_line(area, "areaDesc"),
        polygons=polygons,
        circles=circles,
        geocodes=_named(area, "geocode"),
        altitude_m=metres(text(area, "altitude")),
        ceiling_m=metres(text(area, "ceiling")),
        unread=unread,
    )


def _named(tree: Tree, name: str) -> tuple[Named, ...]:
    return tuple(
        Named(clean_text(text(entry, "valueName")), clean_text(text(entry, "value")))
        for entry in trees(tree, name)
    )


def _line(tree: Tree, name: str) -> str:
    return clean_text(text(tree, name))


def _paragraphs(tree: Tree, name: str) -> str:
    return clean_text(text(tree, name), LONGEST_TEXT, lines=True)
