"""Write docs/alerts.md: what each official warning means for a small craft."""

from __future__ import annotations

from collections.abc import Iterator

from docs.markdown import table, wrapped
from safety_check.rules.warnings import AlertsFile
from safety_check.settings import toml_file
from safety_check.settings.alert_classes import AlertClassesFile, ClassEntry
from safety_check.settings.folders import shipped_file

WORDS = """\
A service's own severity ranks harm to the public, and not to a kayak. So each warning counts by
what it is about. No-go means stay ashore; marginal means read it before you decide; caution is
shown and does not change the verdict. A changed meaning is a new entry with a later date; the old
one stays."""
ELSEWHERE = """\
A service outside the United States gives a code, or words in its own language. Both give one of the
classes below; where several fit, the one that means most counts, and of two that mean the same the
first. The columns are the severity of the warning: the higher of its own word and its colour
(yellow is moderate, orange severe, red extreme). "Unknown" counts as moderate, a severity that is
missing or no such word as severe, both as marginal at least. A warning in an unknown language, or
of an unknown code, is "other"."""
CODES = """\
A narrow code counts alone. Beside a broad one the words of the warning count as well, because it
covers several hazards."""
UNITED_STATES = """\
The US National Weather Service names its warnings. A name that is not listed is no-go if the
service calls it severe or extreme, else marginal."""


def alert_parts() -> Iterator[str]:
    """Yield the parts of the page."""
    classes = toml_file.read(shipped_file("alert_classes.toml"), AlertClassesFile)
    yield wrapped(WORDS)
    yield "## Outside the United States\n"
    yield wrapped(ELSEWHERE)
    columns = ("class", "minor", "moderate", "severe", "extreme", "basis", "since", "checked")
    yield table(columns, [_row(entry) for entry in classes.class_])
    yield "".join(wrapped(f"- {entry.name}: {entry.source}", "  ") for entry in classes.class_)
    yield "## Codes\n"
    yield wrapped(CODES)
    yield from _codes(classes)
    yield "## United States\n"
    yield wrapped(UNITED_STATES)
    entries = toml_file.read(shipped_file("alerts.toml"), AlertsFile).alert
    rows = [
        (", ".join(entry.events), _plain(entry.severity), entry.since, entry.checked)
        for entry in entries
    ]
    yield table(("events", "meaning", "since", "checked"), rows)


def _row(entry: ClassEntry) -> tuple[object, ...]:
    levels = (entry.minor, entry.moderate, entry.severe, entry.extreme)
    said = (_plain(entry.basis), entry.since, entry.checked)
    return (entry.name, *map(_plain, levels), *said)


def _codes(classes: AlertClassesFile) -> Iterator[str]:
    rows = [
        (f"`{entry.system}`", "broad" if entry.broad else "narrow", name, ", ".join(codes))
        for entry in classes.codes
        for name, codes in entry.classes.items()
    ]
    yield table(("system", "kind", "class", "codes"), rows)
    yield "".join(wrapped(f"- `{entry.system}`: {entry.source}", "  ") for entry in classes.codes)
    listed = sum(len(words) for entry in classes.words for words in entry.classes.values())
    yield "".join(wrapped(f"- {listed} words: {entry.source}", "  ") for entry in classes.words)


def _plain(word: str) -> str:
    return {"no_go": "no-go"}.get(word, word.replace("_", " "))
