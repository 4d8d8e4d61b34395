"""What the person brings: set once, shown, overridden for one check."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from safety_check.cli.options import (
    AsJson,
    CompanyOption,
    JacketOption,
    LightOption,
    WearOption,
    YesNo,
)

app = typer.Typer(help="What you bring.", no_args_is_help=True, rich_markup_mode=None)

Sound = Annotated[
    YesNo | None, typer.Option("--sound-signal", help="A whistle or horn.", show_default=False)
]
Call = Annotated[
    YesNo | None,
    typer.Option("--means-to-call", help="A phone or radio that works afloat.", show_default=False),
]
Rescue = Annotated[
    YesNo | None,
    typer.Option("--self-rescue", help="You have practised getting back in.", show_default=False),
]
Capacity = Annotated[
    YesNo | None,
    typer.Option(
        "--within-capacity",
        help="People and gear stay within the maker's capacity.",
        show_default=False,
    ),
]


@app.command("set")
def set_(
    life_jacket: JacketOption = None,
    wearing: WearOption = None,
    company: CompanyOption = None,
    light: LightOption = None,
    sound_signal: Sound = None,
    means_to_call: Call = None,
    self_rescue: Rescue = None,
    within_capacity: Capacity = None,
) -> None:
    """Declare what you bring; what you leave out stays unchanged.

    Example: safety-check paddler set --life-jacket worn --wearing wetsuit --company alone
    --light yes
    """
    from safety_check.errors import PlanError
    from safety_check.use_cases.declaration import declare_paddler

    said: dict[str, Any] = {
        "life_jacket": life_jacket and life_jacket.value,
        "wearing": wearing and wearing.value,
        "company": company and company.value,
        **{
            key: answer and answer is YesNo.yes
            for key, answer in {
                "light": light,
                "sound_signal": sound_signal,
                "means_to_call": means_to_call,
                "self_rescue": self_rescue,
                "within_capacity": within_capacity,
            }.items()
        },
    }
    declared = {key: value for key, value in said.items() if value is not None}
    if not declared:
        raise PlanError(
            "paddler set: nothing was declared. Add at least one, for example --life-jacket worn;"
            " see safety-check paddler set --help."
        )
    declare_paddler(declared)
    show()


@app.command()
def show(as_json: AsJson = False) -> None:
    """Show what you have declared.

    Example: safety-check paddler show
    """
    import json
    from dataclasses import asdict

    from safety_check.settings.settings import load_settings

    declared = asdict(load_settings().paddler)
    if as_json:
        typer.echo(json.dumps(declared, indent=2))
        return
    for key, value in declared.items():
        word = {None: "not declared", True: "yes", False: "no"}.get(value, value)
        typer.echo(f"{key.replace('_', ' '):16} {word}")
