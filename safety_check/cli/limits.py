"""Show, set and reset the limits of a craft, and of a water."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from safety_check.cli import complete
from safety_check.cli.options import AsJson, CraftName

if TYPE_CHECKING:
    from safety_check.model.verdict import Limit
    from safety_check.rules.hazard import Hazard
    from safety_check.rules.reasons import ReasonContext

app = typer.Typer(
    help="Limits for each craft and water.", no_args_is_help=True, rich_markup_mode=None
)

OnWater = Annotated[
    str | None,
    typer.Option(
        "--water",
        help="On this water; with --craft, for that craft on it.",
        show_default=False,
        autocompletion=complete.waters,
    ),
]
Quantity = Annotated[
    str, typer.Argument(help="wind, gust, waves, current, gauge, or one of limits show.")
]


@app.command()
def show(
    craft: CraftName = None,
    water: OnWater = None,
    as_json: AsJson = False,
) -> None:
    """Show the limits for a craft, the reasons, and what each hazard does not cover.

    With --water, the limits that hold on that water.

    Example: safety-check limits show --craft sit-on-top-kayak
    """
    import json

    from safety_check.assess.verdict import contexts_by_water, reason_context
    from safety_check.rules.hazards import HAZARDS
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.own_units import at_own_waters
    from safety_check.waters import files

    loaded = load_settings()
    place = None if water is None else files.load(water, loaded.folders.waters)
    loaded = loaded.at_water(place) if place else at_own_waters(loaded)
    context = reason_context(loaded, loaded.craft(loaded.craft_name(craft)), water=place)
    waters = {} if place else contexts_by_water(context, loaded)
    if as_json:
        typer.echo(
            json.dumps(
                {name: _row(limit) for name, limit in context.limits.limits.items()}, indent=2
            )
        )
        return
    on_water = f" on {place.name}" if place else ""
    typer.echo(f"Limits for {context.craft.name} ({context.craft.label}){on_water}")
    for hazard in HAZARDS:
        if hazard.weighs in context.limits.limits:
            _print(hazard, context, waters)
        elif hazard.weighs in context.limits.undeclared:
            typer.echo(f"\n{hazard.name}: not declared. {hazard.says_undeclared}")
    if context.preferences.note:
        typer.echo(f"\n{context.preferences.note}")


def _row(limit: Limit) -> dict[str, Any]:
    return {
        "marginal": limit.marginal,
        "no_go": limit.no_go,
        "unit": limit.unit,
        "worse": limit.worse,
        "basis": limit.basis,
        "source": limit.source,
        "since": limit.since.isoformat(),
        "loosened": limit.loosened is not None,
        "set_at": [*dict.fromkeys(filter(None, limit.set_at))],
    }


def _print(hazard: Hazard, context: ReasonContext, waters: dict[str, ReasonContext]) -> None:
    from safety_check.report.limits import bounds_in_words
    from safety_check.settings.limits import load_practice

    limit = context.limits.limits[hazard.weighs]
    typer.echo(f"\n{hazard.name} ({hazard.weighs})")
    typer.echo(f"  {bounds_in_words(hazard, limit, context)}")
    loose = ", looser than the default" if limit.loosened else ""
    at = " and ".join(dict.fromkeys(filter(None, limit.set_at)))
    source = f"{limit.source} for {at}" if at else limit.source
    typer.echo(f"  {limit.basis.replace('_', ' ')}{loose}: {source}")
    if limit.basis == "personal":
        default = context.limits.defaults[hazard.weighs]
        typer.echo(f"  default: {bounds_in_words(hazard, default, context)}")
        typer.echo(f"  {default.basis.replace('_', ' ')}: {default.source}")
    for water, there in waters.items():
        on_it = there.limits.limits[hazard.weighs]
        if on_it != limit:
            typer.echo(f"  on {water}: {bounds_in_words(hazard, on_it, there)}")
    practice = load_practice().get((hazard.weighs, context.craft.kind))
    if practice is not None:
        typer.echo(f"  practice: {bounds_in_words(hazard, practice, context)}. {practice.source}")
    typer.echo(f"  why: {hazard.rationale}")
    typer.echo(f"  cannot see: {hazard.limitations}")


@app.command("set")
def set_(
    quantity: Quantity,
    craft: CraftName = None,
    water: OnWater = None,
    marginal: Annotated[
        str | None, typer.Option(help='MARGINAL from this value: "10 mph".', show_default=False)
    ] = None,
    no_go: Annotated[
        str | None,
        typer.Option("--no-go", help='NO-GO from this value: "14 mph".', show_default=False),
    ] = None,
    loosen: Annotated[
        bool,
        typer.Option(
            "--loosen", help="Allow a limit looser than the default; every report says so."
        ),
    ] = False,
) -> None:
    """Set a limit of your own for a craft, for a water, or for a craft on a water.

    Of the limit of the craft and that of the water the stricter one counts.

    A limit in Bft begins with the lowest wind of that force.

    Example: safety-check limits set wind --craft "my kayak" --marginal "8 mph" --no-go "12 mph"
    """
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.own_limits import LimitWords, describe_whose, set_limit

    words = LimitWords(quantity, craft, water, marginal, no_go, loosen)
    stored = set_limit(words, load_settings())
    whose = {"craft": stored.craft, "water": stored.water}
    shown = "".join(f" --{key} {name!r}" for key, name in whose.items() if name)
    typer.echo(
        f"Set {stored.quantity} for {describe_whose(stored.craft, stored.water)}."
        f" See: safety-check limits show{shown}"
    )


@app.command()
def reset(
    craft: CraftName = None,
    water: Annotated[
        str | None,
        typer.Option("--water", help="The limits set with this --water.", show_default=False),
    ] = None,
    quantity: Annotated[
        str | None, typer.Argument(help="One limit; all of them if omitted.", show_default=False)
    ] = None,
) -> None:
    """Go back to the default limits of a craft, of a water, or of a craft on a water.

    Example: safety-check limits reset wind --craft "my kayak"
    """
    from safety_check.use_cases.own_limits import reset_limits

    gone = reset_limits(craft, water, quantity)
    typer.echo(f"Reset to the default: {', '.join(gone)}.")


@app.command()
def suggest(
    craft: CraftName = None,
    as_json: AsJson = False,
) -> None:
    """Suggest limits from your logged trips; nothing is changed.

    Example: safety-check limits suggest --craft "my kayak"
    """
    import json

    from safety_check.cli.history import opened
    from safety_check.report import suggestions
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.own_units import at_own_waters
    from safety_check.use_cases.trip_log import suggest_limits

    loaded = at_own_waters(load_settings())
    with opened(loaded) as store:
        learnt = suggest_limits(store, loaded, craft)
    if as_json:
        typer.echo(json.dumps(suggestions.as_json(learnt, loaded.preferences), indent=2))
    else:
        typer.echo(suggestions.describe_suggestions(learnt, loaded.preferences))
