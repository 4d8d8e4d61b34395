"""Ask in one line for the craft and for what the person brings."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import typer

from safety_check.cli.ask import tell
from safety_check.settings.crafts import load_craft_classes

if TYPE_CHECKING:
    from safety_check.settings.settings import Settings

CRAFT, JACKET = "craft", "life_jacket"
STRICTEST = {"wearing": "none", "company": "alone", "light": "no"}
"""What counts where a line does not mention it: the answer with the lowest limits."""

WORDS = {
    "worn": (JACKET, "worn"),
    "carried": (JACKET, "carried"),
    "none": (JACKET, "none"),
    "no": (JACKET, "none"),
    "wetsuit": ("wearing", "wetsuit"),
    "drysuit": ("wearing", "drysuit"),
    "alone": ("company", "alone"),
    "solo": ("company", "alone"),
    "group": ("company", "group"),
    "company": ("company", "group"),
    "light": ("light", "yes"),
    "no light": ("light", "no"),
    "no wetsuit": ("wearing", "none"),
    "no drysuit": ("wearing", "none"),
}
FILLERS = re.compile(r"\b(?:life ?jacket|pfd|jacket|a|an|the|in|with|and|white|is|i|wear|go)\b")
IN_WORDS = {
    "wearing": {"none": "no immersion clothing", "wetsuit": "a wetsuit", "drysuit": "a drysuit"},
    "company": {"alone": "alone", "group": "in a group"},
    "light": {"yes": "a white light on board", "no": "no light on board"},
}
OFFERS = {
    "wearing": "wetsuit or drysuit",
    "company": "group, if you are not alone",
    "light": "light, if a white light is on board",
}
NOT_MENTIONED = "What you do not mention counts as: no immersion clothing, alone, no light."


def ask_gear(settings: Settings) -> dict[str, str]:
    """Return the craft class and what the person brings, as far as the settings lack it.

    Parameters
    ----------
    settings
        The user's; nothing is asked that they hold.
    """
    wanted = [key for key in (JACKET, *STRICTEST) if getattr(settings.paddler, key) is None]
    if not settings.user.craft:
        wanted.insert(0, CRAFT)
    if not wanted:
        return {}
    _explain(wanted)
    answers: dict[str, str] = {}
    while True:
        required = [key for key in (CRAFT, JACKET) if key in wanted and key not in answers]
        line = typer.prompt(_question(wanted, required), default=None if required else "",
                            show_default=False, err=True)  # fmt: skip
        known, unknown = read_gear(str(line))
        answers |= {key: value for key, value in known.items() if key in wanted}
        for word in unknown:
            typer.echo(f"{word!r} is not one of the choices.", err=True)
        if not unknown and all(key in answers for key in required):
            break
    answers = {key: value for key, value in STRICTEST.items() if key in wanted} | answers
    tell(f"Stored: {_in_words(answers)}. Change it with safety-check paddler set.")
    return answers


def _explain(wanted: list[str]) -> None:
    if CRAFT in wanted:
        typer.echo("Craft:", err=True)
        for number, (name, kind) in enumerate(load_craft_classes().items(), 1):
            label = f" ({kind.label})" if kind.label.replace(" ", "-") != name else ""
            typer.echo(f"  {number} {name}{label}", err=True)
    if JACKET in wanted:
        typer.echo("Life jacket: worn (fastened), carried, or none.", err=True)
    offers = [OFFERS[key] for key in STRICTEST if key in wanted]
    if offers:
        tell(f"Add what is true: {'; '.join(offers)}. {NOT_MENTIONED}")


def _question(wanted: list[str], required: list[str]) -> str:
    if CRAFT in required:
        return 'Your craft\'s number and what you bring, such as "1, worn, light"'
    if JACKET in required:
        return 'What you bring, such as "worn, light"'
    return f"What you bring ({', '.join(key for key in STRICTEST if key in wanted)})"


def read_gear(line: str) -> tuple[dict[str, str], list[str]]:
    """Return the craft and gear that a line names, and its words that are not understood.

    Examples
    --------
    >>> read_gear("2, life jacket worn, wetsuit and light")
    ({'craft': 'pedal-kayak', 'life_jacket': 'worn', 'wearing': 'wetsuit', 'light': 'yes'}, [])
    >>> read_gear("canoe worn sail")
    ({'craft': 'canoe', 'life_jacket': 'worn'}, ['sail'])
    """
    classes = list(load_craft_classes())
    answers: dict[str, str] = {}
    unknown = []
    for word in _words(line.casefold(), classes):
        if word in classes:
            answers[CRAFT] = word
        elif word.isascii() and word.isdigit() and 1 <= int(word) <= len(classes):
            answers[CRAFT] = classes[int(word) - 1]
        elif word in WORDS:
            key, value = WORDS[word]
            answers[key] = value
        else:
            unknown.append(word)
    return answers, unknown


def _words(line: str, classes: list[str]) -> list[str]:
    """Return the words and phrases of a line, without fillers."""
    found = []
    for part in re.split(r"[,;]", line):
        phrase = " ".join(FILLERS.sub(" ", part).split())
        known = phrase in WORDS or phrase in classes or not phrase
        found += [phrase] if known else phrase.split()
    return [word for word in found if word]


def _in_words(answers: dict[str, str]) -> str:
    words = []
    if CRAFT in answers:
        words.append(load_craft_classes()[answers[CRAFT]].label)
    if JACKET in answers:
        words.append(
            {"none": "no life jacket"}.get(answers[JACKET], f"life jacket {answers[JACKET]}")
        )
    return ", ".join([*words, *(IN_WORDS[key][answers[key]] for key in IN_WORDS if key in answers)])
