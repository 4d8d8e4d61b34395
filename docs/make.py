"""Print the documents that follow from the program itself: `python -m docs.make`."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import typer

from docs import architecture, promises, safety
from docs.alerts import alert_parts
from docs.markdown import bound, table, wrapped
from docs.round import print_round
from docs.services import service_parts
from safety_check.cli.app import build_app
from safety_check.report.schemas import KINDS, schema_of
from safety_check.rules.hazard import Hazard
from safety_check.rules.hazards import HAZARDS
from safety_check.settings import toml_file
from safety_check.settings.crafts import CraftClass, load_craft_classes, load_troll_band
from safety_check.settings.folders import shipped_file
from safety_check.settings.limits import LimitEntry, LimitsFile, ReductionEntry
from safety_check.sources.registry import ModelsFile

FOLDER = Path(__file__).parent
COMMAND = "python -m docs.make"
ON_A_TERMINAL = 78  # of 80 columns; --help leaves two free


def main() -> None:
    """Write every page into its place and name it."""
    for name, page in PAGES.items():
        (FOLDER / name).parent.mkdir(exist_ok=True)
        (FOLDER / name).write_text(page(), encoding="utf-8")
        sys.stdout.write(f"docs/{name}\n")
    architecture.main()
    safety.main()
    print_round()


# -- commands ----------------------------------------------------------------------------------


def commands() -> str:
    """Return what `--help` says of every command."""
    parts = [_head("Commands", "every command's `--help`, as a terminal of 80 columns shows it")]
    for context in contexts():
        parts.append(f"## {context.command_path}\n\n```\n{context.get_help().rstrip()}\n```\n")
    return "\n".join(parts)


def contexts() -> Iterator[Any]:
    """Yield the context of the app, of each group and of each command, in their order."""
    yield from _contexts(typer.main.get_command(build_app()), "safety-check", None)


def _contexts(command: Any, name: str, parent: Any) -> Iterator[Any]:
    context = command.context_class(
        command,
        info_name=name,
        parent=parent,
        terminal_width=ON_A_TERMINAL,
        **command.context_settings,
    )
    yield context
    for below, inner in getattr(command, "commands", {}).items():
        if not inner.hidden:
            yield from _contexts(inner, below, context)


# -- limits ------------------------------------------------------------------------------------

LIMITS_WORDS = """\
Caution makes an hour MARGINAL, no-go makes it NO-GO; a dash means that this level is never
reached by this hazard. What must be known and is not makes the hour UNKNOWN; what is wanted
and not known holds it at MARGINAL. A changed value is a new line with a later date; the old
one stays. Basis: published is a source's own number, common practice is what many say and
nobody proved, judgement is ours, or a published number used for something that its source does
not say."""


def limits() -> str:
    """Return every hazard with its limits, why they are, and what it can't see."""
    file = toml_file.read(shipped_file("limits.toml"), LimitsFile)
    parts = [
        _head("Hazards and limits", "`config/limits.toml` and `safety_check/rules/`"),
        wrapped(LIMITS_WORDS),
    ]
    for hazard in HAZARDS:
        parts.append(_hazard(hazard, [e for e in file.limit if e.quantity == hazard.weighs]))
    parts += [_reductions(file), _grades(file), _swim(file)]
    return "\n".join(parts)


def _hazard(hazard: Hazard, entries: Sequence[LimitEntry]) -> str:
    known = "must be known" if hazard.required else "is wanted"
    worse = " or ".join(sorted({entry.worse for entry in entries}))
    lowered = " The reductions below lower the limits." if hazard.lowered_by_reductions else ""
    past = " Weighed only where there was an earlier check." if hazard.needs_past else ""
    rows = [
        (
            ", ".join(entry.applies_to),
            bound(entry.marginal, entry.unit, entry.worse),
            bound(entry.no_go, entry.unit, entry.worse),
            _plain(entry.basis),
            _spell(entry, entries),
            entry.checked,
        )
        for entry in entries
    ]
    return "\n".join(
        (
            f"## {hazard.name}\n",
            wrapped(f"Weighs `{hazard.weighs}`, which {known}; {worse} is worse.{lowered}{past}"),
            wrapped(f"Why: {hazard.rationale}"),
            wrapped(f"Cannot see: {hazard.limitations}."),
            wrapped(f"When it is not known: {hazard.remedy}"),
            table(("for", "caution", "no-go", "basis", "since", "checked"), rows),
            _origins((", ".join(entry.applies_to), entry.source) for entry in entries),
        )
    )


def _origins(sources: Iterable[tuple[str, str]]) -> str:
    """Return where values come from, each source once, as a list."""
    whom: dict[str, list[str]] = {}
    for name, source in sources:
        whom.setdefault(source, []).append(name)
    return "".join(wrapped(f"- {', '.join(whom[source])}: {source}", "  ") for source in whom)


def _spell(entry: LimitEntry, entries: Sequence[LimitEntry]) -> str:
    """Return since when an entry holds, and until when where a later one replaces it."""
    later = [
        later.since
        for later in entries
        if later.since > entry.since and set(later.applies_to) & set(entry.applies_to)
    ]
    return f"{entry.since} to {min(later)}" if later else f"{entry.since}"


def _reductions(file: LimitsFile) -> str:
    most = file.greatest_reduction
    said = (
        "Each reduction lowers the limits marked above along the Beaufort scale. Reductions add"
        f" up, to at most {most.beaufort:g} Beaufort numbers ({_plain(most.basis)}, since"
        f" {most.since}): {most.source}"
    )
    rows = [
        (
            f"{_plain(entry.when)}{_when(entry)}",
            f"{entry.beaufort:g}",
            _plain(entry.basis),
            entry.since,
            entry.checked,
        )
        for entry in file.reduction
    ]
    return "\n".join(
        (
            "## What lowers the wind limits\n",
            wrapped(said),
            table(("reduction", "Beaufort numbers", "basis", "since", "checked"), rows),
            _origins(
                (f"{_plain(entry.when)}{_when(entry)}", entry.source) for entry in file.reduction
            ),
        )
    )


def _grades(file: LimitsFile) -> str:
    said = (
        "A grade lets a danger grow evenly between two ends, so that nothing changes at once at a"
        " round number. The offshore wind is the wind times all of its grades."
    )
    rows = [
        (
            f"{_plain(grade.of)} by {_plain(grade.by)}",
            f"{100 * grade.least:.0f} % at {grade.none:g}",
            f"100 % at {grade.full:g}",
            grade.unit,
            grade.since,
        )
        for grade in file.grade
    ]
    return "\n".join(
        (
            "## What counts by degrees\n",
            wrapped(said),
            table(("what counts", "least", "in full", "unit", "since"), rows),
            _origins(
                (f"{_plain(grade.of)} by {_plain(grade.by)}", grade.source) for grade in file.grade
            ),
        )
    )


def _swim(file: LimitsFile) -> str:
    said = "".join(
        wrapped(
            f"- A person in a life jacket swims at {swim.speed:g} m/s, less"
            f" {swim.lost_to_wind:g} times the wind against it, and drifts with {swim.drift:g}"
            f" times the wind; company multiplies the reach by {swim.reach_in_company:g}. Alone,"
            f" the time in the water is {swim.without_practice:g} times as long without practice"
            f" in climbing back aboard, and {swim.without_call:g} times without a phone or radio"
            f" ({_plain(swim.basis)}, since {swim.since}). {swim.source}",
            "  ",
        )
        for swim in file.swim
    )
    return "## The swim to the shore\n\n" + said


def _when(reduction: ReductionEntry) -> str:
    if reduction.unit == "1":
        return ""
    side, value = (
        ("above", reduction.above) if reduction.below is None else ("up to", reduction.below)
    )
    return f" {side} {bound(value, reduction.unit)}"


# -- crafts and models -------------------------------------------------------------------------

CRAFT_WORDS = """\
Figures of a class stand in until you give your own: the cruise speed you know, the length and
the beam. The power follows from the cruise speed. Cruise is kept up for hours on flat water
without wind; hull drag is k in R = k v²; drag area is that of hull, gear and person in the
wind; thrust is kept up for long at a standstill. What a class drifts as is a row
of `config/leeway.toml`."""


def crafts() -> str:
    """Return every craft class, how it fails and where its figures come from."""
    classes, band = load_craft_classes(), load_troll_band()
    columns = ("class", "cruise", "hull drag", "drag area", "thrust", "length", "beam")
    parts = [
        _head("Craft classes", "`config/crafts.toml`"),
        wrapped(CRAFT_WORDS),
        table(columns, [_figures(name, craft_class) for name, craft_class in classes.items()]),
        "## Trolling speed\n",
        wrapped(
            f'Yours is a setting: `craft add --troll "1.0-2.0 mph"`. Without it'
            f" {bound(band.slow, 'm s-1')} to {bound(band.fast, 'm s-1')} are judged, {band.basis}"
            f" ({band.source})".replace("common_practice", "common practice")
        ),
    ]
    for name, craft_class in classes.items():
        parts += [
            f"## {name}\n",
            wrapped(f"{craft_class.label.capitalize()}, moved by {craft_class.propulsion}."),
            wrapped(f"How it fails: {craft_class.fails_by}."),
            wrapped(f"How it drifts without power: as `{craft_class.leeway}`."),
            wrapped(
                f"Figures since {craft_class.since}, {_plain(craft_class.basis)}:"
                f" {craft_class.source}"
            ),
        ]
    return "\n".join(parts)


def _figures(name: str, craft_class: CraftClass) -> tuple[str, ...]:
    return (
        name,
        bound(craft_class.cruise_speed, "m s-1"),
        f"{craft_class.hull_drag:g} N s² m⁻²",
        f"{craft_class.drag_area:g} m²",
        f"{craft_class.greatest_thrust:g} N",
        bound(craft_class.length, "m"),
        bound(craft_class.beam, "m"),
    )


MODEL_WORDS = """\
Each model counts once, however many members it has. What a model never gives (lacks) is not
counted as missing. Horizon is how far ahead the service says that the model forecasts."""


def models() -> str:
    """Return every weather model that is asked, what it lacks, and the names known besides."""
    file = toml_file.read(shipped_file("models.toml"), ModelsFile)
    asked = {name: "one forecast" for name in file.default_forecast}
    asked |= {name: "ensemble" for name in file.default_ensemble}
    rows = [
        (
            model.label,
            ", ".join((model.name, *model.older)),
            asked.get(model.name, "not by default"),
            f"{model.horizon:g} h",
            model.members,
            f"{model.spacing / 1000:g} km",
            ", ".join(_plain(name) for name in model.lacks) or "–",
            model.source,
            model.checked,
        )
        for model in file.model
    ]
    head = ("model", "names", "asked", "horizon", "members", "spacing")
    columns = (*head, "lacks", "source", "checked")
    others = "Known only so that a saved file that names them can be read:"
    return "\n".join(
        (
            _head("Weather models", "`config/models.toml`"),
            wrapped(MODEL_WORDS),
            table(columns, rows),
            "## Other names\n",
            wrapped(f"{others} {', '.join(sorted(file.other_names))}."),
        )
    )


# -- services ----------------------------------------------------------------------------------


def services() -> str:
    """Return every service: what it asks for, how long its word counts, where it speaks."""
    head = _head("Services, attribution and terms", "`config/sources.toml` and `coverage.toml`")
    return "\n".join((head, *service_parts()))


# -- schemas -----------------------------------------------------------------------------------


def alerts() -> str:
    """Return what each official warning means for a small craft."""
    origin = "`config/alert_classes.toml` and `config/alerts.toml`"
    return "\n".join((_head("What official warnings mean", origin), *alert_parts()))


def schema(name: str) -> str:
    """Return the JSON Schema of an output, as `safety-check schema NAME` prints it."""
    return json.dumps(schema_of(name), indent=2) + "\n"


def _head(title: str, origin: str) -> str:
    return f"# {title}\n\n" + wrapped(f"Printed by `{COMMAND}` from {origin}.")


def _plain(word: str) -> str:
    return word.replace("_", " ")


PAGES: dict[str, Callable[[], str]] = {
    "commands.md": commands,
    "limits.md": limits,
    "alerts.md": alerts,
    "crafts.md": crafts,
    "models.md": models,
    "services.md": services,
    "promises.md": promises.page,
    **{f"schema/{name}.json": partial(schema, name) for name in KINDS},
}

if __name__ == "__main__":
    main()
