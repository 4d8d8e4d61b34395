"""Print what the program depends on, with licences: `python -m docs.dependencies`.

Lists every library that the program and its locked extras need on this Python, directly or through
another, as installed here. Ends with exit status 1 and names each library that differs from
`requirements.lock`, or whose licence is unknown or not in `docs/licences.toml`.
"""

from __future__ import annotations

import re
import sys
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import Any

from license_expression import ExpressionError, Licensing, get_spdx_licensing
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
PROGRAM = "safety-check"
NOT_LOCKED = frozenset({"notify"})  # installed by whoever wants notices


@dataclass(frozen=True)
class Dependency:
    """One library that the program needs, as installed here.

    Attributes
    ----------
    name, version
        Normalised name, and version; the version is empty where it is not installed.
    licence
        SPDX expression; empty where neither its metadata nor `docs/licences.toml` says one.
    needs
        Names of the libraries that it needs itself.
    """

    name: str
    version: str
    licence: str
    needs: tuple[str, ...]


def main() -> int:
    """Print the table and what is wrong; return the exit status."""
    found = dependencies()
    for one in found:
        sys.stdout.write(f"{one.name:24} {one.version or 'other systems':16} {one.licence}\n")
    wrong = faults(found)
    sys.stdout.write("".join(f"{line}\n" for line in wrong))
    sys.stdout.write(f"libraries: {len(found)}, at fault: {len(wrong)}\n")
    return 1 if wrong else 0


def dependencies() -> list[Dependency]:
    """Return every library that the program needs, by name, the program itself left out."""
    found: dict[str, Dependency] = {}
    asked = [(PROGRAM, frozenset(extras()))]
    done = set()
    while asked:
        name, wanted = one = asked.pop()
        if one in done:
            continue
        done.add(one)
        needs = _needs(name, wanted)
        asked += [(normal(need.name), frozenset(need.extras)) for need in needs]
        before = found[name].needs if name in found else ()
        found[name] = _dependency(name, {*before, *(normal(need.name) for need in needs)})
    del found[PROGRAM]
    return [found[name] for name in sorted(found)]


def needed_directly() -> tuple[str, ...]:
    """Return the libraries that the program itself names, its locked extras included."""
    return tuple(sorted({normal(need.name) for need in _needs(PROGRAM, frozenset(extras()))}))


def extras() -> set[str]:
    """Return the extras of the program that the lock covers."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return set(project["optional-dependencies"]) - NOT_LOCKED


def faults(found: list[Dependency]) -> list[str]:
    """Return one line for each library whose version or licence may not be shipped."""
    wrong = []
    for one in found:
        pinned = locked().get(one.name, set())
        if one.version not in pinned and (one.version or not pinned):
            versions = " or ".join(sorted(pinned)) or "nothing"
            wrong.append(f"{one.name}: {one.version} is installed, the lock has {versions}")
        if not is_allowed(one.licence):
            wrong.append(f"{one.name}: licence {one.licence or 'unknown'} is not allowed")
    return wrong


def is_allowed(licence: str) -> bool:
    """Return whether an SPDX expression can be met by allowed licences alone.

    Examples
    --------
    >>> is_allowed("MIT OR GPL-3.0-only"), is_allowed("MIT AND GPL-3.0-only"), is_allowed("")
    (True, False, False)
    """
    try:
        tree = spdx().parse(licence, validate=True)
    except ExpressionError:
        return False
    return tree is not None and _met(tree)


def _met(tree: Any) -> bool:
    operator = getattr(tree, "operator", "").strip()
    if operator == "OR":
        return any(map(_met, tree.args))
    if operator == "AND":
        return all(map(_met, tree.args))
    return tree.render() in licences()["allowed"]


def _dependency(name: str, needs: set[str]) -> Dependency:
    try:
        here = distribution(name)
    except PackageNotFoundError:
        return Dependency(name, "", licences()["elsewhere"].get(name, {}).get("licence", ""), ())
    stated = str(here.metadata.json.get("license_expression", ""))
    licence = stated or licences()["read"].get(name, {}).get("licence", "")
    return Dependency(name, here.version, licence, tuple(sorted(needs)))


def _needs(name: str, wanted: frozenset[str]) -> list[Requirement]:
    try:
        lines = distribution(name).requires or []
    except PackageNotFoundError:
        return []
    return [need for need in map(Requirement, lines) if _applies(need, wanted)]


def _applies(need: Requirement, wanted: frozenset[str]) -> bool:
    """Return whether a library is needed with these extras, on this Python and any system."""
    if need.marker is None:
        return True
    systems = (
        {"sys_platform": "linux", "platform_system": "Linux", "os_name": "posix"},
        {"sys_platform": "darwin", "platform_system": "Darwin", "os_name": "posix"},
        {"sys_platform": "win32", "platform_system": "Windows", "os_name": "nt"},
    )
    return any(
        need.marker.evaluate({**system, "extra": extra})
        for system in systems
        for extra in (*wanted, "")
    )


def normal(name: str) -> str:
    """Return a library's name as indexes write it.

    Examples
    --------
    >>> normal("Typing_Extensions")
    'typing-extensions'
    """
    return re.sub(r"[-_.]+", "-", name).casefold()


@cache
def spdx() -> Licensing:
    """Return the names of licences as SPDX lists them."""
    return get_spdx_licensing()


@cache
def locked() -> dict[str, set[str]]:
    """Return the versions of each library in the lock."""
    found: dict[str, set[str]] = {}
    text = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    for name, version in re.findall(r"^([\w.-]+)==([^\s;\\]+)", text, re.MULTILINE):
        found.setdefault(normal(name), set()).add(version)
    return found


@cache
def licences() -> dict[str, Any]:
    """Return `docs/licences.toml`."""
    path = Path(__file__).with_name("licences.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    sys.exit(main())
