"""What the program depends on may be shipped with it, and every build of its wheel is the same."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest

from docs.dependencies import (
    Dependency,
    dependencies,
    faults,
    is_allowed,
    licences,
    locked,
    needed_directly,
)
from tests.wheels import build

ROOT = Path(__file__).parents[1]
BUILT = ("safety_check", "config", "pyproject.toml", "README.md", "LICENSE")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(tmp_path_factory.mktemp("wheel"))


@pytest.mark.thorough
def test_two_builds_of_the_wheel_have_the_same_bytes(wheel: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "a copy"
    skip = shutil.ignore_patterns("__pycache__")
    for name in BUILT:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, elsewhere / name, ignore=skip, copy_function=shutil.copy)
        else:
            shutil.copy(ROOT / name, elsewhere / name)
    again = build(tmp_path / "out", elsewhere, umask=0o077, TZ="Asia/Tokyo", PYTHONHASHSEED="7")
    assert again.read_bytes() == wheel.read_bytes()


def test_every_library_has_an_allowed_licence_and_the_version_of_the_lock() -> None:
    found = dependencies()
    assert {"numpy", "httpx", "certifi", "starlette", "pyarrow"} <= {one.name for one in found}
    assert faults(found) == []


def test_a_licence_or_version_that_may_not_be_shipped_is_named() -> None:
    (numpy,) = (one for one in dependencies() if one.name == "numpy")
    for licence in ("GPL-3.0-only", "MIT AND GPL-3.0-only", "", "a licence of our own"):
        wrong = faults([Dependency("numpy", numpy.version, licence, ())])
        assert len(wrong) == 1
        assert licence in wrong[0]
    older = faults([Dependency("numpy", "1.0", "MIT", ())])
    assert len(older) == 1
    assert "1.0" in older[0]
    assert faults([Dependency("not-in-the-lock", "1.0", "MIT", ())]) != []
    assert is_allowed("GPL-3.0-only OR MIT")


def test_a_licence_read_by_hand_gives_way_to_what_the_library_itself_says() -> None:
    stated = {one.name: one.licence for one in dependencies() if one.name not in licences()["read"]}
    assert stated["numpy"].startswith("BSD-3-Clause")
    needed = {one.name for one in dependencies()}
    assert set(licences()["read"]) <= needed, "a library that is no longer needed stands there"


def test_every_locked_library_has_hashes() -> None:
    entries = (ROOT / "requirements.lock").read_text(encoding="utf-8").split("\n")
    pins = [number for number, line in enumerate(entries) if "==" in line]
    assert sum(map(len, locked().values())) == len(pins)
    for number in pins:
        assert "--hash=sha256:" in entries[number + 1], entries[number]


@pytest.mark.thorough
def test_the_bill_of_materials_names_the_wheel_its_libraries_and_its_data(wheel: Path) -> None:
    printed = [
        subprocess.run(
            [sys.executable, "-m", "docs.sbom", str(wheel)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for _ in range(2)
    ]
    assert printed[0] == printed[1]
    bill: dict[str, Any] = json.loads(printed[0])
    assert (bill["bomFormat"], bill["specVersion"]) == ("CycloneDX", "1.6")
    program = bill["metadata"]["component"]
    assert program["hashes"] == [
        {"alg": "SHA-256", "content": hashlib.sha256(wheel.read_bytes()).hexdigest()}
    ]
    named = {part["name"]: part for part in bill["components"]}
    assert {one.name for one in dependencies()} <= set(named)
    assert all(part["licenses"] for part in named.values())
    needs = {one["ref"]: one.get("dependsOn", []) for one in bill["dependencies"]}
    assert set(needs["safety-check"]) == set(needed_directly())
    reached: set[str] = set()
    ahead = ["safety-check"]
    while ahead:
        ahead += set(needs[ahead.pop()]) - reached
        reached |= set(ahead)
    assert {one.name for one in dependencies()} == reached
    with zipfile.ZipFile(wheel) as inside:
        for one in licences()["data"]:
            place = f"safety_check/config/{one['file']}"
            digest = hashlib.sha256(inside.read(place)).hexdigest()
            assert named[place]["hashes"][0]["content"] == digest
