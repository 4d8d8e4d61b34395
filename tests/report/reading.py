"""Read a page as a browser would."""

from __future__ import annotations

from html.parser import HTMLParser


class Reader(HTMLParser):
    """What a browser would make of a page: tags, attributes, text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []
        self.parts: dict[str, list[str]] = {}
        self._open = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._open = tag

    def handle_endtag(self, tag: str) -> None:
        self._open = ""

    def handle_data(self, data: str) -> None:
        self.parts.setdefault(self._open, []).append(data)
        if self._open not in ("script", "style"):
            self.said.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.said).split())
