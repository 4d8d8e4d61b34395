"""The small changes that are tried in the functions and tables of a source file."""

from __future__ import annotations

import ast
import copy
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

OTHER_COMPARISON: dict[type[ast.cmpop], type[ast.cmpop]] = {
    **{ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt},
    **{ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In},
    **{ast.Is: ast.IsNot, ast.IsNot: ast.Is},
}
OTHER_OPERATION: dict[type[ast.operator], type[ast.operator]] = {
    **{ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult},
    **{ast.Pow: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult},
    **{ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd},
}
OTHER_NAME = {
    **{"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum"},
    **{"any": "all", "all": "any", "floor": "ceil", "ceil": "floor", "argmax": "argmin"},
}
LARGER = 1.2  # a number with a fraction is changed by a fifth

Change = tuple[str, Callable[[], ast.AST]]


@dataclass(frozen=True)
class Mutant:
    """One change of a source file.

    Parameters
    ----------
    path
        The file.
    line
        Where the change is, from 1.
    number
        Which one of the changes of this file.
    before, after
        The changed expression or statement as source.
    at_import
        Whether it is in a table or constant of the module, which is read while it is imported.
    """

    path: Path
    line: int
    number: int
    before: str
    after: str
    at_import: bool


def mutants_of(path: Path) -> list[Mutant]:
    """Return every change that is tried in a file: in its functions, then in its tables."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    in_functions = sum(1 for _ in _changes_of_functions(tree))
    return [
        Mutant(
            *(path, node.lineno, number, ast.unparse(node), after),  # type: ignore[attr-defined]
            at_import=number >= in_functions,
        )
        for number, (node, (after, _)) in enumerate(_changes(tree))
    ]


def changed_tree(mutant: Mutant) -> ast.Module:
    """Return the syntax tree of the file with the change made, its lines as before."""
    tree = ast.parse(mutant.path.read_text(encoding="utf-8"))
    for number, (node, (_, make)) in enumerate(_changes(tree)):
        if number == mutant.number:
            _replace(tree, node, ast.copy_location(make(), node))
            return ast.fix_missing_locations(tree)
    raise ValueError(f"{mutant.path}: no change {mutant.number}")


def _changes(tree: ast.Module) -> Iterator[tuple[ast.AST, Change]]:
    yield from _changes_of_functions(tree)
    yield from _changes_of_tables(tree)


def _changes_of_functions(tree: ast.AST) -> Iterator[tuple[ast.AST, Change]]:
    for function in _outermost_functions(tree):
        for node in _walk_code(function):
            for make in _of_node(node):
                yield node, (ast.unparse(make()), make)


def _changes_of_tables(tree: ast.Module) -> Iterator[tuple[ast.AST, Change]]:
    for statement in tree.body:
        if isinstance(statement, ast.Assign | ast.AnnAssign) and statement.value:
            for node in _walk(statement.value):
                for make in (*_of_node(node), *_shorter(node)):
                    yield node, (ast.unparse(make()), make)


def _shorter(node: ast.AST) -> Iterator[Callable[[], ast.AST]]:
    """Yield the table without each one of its entries."""
    match node:
        case ast.Tuple(elts=[_, _, *_]) | ast.List(elts=[_, _, *_]) | ast.Set(elts=[_, _, *_]):
            for place in range(len(node.elts)):
                yield partial(_with, node, elts=_without(node.elts, place))
        case ast.Dict(keys=keys, values=values):
            for place in range(len(keys)):
                kept = {"keys": _without(keys, place), "values": _without(values, place)}
                yield partial(_with, node, **kept)


def _without(entries: Sequence[object], place: int) -> list[object]:
    return [one for number, one in enumerate(entries) if number != place]


def _outermost_functions(node: ast.AST) -> Iterator[ast.AST]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            yield child
        else:
            yield from _outermost_functions(child)


def _walk_code(function: ast.AST) -> Iterator[ast.AST]:
    """Yield what runs when a function is called: no annotation, default, decorator or docstring."""
    body = function.body if isinstance(function.body, list) else [function.body]  # type: ignore[attr-defined]
    for statement in body:
        if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
            continue
        yield from _walk(statement)


def _walk(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
        yield from _walk_code(node)
        return
    yield node
    for name, value in ast.iter_fields(node):
        if name == "annotation" or isinstance(node, ast.JoinedStr | ast.Raise | ast.Assert):
            continue  # words of messages are no decisions
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _walk(child)


def _of_node(node: ast.AST) -> Iterator[Callable[[], ast.AST]]:
    for kind in (_operators, _constants, _names, _branches):
        yield from kind(node)


def _operators(node: ast.AST) -> Iterator[Callable[[], ast.AST]]:
    match node:
        case ast.Compare(ops=[only]) if type(only) in OTHER_COMPARISON:
            yield lambda: _with(node, ops=[OTHER_COMPARISON[type(only)]()])
        case ast.BinOp() if type(node.op) in OTHER_OPERATION:
            yield lambda: _with(node, op=OTHER_OPERATION[type(node.op)]())
        case ast.BoolOp():
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield lambda: _with(node, op=other)
        case ast.UnaryOp(op=ast.Not() | ast.USub() | ast.Invert()):
            yield lambda: copy.deepcopy(node.operand)


def _constants(node: ast.AST) -> Iterator[Callable[[], ast.AST]]:
    match node:
        case ast.Constant(value=bool(value)):
            yield lambda: ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield lambda: ast.Constant(value + 1)
        case ast.Constant(value=float(value)):
            yield lambda: ast.Constant(value * LARGER if value else 1.0)


def _names(node: ast.AST) -> Iterator[Callable[[], ast.AST]]:
    match node:
        case ast.Name(id=name, ctx=ast.Load()) if name in OTHER_NAME:
            yield lambda: _with(node, id=OTHER_NAME[name])
        case ast.Attribute(attr=name) if name in OTHER_NAME:
            yield lambda: _with(node, attr=OTHER_NAME[name])


def _branches(node: ast.AST) -> Iterator[Callable[[], ast.AST]]:
    match node:
        case ast.If(test=test) | ast.IfExp(test=test) if isinstance(
            test, ast.Name | ast.Attribute | ast.Call
        ):
            yield lambda: _with(node, test=ast.UnaryOp(ast.Not(), copy.deepcopy(test)))
        case ast.AugAssign() | ast.Expr(value=ast.Call()):
            yield ast.Pass


def _with(node: ast.AST, **fields: object) -> ast.AST:
    changed = copy.deepcopy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return changed


def _replace(tree: ast.AST, old: ast.AST, new: ast.AST) -> None:
    for parent in ast.walk(tree):
        for name, value in ast.iter_fields(parent):
            if value is old:
                setattr(parent, name, new)
            elif isinstance(value, list) and any(one is old for one in value):
                setattr(parent, name, [new if one is old else one for one in value])
