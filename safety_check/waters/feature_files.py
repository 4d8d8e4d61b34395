"""Read shapes, points and lines from GeoJSON, GPX or KML, each as GeoJSON features."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from safety_check.errors import ConfigError
from safety_check.waters.geojson import GREATEST_FILE, features, read_json

XML = (".gpx", ".kml")
SUFFIXES = (".geojson", ".json", *XML)
GREATEST_XML = 20_000_000  # bytes; its tree takes several times as much memory


def read_features(path: Path) -> list[dict[str, Any]]:
    """Return the features of a file, by the ending of its name: GPX, KML, else GeoJSON.

    Raises
    ------
    ConfigError
        Where the file is too large, is not what its name says, or has no place in it.
    """
    kind = path.suffix.lower()
    if kind == ".kmz":
        raise ConfigError(
            f"{path.name}: a KMZ file is packed. Unpack it and use the KML file in it."
        )
    if kind not in XML:
        return features(read_json(path), path.name)
    text = _text(path)
    if kind == ".gpx":
        from safety_check.waters.gpx import gpx_features

        found = gpx_features(text, path.name)
    else:
        from safety_check.waters.kml import kml_features

        found = kml_features(text, path.name)
    return features({"type": "FeatureCollection", "features": found}, path.name)


def _text(path: Path) -> bytes:
    limit = min(GREATEST_XML, GREATEST_FILE)
    try:
        with path.open("rb") as file:
            text = file.read(limit + 1)
    except OSError as trouble:
        raise ConfigError(f"{path.name} cannot be read: {trouble}. Check the file.") from trouble
    if len(text) > limit:
        raise ConfigError(
            f"{path.name} has more than {limit // 1_000_000} MB, more than any lake or route needs."
            " Export only what you need."
        )
    return text


def parse_xml(text: bytes, file: str, kind: str) -> Any:
    """Return the root element of an XML file without entities or references to other files."""
    from defusedxml import DefusedXmlException, ElementTree

    try:
        return ElementTree.fromstring(text)
    except DefusedXmlException as trouble:
        raise ConfigError(
            f"{file}: it contains entities or references to other files, which are refused. Export"
            f" it again as plain {kind}."
        ) from trouble
    except (ElementTree.ParseError, ValueError, LookupError) as trouble:
        raise ConfigError(f"{file} is not {kind}: {trouble}. Export it again.") from trouble


def feature(kind: str, coordinates: list[Any], name: str | None) -> dict[str, Any]:
    """Return a GeoJSON feature."""
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "properties": {"name": name or None}, "geometry": geometry}
