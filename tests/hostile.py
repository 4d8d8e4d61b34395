"""Text that a service or a user may put anywhere, and that must stay text."""

from __future__ import annotations

HOSTILE = {
    "script": "<script>document.title='run'</script>",
    "closing": "</title></style></script><script>document.title='run'</script>",
    "handler": "\"'><img src=x onerror=\"document.title='run'\">",
    "svg": "<svg onload=\"document.title='run'\"><a href=\"javascript:document.title='run'\">x</a>",
    "template": "{{ 7 * 7 }} {% for x in y %} ${7*7} <!-- --> ]]>",
    "entities": "&lt;b&gt; &amp; &quot; &#39;",
    "right to left": "\u202egnirts a \u2066desrever\u2069 \u200f\u05d0\u05d1",
    "long": "w" * 10_000,
}

DIRECTIONS = set("\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Invisible characters that change the writing direction, as Unicode's annex 9 lists them."""


def as_shown(text: str) -> str:
    """Return a text as a page may show it: nothing that turns the writing direction."""
    return " ".join("".join(letter for letter in text if letter not in DIRECTIONS).split())
