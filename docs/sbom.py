"""Print the bill of materials of a wheel: `python -m docs.sbom WHEEL > sbom.cdx.json`.

CycloneDX 1.6, JSON: the wheel with its SHA-256, every library that it needs on this Python, as
installed here, and the data from outside that it carries. The same wheel and libraries give the
same bytes. Ends with exit status 1 where `python -m docs.dependencies` finds a fault.
"""

from __future__ import annotations

import hashlib
import sys
import uuid
import zipfile
from collections.abc import Iterable
from pathlib import Path

from cyclonedx.model import HashAlgorithm, HashType, Property
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentType
from cyclonedx.model.license import LicenseExpression
from cyclonedx.output.json import JsonV1Dot6
from packageurl import PackageURL

from docs.dependencies import (
    PROGRAM,
    Dependency,
    dependencies,
    faults,
    licences,
    needed_directly,
)


def main() -> int:
    """Print the bill of the wheel named; return the exit status."""
    if len(sys.argv) != 2:
        sys.stderr.write("usage: python -m docs.sbom WHEEL\n")
        return 2
    found = dependencies()
    sys.stdout.write(bill(Path(sys.argv[1]), found) + "\n")
    wrong = faults(found)
    sys.stderr.write("".join(f"{line}\n" for line in wrong))
    return 1 if wrong else 0


def bill(wheel: Path, found: Iterable[Dependency]) -> str:
    """Return the bill of materials of a wheel with these libraries, as CycloneDX JSON."""
    version = wheel.name.split("-")[1]
    program = _library(PROGRAM, version, "MIT", _sha256(wheel.read_bytes()))
    libraries = {one.name: _library(one.name, one.version, one.licence) for one in found}
    bom = Bom(components=[*libraries.values(), *_data(wheel)])
    bom.metadata.timestamp = None  # type: ignore[assignment]  # the time of printing says nothing
    bom.metadata.component = program
    bom.serial_number = uuid.uuid5(uuid.NAMESPACE_URL, repr((program.hashes, sorted(libraries))))
    bom.register_dependency(program, [libraries[name] for name in needed_directly()])
    for one in found:
        bom.register_dependency(libraries[one.name], [libraries[name] for name in one.needs])
    return JsonV1Dot6(bom).output_as_string(indent=2)


def _library(name: str, version: str, licence: str, sha256: str = "") -> Component:
    return Component(
        name=name,
        version=version or None,
        type=ComponentType.APPLICATION if name == PROGRAM else ComponentType.LIBRARY,
        bom_ref=name,
        purl=PackageURL("pypi", name=name, version=version or None),
        licenses=[LicenseExpression(licence)] if licence else [],
        hashes=[HashType(alg=HashAlgorithm.SHA_256, content=sha256)] if sha256 else [],
    )


def _data(wheel: Path) -> Iterable[Component]:
    """Yield the files of data from outside that the wheel carries."""
    with zipfile.ZipFile(wheel) as inside:
        for one in licences()["data"]:
            place = f"safety_check/config/{one['file']}"
            yield Component(
                name=place,
                type=ComponentType.DATA,
                bom_ref=place,
                licenses=[LicenseExpression(one["licence"])],
                hashes=[HashType(alg=HashAlgorithm.SHA_256, content=_sha256(inside.read(place)))],
                properties=[Property(name="safety-check:origin", value=one["origin"])],
            )


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


if __name__ == "__main__":
    sys.exit(main())
