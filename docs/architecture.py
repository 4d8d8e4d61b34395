"""Draw docs/architecture.md from the import contracts: `python -m docs.architecture`."""

from __future__ import annotations

import ast
import sys
import textwrap
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "safety_check"
PAGE = Path(__file__).with_name("architecture.md")
NAME_COLUMN = 12
TEXT_COLUMN = 62

INTRODUCTION = """\
# Architecture

(Printed by `python -m docs.architecture` from the import contracts in `pyproject.toml` and the
first line of each package. Do not edit it by hand.)

A plan goes in. `sources` gather open weather data for it. `physics` turns weather into conditions
on this water for this craft (`conditions`). `rules` turn conditions into findings, and findings
into a verdict. A `report` explains every reason.

```
plan ─► sources ─► briefing ─► conditions ─► findings ─► verdict ─► report, store
```

## Layers

A package may import from the packages below it, never from those above it or beside it.
`lint-imports` checks this in every test run.

"""


def main() -> None:
    """Write the page into its place."""
    PAGE.write_text(page(), encoding="utf-8")
    sys.stdout.write(f"docs/{PAGE.name}\n")


def page() -> str:
    """Return the page: the layers as a drawing, then what the other contracts forbid."""
    contracts = read_contracts()
    layers = next(contract["layers"] for contract in contracts if contract["type"] == "layers")
    forbidden = [contract for contract in contracts if contract["type"] == "forbidden"]
    drawing = "\n".join(draw(layers))
    return f"{INTRODUCTION}```\n{drawing}\n```\n\n## Further contracts\n\n" + "".join(
        describe(contract) for contract in forbidden
    )


def read_contracts() -> list[dict[str, Any]]:
    """Return the import contracts of `pyproject.toml`."""
    file = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts: list[dict[str, Any]] = file["tool"]["importlinter"]["contracts"]
    return contracts


def draw(layers: list[str]) -> Iterator[str]:
    """Yield the lines of the drawing, one box a layer, the top one first."""
    edge = "─" * (NAME_COLUMN + TEXT_COLUMN + 3)
    yield f"┌{edge}┐"
    for number, layer in enumerate(layers):
        if number:
            yield f"├{edge}┤"
        for name in layer.split(" | "):
            text = textwrap.wrap(summary(name), TEXT_COLUMN)
            for label, line in zip([name, *[""] * len(text)], text, strict=False):
                yield f"│ {label:{NAME_COLUMN}} {line:{TEXT_COLUMN}} │"
    yield f"└{edge}┘"


def summary(name: str) -> str:
    """Return the first line of the docstring of a package or module."""
    folder = PACKAGE / name
    path = folder / "__init__.py" if folder.is_dir() else PACKAGE / f"{name}.py"
    documentation = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return documentation.split("\n")[0]


def describe(contract: dict[str, Any]) -> str:
    """Return a list item that says what a contract forbids."""
    sources, targets = (
        ", ".join(f"`{module.removeprefix('safety_check.')}`" for module in contract[key])
        for key in ("source_modules", "forbidden_modules")
    )
    text = f"- **{contract['name']}.** {sources} may not import from {targets}."
    return textwrap.fill(text, 96, subsequent_indent="  ", break_on_hyphens=False) + "\n"


if __name__ == "__main__":
    main()
