"""The shipped vocabulary of official alerts: which hazard one is about, and what that means."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from pydantic import Field

from safety_check.model.verdict import Severity
from safety_check.settings import toml_file
from safety_check.settings.folders import shipped_file
from safety_check.settings.sourced import Sourced
from safety_check.settings.toml_file import Strict

UNKNOWN = "unknown"  # CAP 1.2: severity not known
OTHER = "other"  # the class of an event that is not listed
MEANINGS = {"caution": Severity.GO, "marginal": Severity.MARGINAL, "no_go": Severity.NO_GO}
Meaning = Literal["caution", "marginal", "no_go"]


class ClassEntry(Sourced):
    """One [[class]] of alert_classes.toml: a hazard, and its meaning by severity."""

    name: str
    minor: Meaning
    moderate: Meaning
    severe: Meaning
    extreme: Meaning


class CodesEntry(Sourced):
    """One [[codes]] of alert_classes.toml: the codes of one service."""

    system: str
    broad: bool
    classes: dict[str, list[str]]


class WordsEntry(Sourced):
    """One [[words]] of alert_classes.toml: beginnings of words, by class."""

    classes: dict[str, list[str]]


class AlertClassesFile(Strict):
    """alert_classes.toml."""

    class_: list[ClassEntry] = Field(alias="class")
    codes: list[CodesEntry]
    words: list[WordsEntry]


@dataclass(frozen=True)
class CodeSystem:
    """The codes of one service.

    Parameters
    ----------
    name
        The name of the event code or parameter, in lower case; a star stands for any ending.
    broad
        Whether the words of an alert count beside its code.
    classes
        Code, in lower case → class.
    """

    name: str
    broad: bool
    classes: Mapping[str, str]

    def class_of(self, name: str, value: str) -> str | None:
        """Return the class of an event code or a parameter; None where it is not listed."""
        start, star, _ = self.name.partition("*")
        fits = name.startswith(start) if star else name == start
        code = value.partition(";")[0].strip().removesuffix(".0")
        return self.classes.get(code) if fits else None


@dataclass(frozen=True)
class AlertClasses:
    """The vocabulary.

    Parameters
    ----------
    meanings
        Class → severity of CAP, in lower case → what it means for a small craft. The first class
        counts before others that mean the same.
    systems
        The codes of each service.
    words
        Folded beginning of a word → class.
    pattern
        It finds the longest of these words at each place of a text.
    """

    meanings: Mapping[str, Mapping[str, Severity]]
    systems: tuple[CodeSystem, ...]
    words: Mapping[str, str]
    pattern: re.Pattern[str]

    def severity(self, hazard: str, level: str) -> Severity:
        """Return what an alert means for a small craft.

        Parameters
        ----------
        hazard
            Its class; one that is not listed counts as "other".
        level
            Its severity (CAP 1.2). Unknown counts as Moderate; a word that is lost or is none of
            CAP's counts as Severe, so that a loss never betters a verdict. Both are marginal at
            least.
        """
        by_level = self.meanings.get(hazard, self.meanings[OTHER])
        said = level.strip().casefold()
        if said in by_level:
            return by_level[said]
        return max(by_level["moderate" if said == UNKNOWN else "severe"], Severity.MARGINAL)

    def hazard(self, codes: Iterable[tuple[str, str]], words: Iterable[str], level: str) -> str:
        """Return the class of an alert: of all that fit, the one that means most.

        Parameters
        ----------
        codes
            Names and values of its event codes and parameters.
        words
            Its name and headline, in every language that it has.
        level
            Its severity (CAP 1.2).
        """
        narrow, broad = self._coded(codes)
        found = narrow or broad | {name for text in words for name in self._worded(text)}
        ranked = [name for name in self.meanings if name in found]
        return max(ranked, key=lambda name: self.severity(name, level), default=OTHER)

    def _coded(self, codes: Iterable[tuple[str, str]]) -> tuple[set[str], set[str]]:
        narrow: set[str] = set()
        broad: set[str] = set()
        for name, value in codes:
            for system in self.systems:
                hazard = system.class_of(name.casefold(), value.casefold())
                if hazard is not None:
                    (broad if system.broad else narrow).add(hazard)
        return narrow, broad

    def _worded(self, text: str) -> Iterator[str]:
        for found in self.pattern.finditer(fold(text)):
            yield self.words[found[0]]


def fold(text: str) -> str:
    """Return a text in lower case, without accents, with single blanks.

    Examples
    --------
    >>> fold("Tempête  d'Été")
    "tempete d'ete"
    """
    parts = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(part for part in parts if not unicodedata.combining(part)).split())


@cache
def load_alert_classes() -> AlertClasses:
    """Return the shipped vocabulary; of two entries for the same, the newest holds."""
    file = toml_file.read(shipped_file("alert_classes.toml"), AlertClassesFile)
    words = {
        word: name
        for entry in sorted(file.words, key=lambda entry: entry.since)
        for name, listed in entry.classes.items()
        for word in map(fold, listed)
    }
    return AlertClasses(
        meanings={
            entry.name: _by_level(entry)
            for entry in sorted(file.class_, key=lambda entry: entry.since)
        },
        systems=tuple(_systems(file.codes)),
        words={word.lstrip("*="): name for word, name in words.items()},
        pattern=_pattern(words),
    )


def _by_level(entry: ClassEntry) -> dict[str, Severity]:
    levels = ("minor", "moderate", "severe", "extreme")
    return {level: MEANINGS[getattr(entry, level)] for level in levels}


def _systems(entries: Iterable[CodesEntry]) -> Iterator[CodeSystem]:
    by_name: dict[str, CodeSystem] = {}
    for entry in sorted(entries, key=lambda entry: entry.since):
        name = entry.system.casefold()
        older = by_name[name].classes if name in by_name else {}
        classes = {
            code.casefold(): hazard for hazard, codes in entry.classes.items() for code in codes
        }
        by_name[name] = CodeSystem(name, entry.broad, {**older, **classes})
    yield from by_name.values()


def _pattern(words: Iterable[str]) -> re.Pattern[str]:
    def one(word: str) -> str:
        plain = re.escape(word.lstrip("*="))
        before = "" if word.startswith("*") else r"(?<!\w)"
        after = r"(?!\w)" if word.startswith(("*", "=")) else ""
        return f"{before}{plain}{after}"

    longest_first = sorted(words, key=lambda word: (-len(word.lstrip("*=")), word))
    return re.compile("|".join(map(one, longest_first)))
