"""Count what makes the package easy or hard to read, in any checkout.

Usage: python -m benchmarks.structure [CHECKOUT] [--list]

Prints one figure a line. `--list` names the items behind each figure. A duplicated block is at
least six equal lines in a row, after docstrings, comments, imports and layout are removed. A
public physics function has a product caller when code outside `physics` uses it, directly or
through other physics functions.
"""

from __future__ import annotations

import argparse
import ast
import statistics
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

PACKAGE = "safety_check"
MOST_PARAMETERS = 6
BLOCK = 6
FunctionNode = ast.FunctionDef | ast.AsyncFunctionDef


def main() -> None:
    """Print every figure of a checkout; the number of duplicated blocks comes last."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("checkout", type=Path, nargs="?", default=Path(__file__).parents[1])
    parser.add_argument("--list", action="store_true", help="name the items behind each figure")
    arguments = parser.parse_args()
    for name, items in figures(arguments.checkout).items():
        print(f"{name}: {items if isinstance(items, int) else len(items)}")
        if arguments.list and not isinstance(items, int):
            print("".join(f"  {item}\n" for item in items), end="")


def figures(checkout: Path) -> dict[str, int | list[str]]:
    """Return each figure of a checkout, as a number or as the items that it counts."""
    modules = read_modules(checkout / PACKAGE)
    lengths = [len(text.splitlines()) for text in modules.values()]
    trees = {path: ast.parse(text) for path, text in modules.items()}
    top = sorted({path.relative_to(checkout / PACKAGE).parts[0] for path in modules})
    return {
        "modules_at_top_level": [name for name in top if not name.startswith("__")],
        "layers": layers(checkout),
        "files": len(lengths),
        "lines": sum(lengths),
        "median_file": int(statistics.median(lengths)),
        "longest_file": max(lengths),
        "import_aliases": aliases(trees),
        "functions_with_more_than_six_parameters": wide_functions(trees),
        "of_these_commands": wide_functions(commands(trees)),
        "physics_functions_without_product_callers": unused_physics(trees),
        "duplicated_blocks": duplicated_blocks(trees),
    }


def read_modules(folder: Path) -> dict[Path, str]:
    """Return the text of every module below a folder."""
    return {path: path.read_text(encoding="utf-8") for path in sorted(folder.rglob("*.py"))}


@cache
def nodes_of(tree: ast.AST) -> list[ast.AST]:
    """Return every node of a tree, itself first; to find them takes longer than to look at them."""
    return list(ast.walk(tree))


def layers(checkout: Path) -> list[str]:
    """Return the lines of the import contract that orders the package, top to bottom."""
    file = tomllib.loads((checkout / "pyproject.toml").read_text(encoding="utf-8"))
    contracts: list[dict[str, Any]] = file["tool"]["importlinter"]["contracts"]
    return [
        line
        for contract in contracts
        if contract["type"] == "layers" and contract.get("containers") == [PACKAGE]
        for line in contract["layers"]
    ]


def aliases(trees: Mapping[Path, ast.Module]) -> list[str]:
    """Return every import of the package's own names that gives them another name."""
    return [
        f"{path.name}: {name.name} as {name.asname}"
        for path, tree in trees.items()
        for node in nodes_of(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(PACKAGE)
        for name in node.names
        if name.asname
    ]


def wide_functions(trees: Mapping[Path, ast.Module]) -> list[str]:
    """Return the functions with more than six parameters, `self` and `cls` not counted."""
    return [
        f"{path.name}: {node.name} ({len(parameters(node))})"
        for path, tree in trees.items()
        for node in nodes_of(tree)
        if isinstance(node, FunctionNode) and len(parameters(node)) > MOST_PARAMETERS
    ]


def commands(trees: Mapping[Path, ast.Module]) -> dict[Path, ast.Module]:
    """Return only the typer commands of each module: their parameters are options of the CLI."""
    registered = {pair for tree in trees.values() for pair in registered_commands(tree)}
    return {
        path: ast.Module(
            [
                node
                for node in tree.body
                if isinstance(node, FunctionNode)
                and ((node.name, path.stem) in registered or is_decorated_command(node))
            ],
            type_ignores=[],
        )
        for path, tree in trees.items()
        if path.parent.name == "cli"
    }


def registered_commands(tree: ast.Module) -> list[tuple[str, str]]:
    """Return function and module of each command in a table `COMMANDS` of a module."""
    return [
        pair
        for node in tree.body
        if isinstance(node, ast.Assign) and assigned_name(node) == "COMMANDS"
        for pair in ast.literal_eval(node.value).items()
    ]


def is_decorated_command(node: FunctionNode) -> bool:
    """Return whether a function is decorated with `@app.command(...)`."""
    return any(
        ast.unparse(decorator).startswith("app.command(") for decorator in node.decorator_list
    )


def parameters(node: FunctionNode) -> list[str]:
    """Return the names of a function's parameters."""
    listed = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
    return [argument.arg for argument in listed if argument.arg not in ("self", "cls")]


# -- physics without callers ---------------------------------------------------------------------


def unused_physics(trees: Mapping[Path, ast.Module]) -> list[str]:
    """Return the public physics functions that no code outside physics reaches."""
    uses: dict[str, set[str]] = defaultdict(set)
    public, reached = [], set()
    for path, tree in trees.items():
        if path.parent.name != "physics":
            reached |= names_in(tree)
            continue
        for node in tree.body:
            name = getattr(node, "name", None) or assigned_name(node)
            uses[name] |= names_in(node)
            if isinstance(node, FunctionNode) and not node.name.startswith("_"):
                public.append(f"{path.stem}.{node.name}")
    waiting = list(reached & uses.keys())
    while waiting:
        fresh = (uses[waiting.pop()] & uses.keys()) - reached
        reached |= fresh
        waiting += fresh
    return [function for function in public if function.split(".")[1] not in reached]


def assigned_name(node: ast.stmt) -> str:
    """Return the name that a statement assigns; empty where it assigns none."""
    target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
    return target.id if isinstance(target, ast.Name) else ""


def names_in(tree: ast.AST) -> set[str]:
    """Return every name and attribute that some code uses."""
    nodes = nodes_of(tree)
    return {node.id for node in nodes if isinstance(node, ast.Name)} | {
        node.attr for node in nodes if isinstance(node, ast.Attribute)
    }


# -- duplicates ----------------------------------------------------------------------------------


def duplicated_blocks(trees: Mapping[Path, ast.Module]) -> list[str]:
    """Return each run of at least six lines that occurs earlier elsewhere."""
    seen: set[tuple[str, ...]] = set()
    found = []
    for path, tree in trees.items():
        lines = list(normalised(tree))
        copied = False
        for start in range(len(lines) - BLOCK + 1):
            window = tuple(lines[start : start + BLOCK])
            if window in seen and not copied:
                found.append(f"{path.name}: {window[0]}")
            copied = window in seen
            seen.add(window)
    return found


def normalised(tree: ast.Module) -> Iterator[str]:
    """Yield the lines of a module without docstrings, comments, imports and layout."""
    for statement in tree.body:
        if isinstance(statement, ast.Import | ast.ImportFrom):
            continue
        bare = ast.parse(ast.unparse(statement))
        for node in ast.walk(bare):
            if isinstance(node, FunctionNode | ast.ClassDef) and ast.get_docstring(node):
                node.body = node.body[1:] or [ast.Pass()]
        yield from (line.strip() for line in ast.unparse(bare).splitlines() if line.strip())


if __name__ == "__main__":
    main()
