"""Put a change into functions that are already loaded, so that nothing is imported again."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from types import CodeType, FunctionType

from benchmarks.mutations.mutants import Mutant, changed_tree


def put_in(mutant: Mutant) -> int:
    """Make a change in every loaded function of its file; return how many functions it changed.

    None changes where the change is in code that is not loaded, or needs other outer variables.
    """
    made = {
        (code.co_qualname, code.co_firstlineno): code
        for code in _codes(
            compile(changed_tree(mutant), str(mutant.path), "exec", dont_inherit=True)
        )
    }
    changed = 0
    gc.unfreeze()  # else what pytest has collected is not among the objects
    for function in gc.get_objects():
        if not isinstance(function, FunctionType):
            continue
        old = function.__code__
        if old.co_filename != str(mutant.path):
            continue
        new = made.get((old.co_qualname, old.co_firstlineno))
        if new is None or new == old or new.co_freevars != old.co_freevars:
            continue
        function.__code__ = new
        changed += 1
    return changed


def _codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _codes(constant)
