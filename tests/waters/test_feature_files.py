"""Shores, ramps and routes from GPX and KML, as strict and as bounded as GeoJSON."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from safety_check.errors import ConfigError, SeveralWatersError
from safety_check.waters import feature_files
from safety_check.waters.add import from_file
from safety_check.waters.feature_files import read_features
from safety_check.waters.route import parse_route

SHORE = [(-99.65, 44.88), (-99.60, 44.88), (-99.60, 44.92), (-99.65, 44.92), (-99.65, 44.88)]
ISLAND = [(-99.63, 44.89), (-99.62, 44.89), (-99.62, 44.90), (-99.63, 44.89)]
RAMP = (-99.65, 44.9)


def positions(ring: list[tuple[float, float]]) -> str:
    return "\n".join(f"{east},{north},0" for east, north in ring)


def kml(*placemarks: str, namespace: str = ' xmlns="http://www.opengis.net/kml/2.2"') -> str:
    return f"<kml{namespace}><Document><Folder>{''.join(placemarks)}</Folder></Document></kml>"


def placemark(name: str, inner: str) -> str:
    return f"<Placemark><name> {name} </name>{inner}</Placemark>"


def ring(side: str, line: list[tuple[float, float]]) -> str:
    text = f"<coordinates>{positions(line)}</coordinates>"
    return f"<{side}><LinearRing>{text}</LinearRing></{side}>"


def polygon(*islands: list[tuple[float, float]], shore: list[tuple[float, float]] = SHORE) -> str:
    holes = "".join(ring("innerBoundaryIs", island) for island in islands)
    return f"<Polygon>{ring('outerBoundaryIs', shore)}{holes}</Polygon>"


def point(at: tuple[float, float] = RAMP) -> str:
    return f"<Point><coordinates>{at[0]},{at[1]}</coordinates></Point>"


def gpx(*, track: list[tuple[float, float]] | None = None, waypoint: str = "") -> str:
    points = "".join(f'<trkpt lat="{north}" lon="{east}"/>' for east, north in track or [])
    drawn = f"<trk><name>walk</name><trkseg>{points}</trkseg></trk>" if track else ""
    marked = f'<wpt lat="{RAMP[1]}" lon="{RAMP[0]}"><name>{waypoint}</name></wpt>'
    body = (marked if waypoint else "") + drawn
    return f'<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">{body}</gpx>'


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("namespace", ["", ' xmlns="http://www.opengis.net/kml/2.2"'])
def test_a_kml_polygon_is_a_water_with_its_islands_and_ramps(
    tmp_path: Path, namespace: str
) -> None:
    text = kml(
        placemark("Orvel", polygon(ISLAND)), placemark("west ramp", point()), namespace=namespace
    )
    water = from_file("Orvel Lake", written(tmp_path, "orvel.KML", text))
    assert [launch.name for launch in water.launches] == ["west ramp"]
    assert (water.launches[0].latitude, water.launches[0].longitude) == (44.9, -99.65)
    assert sorted(len(one) for one in water.shoreline) == [4, 5]
    assert np.allclose(np.concatenate(water.shoreline).min(axis=0), (-99.65, 44.88))


def test_geometries_within_a_kml_geometry_are_read(tmp_path: Path) -> None:
    both = f"<MultiGeometry>{polygon()}{point()}</MultiGeometry>"
    found = read_features(written(tmp_path, "orvel.kml", kml(placemark("Orvel", both))))
    assert [one["geometry"]["type"] for one in found] == ["Polygon", "Point"]


def test_a_track_around_a_water_is_its_shore_and_a_waypoint_its_ramp(tmp_path: Path) -> None:
    walk = [*SHORE[:-1], (-99.65, 44.8803)]  # ends 33 m from where it began
    water = from_file("Orvel", written(tmp_path, "h.gpx", gpx(track=walk, waypoint="slip")))
    assert [launch.name for launch in water.launches] == ["slip"]
    assert len(water.shoreline) == 1


def test_a_track_that_does_not_come_back_is_never_closed(tmp_path: Path) -> None:
    walk = [*SHORE[:-1], (-99.65, 44.883)]  # 330 m
    with pytest.raises(ConfigError, match="a track around the water must end where it began"):
        from_file("Orvel", written(tmp_path, "h.gpx", gpx(track=walk, waypoint="slip")))


def test_a_route_is_read_from_gpx_and_kml(tmp_path: Path) -> None:
    water = from_file("Orvel", written(tmp_path, "h.kml", kml(placemark("Orvel", polygon()))))
    launch = from_file(
        "x", written(tmp_path, "r.kml", kml(placemark("a", polygon()), placemark("b", point())))
    ).launches[0]
    way = [(-99.64, 44.9), (-99.63, 44.905)]
    line = f"<LineString><coordinates>{positions(way)}</coordinates></LineString>"
    drawn = written(tmp_path, "way.kml", kml(placemark("way", line)))
    tracked = written(tmp_path, "way.gpx", gpx(track=way))
    for file in (drawn, tracked):
        assert parse_route(str(file), water, launch).tolist() == [list(place) for place in way]


def test_a_long_recorded_track_is_thinned_to_a_route_within_ten_metres(tmp_path: Path) -> None:
    water = from_file(
        "x", written(tmp_path, "r.kml", kml(placemark("a", polygon()), placemark("b", point())))
    )
    out = [(-99.65 + 0.03 * step / 3000, 44.9 + 3e-5 * (step % 2)) for step in range(3001)]
    file = written(tmp_path, "out.gpx", gpx(track=out))
    route = parse_route(str(file), water, water.launches[0])
    assert 1 <= len(route) <= 500
    assert np.allclose(route[-1], out[-1], atol=1e-9)  # projected there and back
    loop = written(tmp_path, "loop.gpx", gpx(track=[*out, *out[::-1]]))
    assert len(parse_route(str(loop), water, water.launches[0])) > 1


# -- several waters --------------------------------------------------------------------------------

EAST = [(east + 0.2, north) for east, north in SHORE]


def test_a_file_with_several_waters_names_them_and_one_is_picked(tmp_path: Path) -> None:
    places = [
        placemark("Orvel", polygon()),
        placemark("Gull", polygon(shore=EAST)),
        placemark("west ramp", point()),
        placemark("gull ramp", point((-99.45, 44.9))),
    ]
    file = written(tmp_path, "both.kml", kml(*places))
    with pytest.raises(SeveralWatersError, match="--pick: 'Orvel', 'Gull'") as several:
        from_file("x", file)
    assert several.value.names == ("Orvel", "Gull")
    for pick, ramp, east in (("gull", "gull ramp", -99.45), ("1", "west ramp", -99.65)):
        water = from_file("x", file, pick=pick)
        assert [launch.name for launch in water.launches] == [ramp]
        assert np.concatenate(water.shoreline)[:, 0].min() == pytest.approx(east)
        assert any("left out 1 point that is" in note for note in water.repairs)
    with pytest.raises(ConfigError, match=r"--pick 'Orvell'.*Did you mean 'Orvel'"):
        from_file("x", file, pick="Orvell")


def test_waters_of_one_name_are_numbered(tmp_path: Path) -> None:
    places = [placemark("", polygon()), placemark("", polygon(shore=EAST))]
    file = written(tmp_path, "both.kml", kml(*places))
    with pytest.raises(SeveralWatersError) as several:
        from_file("x", file)
    assert several.value.names == ("unnamed 1", "unnamed 2")


# -- what is refused -------------------------------------------------------------------------------

BOMB = '<!DOCTYPE a [<!ENTITY b "bb"><!ENTITY c "&b;&b;">]>'
OUTSIDE = '<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hostname">]>'
REFUSED = {
    "html.kml": ("<html><body/></html>", "is not KML: its first element is 'html'"),
    "cut.kml": (kml(placemark("a", polygon()))[:-40], "is not KML"),
    "cut.gpx": (gpx(track=SHORE)[:-20], "is not GPX"),
    "empty.gpx": ("", "is not GPX"),
    "html.gpx": ("<html/>", "h"),
    "bomb.kml": (BOMB + kml(placemark("&c;", polygon())), "entities or references"),
    "bomb.gpx": (BOMB + gpx(waypoint="&c;"), "entities or references"),
    "outside.gpx": (OUTSIDE + gpx(waypoint="&b;"), "entities or references"),
    "no outer.kml": (kml(placemark("a", "<Polygon/>")), "exactly one outer boundary"),
    "no place.kml": (kml(placemark("a", "<Point/>")), "it has no coordinates"),
    "words.kml": (
        kml(placemark("a", "<Point><coordinates>here</coordinates></Point>")),
        "longitude,latitude without spaces",
    ),
    "nothing.kml": (kml(), "no feature with a geometry"),
    "packed.kmz": ("PK", "Unpack it"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_gpx_or_kml_is_refused_in_one_paragraph(tmp_path: Path, name: str) -> None:
    text, said = REFUSED[name]
    with pytest.raises(ConfigError) as refused:
        from_file("x", written(tmp_path, name, text))
    assert said in str(refused.value)
    assert str(refused.value).startswith(name)
    assert "\n" not in str(refused.value)


def test_a_file_beyond_the_greatest_size_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(feature_files, "GREATEST_XML", 1_000)
    with pytest.raises(ConfigError, match="has more than 0 MB"):
        read_features(written(tmp_path, "large.gpx", gpx(waypoint="x" * 2_000)))


def test_a_track_with_an_endless_coordinate_is_refused() -> None:
    points = '<trkpt lat="44.9" lon="inf"/>' + '<trkpt lat="44.9" lon="-99.6"/>' * 4
    track = f'<gpx version="1.1" creator="x"><trk><trkseg>{points}</trkseg></trk></gpx>'
    with pytest.raises(ConfigError, match="no number"):
        feature_files.features_in(track.encode(), "shore.gpx")
