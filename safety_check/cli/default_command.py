"""A group of commands of which one needs no name."""

from __future__ import annotations

from typing import Any

from typer.core import TyperGroup

DEFAULT = "write"


class DefaultGroup(TyperGroup):
    """A group that runs its default command where the first argument names no other."""

    default_command = DEFAULT

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Return what is left of the arguments, the default command put before them."""
        first = args[0] if args else ""
        if first not in self.commands and first not in ctx.help_option_names:
            args = [DEFAULT, *args]
        return super().parse_args(ctx, args)
