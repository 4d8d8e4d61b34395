"""Show, set and reset the limits of a craft."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from safety_check.cli import complete
from safety_check.cli.options import AsJson

if TYPE_CHECKING:
    from safety_check.model.verdict import Limit
    from safety_check.rules.hazard import Hazard
    from safety_check.rules.reasons import ReasonContext
    from safety_check.settings.limits import PracticeEntry

app = typer.Typer(help="Limits for each craft.", no_args_is_help=True, rich_markup_mode=None)

Craft = Annotated[
    str,
    typer.Option("--craft", help="Your craft, or a craft class.", autocompletion=complete.crafts),
]
AnyCraft = Annotated[
    str | None, typer.Option("--craft", show_default=False, autocompletion=complete.crafts)
]
Quantity = Annotated[str, typer.Argument(help="wind, gust, waves, or a name from limits show.")]
YES_OR_NO = ("flag", "declared")  # they have levels, not figures
SHORT = {
    "wind": "wind_speed",
    "gust": "wind_speed_of_gust",
    "gusts": "wind_speed_of_gust",
    "waves": "sea_surface_wave_significant_height",
    "wave": "sea_surface_wave_significant_height",
}


@app.command()
def show(
    craft: AnyCraft = None,
    as_json: AsJson = False,
) -> None:
    """Show the limits for a craft, the reasons, and what each hazard does not cover.

    Example: safety-check limits show --craft sit-on-top-kayak
    """
    import json

    from safety_check.assess.verdict import reason_context
    from safety_check.rules.hazards import HAZARDS
    from safety_check.settings.settings import load_settings

    loaded = load_settings()
    context = reason_context(loaded, loaded.craft(loaded.craft_name(craft)))
    if as_json:
        typer.echo(
            json.dumps(
                {name: _row(limit) for name, limit in context.limits.limits.items()}, indent=2
            )
        )
        return
    typer.echo(f"Limits for {context.craft.name} ({context.craft.label})")
    for hazard in HAZARDS:
        if hazard.weighs in context.limits.limits:
            _print(hazard, context)
        elif hazard.weighs in context.limits.undeclared:
            typer.echo(f"\n{hazard.name}: not declared. {hazard.says_undeclared}")


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
    }


def _print(hazard: Hazard, context: ReasonContext) -> None:
    from safety_check.settings.limits import load_practice

    limit = context.limits.limits[hazard.weighs]
    typer.echo(f"\n{hazard.name} ({hazard.weighs})")
    typer.echo(f"  {_bounds(hazard, limit, context)}")
    loose = ", looser than the default" if limit.loosened else ""
    typer.echo(f"  {limit.basis.replace('_', ' ')}{loose}: {limit.source}")
    if limit.basis == "personal":
        default = context.limits.defaults[hazard.weighs]
        typer.echo(f"  default: {_bounds(hazard, default, context)}")
        typer.echo(f"  {default.basis.replace('_', ' ')}: {default.source}")
    practice = load_practice().get((hazard.weighs, context.craft.kind))
    if practice is not None:
        typer.echo(f"  practice: {_bounds(hazard, practice, context)}. {practice.source}")
    typer.echo(f"  why: {hazard.rationale}")
    typer.echo(f"  cannot see: {hazard.limitations}")


def _bounds(hazard: Hazard, limit: Limit | PracticeEntry, context: ReasonContext) -> str:
    worse = context.limits.limits[hazard.weighs].worse
    levels = {"caution": limit.marginal, "no-go": limit.no_go}
    said = [
        f"{level} from {context.bound(bound, hazard.shown_as, worse)}"
        for level, bound in levels.items()
        if bound is not None
    ]
    if not said:
        return "no bound: it must only be known"
    if hazard.shown_as == "warning":
        return "caution or no-go, by the kind of warning"
    if hazard.shown_as in YES_OR_NO:
        return ", ".join(said).replace(" from ", " if ")
    return f"{', '.join(said)}; {worse} is worse"


@app.command("set")
def set_(
    quantity: Quantity,
    craft: Craft,
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
    """Set a limit of your own for one craft.

    Example: safety-check limits set wind --craft "my kayak" --marginal "8 mph" --no-go "12 mph"
    """
    from safety_check.assess.verdict import require_sound_limit
    from safety_check.errors import PlanError
    from safety_check.settings.edit import edit_settings, replace_limit
    from safety_check.settings.settings import load_settings

    if marginal is None and no_go is None:
        raise PlanError("limits set: give --marginal, --no-go, or both; nothing was changed.")
    name = SHORT.get(quantity, quantity)
    table: dict[str, Any] = {"craft": craft, "quantity": name}
    table |= {"marginal": marginal} if marginal else {}
    table |= {"no_go": no_go} if no_go else {}
    table |= {"loosen": True} if loosen else {}
    require_sound_limit(load_settings(), table)

    def edit(document: Any) -> None:
        replace_limit(document, craft, name, [table])

    edit_settings(edit)
    typer.echo(f"Set {name} for {craft!r}. See: safety-check limits show --craft {craft!r}")


@app.command()
def reset(
    craft: Craft,
    quantity: Annotated[
        str | None, typer.Argument(help="One limit; all of them if omitted.", show_default=False)
    ] = None,
) -> None:
    """Go back to the default limits of a craft.

    Example: safety-check limits reset wind --craft "my kayak"
    """
    from safety_check.errors import PlanError
    from safety_check.settings.edit import edit_settings, replace_limits

    name = quantity and SHORT.get(quantity, quantity)
    gone: list[Any] = []

    def edit(document: Any) -> None:
        kept: list[Any] = []
        for limit in document.get("limit", []):
            match = limit.get("craft") == craft and name in (None, limit.get("quantity"))
            (gone if match else kept).append(limit)
        replace_limits(document, kept)

    edit_settings(edit)
    if not gone:
        raise PlanError(
            f"limits reset: {craft!r} has no personal limit{f' for {name}' if name else ''}."
            " See: safety-check limits show"
        )
    typer.echo(f"Reset to the default: {', '.join(str(limit['quantity']) for limit in gone)}.")


@app.command()
def suggest(
    craft: AnyCraft = None,
    as_json: AsJson = False,
) -> None:
    """Suggest limits from your logged trips; nothing is changed.

    Example: safety-check limits suggest --craft "my kayak"
    """
    import json

    from safety_check.cli.history import opened
    from safety_check.report import suggestions
    from safety_check.settings.settings import load_settings
    from safety_check.use_cases.trip_log import suggest_limits

    loaded = load_settings()
    with opened(loaded) as store:
        learnt = suggest_limits(store, loaded, craft)
    if as_json:
        typer.echo(json.dumps(suggestions.as_json(learnt, loaded.preferences), indent=2))
    else:
        typer.echo(suggestions.describe_suggestions(learnt, loaded.preferences))
