"""Bring XML and JSON into one form of tree, of bounded size and without entities."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, Union

from safety_check.errors import DataError
from safety_check.model.clean_text import clean_text

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

GREATEST_ANSWER = 32_000_000  # bytes: thirteen times the largest quiet day seen (Germany, 2.4 MB)
GREATEST_XML = 20_000_000  # bytes; its tree takes many times as much memory
_DEEPEST = 6  # levels; alert, info, area, geocode and value are five

Value = Union[str, "Tree"]
Tree = Mapping[str, tuple[Value, ...]]
REMEDY = "The answer can't be used. Try again later, or read the official forecast."


def read_xml(body: bytes, source: str) -> Element:
    """Return the root of an XML document without entities or references to other files.

    Raises
    ------
    DataError
        Where it is too large, not XML, or declares entities or a document type.
    """
    from defusedxml import DefusedXmlException, ElementTree

    refuse_size(body, source, GREATEST_XML)
    try:
        root: Element = ElementTree.fromstring(body.strip(), forbid_dtd=True)
    except DefusedXmlException as trouble:
        raise DataError(
            f"{source}: the answer declares entities or a document type, which are refused."
            f" {REMEDY}"
        ) from trouble
    except (ElementTree.ParseError, ValueError, LookupError) as trouble:
        raise DataError(f"{source}: not XML as documented, {_start(body)}. {REMEDY}") from trouble
    return root


def read_json(body: bytes, source: str) -> Any:
    """Return a JSON document.

    Raises
    ------
    DataError
        Where it is too large or not JSON.
    """
    refuse_size(body, source, GREATEST_ANSWER)
    try:
        return json.loads(body)
    except (ValueError, RecursionError) as trouble:
        raise DataError(f"{source}: not JSON as documented, {_start(body)}. {REMEDY}") from trouble


def refuse_size(body: bytes, source: str, greatest: int) -> None:
    """Raise DataError where an answer is larger than any that a service can mean."""
    if len(body) > greatest:
        raise DataError(
            f"{source}: the answer has over {greatest // 1_000_000} MB, more than any list"
            f" of warnings. {REMEDY}"
        )


def from_element(element: Element) -> Tree:
    """Return an element as a tree: local name → its texts or trees, namespaces left out."""
    found = _of_element(element, _DEEPEST)
    return {} if isinstance(found, str) else found


def from_json(value: object) -> Tree:
    """Return a JSON object as a tree: key → its texts or trees, each key a list."""
    return {
        key: tuple(_of_json(inner, _DEEPEST))
        for key, inner in (value.items() if isinstance(value, dict) else ())
    }


def local_name(element: Element) -> str:
    """Return the name of an element without its namespace; "" for a comment."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def texts(tree: Tree, name: str) -> tuple[str, ...]:
    """Return the texts of a name that are not blank."""
    return tuple(
        value.strip() for value in tree.get(name, ()) if isinstance(value, str) and value.strip()
    )


def text(tree: Tree, name: str) -> str:
    """Return the first text of a name, as received; "" without one."""
    return next(iter(texts(tree, name)), "")


def trees(tree: Tree, name: str) -> tuple[Tree, ...]:
    """Return the trees of a name."""
    return tuple(value for value in tree.get(name, ()) if not isinstance(value, str))


def _of_element(element: Element, deepest: int) -> Value:
    if not len(element):
        return element.text or ""
    found: dict[str, list[Value]] = {}
    for child in element if deepest else ():
        found.setdefault(local_name(child), []).append(_of_element(child, deepest - 1))
    return {name: tuple(values) for name, values in found.items()}


def _of_json(value: object, deepest: int) -> Iterator[Value]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield repr(value)
    elif isinstance(value, list):
        for item in value if deepest else ():
            yield from _of_json(item, deepest - 1)
    elif isinstance(value, dict) and deepest:
        yield {key: tuple(_of_json(inner, deepest - 1)) for key, inner in value.items()}


def _start(body: bytes) -> str:
    start = clean_text(body[:40].decode("utf-8", "replace")) if body else "nothing"
    return f"it begins with {start!r}"
