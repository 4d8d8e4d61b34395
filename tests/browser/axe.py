"""The accessibility checker that is run in the pages: axe-core, fetched once by the npm client.

It is nobody's dependency and not committed; without npm the tests that need it are skipped.
"""

from __future__ import annotations

import shutil
import subprocess
import tarfile
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

PACKAGE = "axe-core@4.14.1"
SERIOUS = ("serious", "critical")
PATIENCE = 180.0  # s
SERIOUS_FINDINGS = """async serious => {
  const told = await axe.run({resultTypes: ["violations"]});
  return told.violations
    .filter(violation => serious.includes(violation.impact))
    .flatMap(violation => violation.nodes.map(
      node => `${violation.id}: ${violation.help}: ${node.html}`));
}"""


def script(shelf: Path) -> str:
    """Return the checker's script, kept on a shelf from one run to the next."""
    kept = shelf / f"{PACKAGE}.min.js"
    if not kept.exists():
        _fetch(kept)
    return kept.read_text(encoding="utf-8")


def _fetch(kept: Path) -> None:
    if shutil.which("npm") is None:
        pytest.skip("accessibility: npm is not installed, so the checker can't be fetched")
    with tempfile.TemporaryDirectory(dir=kept.parent) as folder:
        command = ["npm", "pack", "--silent", PACKAGE]
        try:
            done = subprocess.run(
                command, cwd=folder, capture_output=True, timeout=PATIENCE, check=False
            )
        except subprocess.TimeoutExpired:
            pytest.skip("accessibility: npm did not fetch the accessibility checker in time")
        packed = list(Path(folder).glob("*.tgz"))
        if done.returncode or not packed:
            pytest.skip("accessibility: npm could not fetch the accessibility checker")
        with tarfile.open(packed[0]) as archive:
            member = archive.extractfile("package/axe.min.js")
            assert member is not None
            fresh = Path(folder) / "fresh.js"
            fresh.write_bytes(member.read())
            fresh.replace(kept)


def findings(page: Page, checker: str) -> list[str]:
    """Return what is serious or worse on a page as it is shown now."""
    page.evaluate(checker)
    told: list[str] = page.evaluate(SERIOUS_FINDINGS, list(SERIOUS))
    return told
