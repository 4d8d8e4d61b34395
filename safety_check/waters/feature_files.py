"""Read shapes, points and lines from GeoJSON, GPX or KML, each as GeoJSON features."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from safety_check.errors import ConfigError
from safety_check.waters.geojson import GREATEST_FILE, features, json_in

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
    limit = greatest_file(path.name)
    try:
        with path.open("rb") as file:
            content = file.read(limit + 1)
    except OSError as trouble:
        raise ConfigError(f"{path.name} cannot be read: {trouble}. Check the file.") from trouble
    return features_in(content, path.name)


def features_in(content: bytes, name: str) -> list[dict[str, Any]]:
    """Return the features of a file's content; otherwise as `read_features`.

    Parameters
    ----------
    content
        All of it, or more than `greatest_file`.
    name
        Of the file, for its ending and for the messages.
    """
    kind = Path(name).suffix.lower()
    if kind == ".kmz":
        raise ConfigError(f"{name}: a KMZ file is packed. Unpack it and use the KML file in it.")
    limit = greatest_file(name)
    if len(content) > limit:
        raise ConfigError(
            f"{name} has more than {limit // 1_000_000} MB, more than any lake or route needs."
            " Export only what you need."
        )
    if kind not in XML:
        return features(json_in(content, name), name)
    if kind == ".gpx":
        from safety_check.waters.gpx import gpx_features

        found = gpx_features(content, name)
    else:
        from safety_check.waters.kml import kml_features

        found = kml_features(content, name)
    return features({"type": "FeatureCollection", "features": found}, name)


def greatest_file(name: str) -> int:
    """Return how large a file of a name may be. [bytes]."""
    return GREATEST_XML if Path(name).suffix.lower() in XML else GREATEST_FILE


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
