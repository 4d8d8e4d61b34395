"""The drawn map: true to its numbers, readable without colour, safe with anybody's text, small."""

from __future__ import annotations

import base64
import re
import struct
import zlib
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely

from safety_check.conditions.wave_map import grid_of_water, map_under_wind
from safety_check.model.place import Launch, Water
from safety_check.report.map.bands import contour_lines
from safety_check.report.map.field import BEYOND, FINER, draw_field, finer, indexed_png
from safety_check.report.map.lake_map import STYLE, TALLEST, TOP, draw_wave_map
from safety_check.report.map.paper import HALF_A_PIXEL, paper_for, shore_path
from safety_check.report.map.scale import COLOURS, LEVELS, MARGIN, WIDTH, levels
from safety_check.units import Preferences, show
from safety_check.waters.add import from_file
from tests.conditions.test_wave_map import LAKE
from tests.hostile import HOSTILE
from tests.recordings import shared_folder
from tests.report.test_colours import SEEN, apart, lab, linear

READS = Preferences()
METRIC = Preferences(wind="m/s", wave="m", distance="km")
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def cache(tmp_path_factory):
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(scope="module")
def paper(cache):
    return grid_of_water(LAKE, cache)


@pytest.fixture(scope="module")
def windy(paper):
    return map_under_wind(paper, 9.0, 315.0, caution=0.25, no_go=0.45)


def read(svg):
    return ElementTree.fromstring(svg)


def texts(svg):
    return ["".join(item.itertext()) for item in read(svg).iter(f"{SVG}text")]


# -- the field -------------------------------------------------------------------------------


def pixels(uri):
    """Return the palette's indices, north first, and the palette of a PNG as we write it."""
    body = base64.b64decode(uri.removeprefix("data:image/png;base64,"))
    assert body[:8] == b"\x89PNG\r\n\x1a\n"
    chunks, at = {}, 8
    while at < len(body):
        (size,) = struct.unpack(">I", body[at : at + 4])
        kind, data = body[at + 4 : at + 8], body[at + 8 : at + 8 + size]
        assert struct.unpack(">I", body[at + 8 + size : at + 12 + size])[0] == zlib.crc32(
            kind + data
        )
        chunks[kind] = data
        at += 12 + size
    columns, rows, depth, colour, *_ = struct.unpack(">IIBBBBB", chunks[b"IHDR"])
    assert (depth, colour) == (8, 3)
    lines = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(rows, columns + 1)
    assert not lines[:, 0].any()
    palette = [f"#{chunks[b'PLTE'][k : k + 3].hex()}" for k in range(0, len(chunks[b"PLTE"]), 3)]
    return lines[:, 1:], palette


def test_every_place_is_painted_in_the_band_of_its_height(windy):
    (image,) = read(draw_wave_map(windy, READS)).iter(f"{SVG}image")
    band, palette = pixels(image.get("href"))

    assert palette[1:] == list(COLOURS)
    row, column = windy.grid.cells
    # The four pixels about the middle of a cell; the picture starts at the middle of the
    # outermost drawn-on cell.
    x, y = FINER * (column + BEYOND), len(band) - FINER * (row + BEYOND)
    about = np.stack([band[y - a, x - b] for a in (0, 1) for b in (0, 1)])
    expected = np.digitize(windy.height, levels(windy, "ft")) + 1
    near = np.abs(about.astype(int) - expected)
    assert near.max() <= 1  # a quarter of a cell towards a neighbour
    assert (near == 0).all(axis=0).mean() > 0.75


def test_the_picture_covers_its_cells(windy):
    (image,) = read(draw_wave_map(windy, READS)).iter(f"{SVG}image")
    placed = paper_for(windy.grid.frame, MARGIN, TOP, WIDTH - 2 * MARGIN, TALLEST)
    x, y, wide, high = (float(image.get(value)) for value in ("x", "y", "width", "height"))

    size = np.array(windy.grid.on_grid(windy.height).shape) - 1
    first = placed.place(windy.grid.corner)
    last = placed.place(windy.grid.corner + windy.grid.whole.spacing * size[::-1])
    border = BEYOND * windy.grid.whole.spacing * placed.scale
    # Places are printed to a tenth of a unit.
    assert (x, y) == pytest.approx((first[0] - border, last[1] - border), abs=0.1)
    assert (x + wide, y + high) == pytest.approx((last[0] + border, first[1] + border), abs=0.2)


def test_a_grid_is_drawn_on_over_its_edge_and_no_farther():
    grid = np.full((3, 3), np.nan)
    grid[1, 1] = 2.0

    wide = draw_field(grid, 2)

    assert wide.shape == (7, 7)
    assert np.isfinite(wide[1:6, 1:6]).all()
    assert np.isnan(wide[0]).all()
    assert set(wide[np.isfinite(wide)]) == {2.0}


def test_a_finer_grid_is_a_plane_where_the_grid_is_one():
    row, column = np.mgrid[:4, :5].astype(float)
    fine = finer(2 * column - row, 4)

    y, x = (np.mgrid[:12, :16] + 0.5) / 4
    assert fine == pytest.approx(2 * x - y)


def test_a_png_without_content_still_is_one():
    band, palette = pixels(
        "data:image/png;base64,"
        + base64.b64encode(indexed_png(np.zeros((1, 1), dtype=int), ["#000000"])).decode()
    )
    assert band.shape == (1, 1)
    assert palette == ["#000000"]


# -- lines of equal height -------------------------------------------------------------------


def test_a_cone_has_one_round_closed_line():
    row, column = np.mgrid[:41, :41] - 20.0
    cone = np.hypot(row, column)

    (line,) = contour_lines(cone, 12.3)

    assert np.array_equal(line[0], line[-1])
    # Straight lines in cells of a circle 12 cells wide bulge in by 1/(8·12) of a cell at most.
    assert np.hypot(*(line - 20.0).T) == pytest.approx(np.full(len(line), 12.3), abs=0.02)


def test_lines_end_at_what_is_not_known():
    grid = np.tile(np.arange(8.0), (6, 1))
    grid[2] = np.nan

    lines = contour_lines(grid, 3.5)

    assert sorted((line[:, 1].min(), line[:, 1].max()) for line in lines) == [(0, 1), (3, 5)]
    assert all(np.allclose(line[:, 0], 3.5) for line in lines)


def test_no_line_where_the_level_is_not_crossed():
    assert contour_lines(np.ones((5, 5)), 2.0) == []
    assert contour_lines(np.full((5, 5), np.nan), 2.0) == []


# -- colour is not alone ---------------------------------------------------------------------


def luminance(colour):
    """Relative luminance of WCAG 2 from "#rrggbb" or "#rgb"."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * value for value in colour[1:])
    parts = np.array(list(bytes.fromhex(digits))) / 255
    linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def test_higher_waves_are_darker_so_that_a_print_in_grey_tells_them_apart():
    light = [lab(linear(colour))[0] for colour in COLOURS]

    # Steps of 12 L*; a channel of eight bits rounds them by a tenth.
    assert light == pytest.approx([91, 79, 67, 55, 43, 31], abs=0.2)
    assert {len(level) + 1 for level in LEVELS.values()} == {len(COLOURS)}


@pytest.mark.parametrize("eyes", SEEN)
def test_land_is_no_band_of_waves_to_any_eyes(eyes):
    land = re.findall(r"--land:(#\w+)", STYLE)

    assert len(set(land)) == 2  # in light and in dark
    for colour in land:
        assert min(apart(colour, band, eyes) for band in COLOURS) >= 15
        assert min(apart(band, other, eyes) for band, other in pairwise(COLOURS)) >= 10


def test_land_has_a_grain_so_that_a_print_in_grey_tells_it_from_calm_water(windy):
    root = read(draw_wave_map(windy, READS))

    grounds = [item for item in root if item.get("class") == "lm-land"]
    grains = [item for item in root if item.get("fill") == "url(#lake-map-grain)"]
    assert len(grounds) == len(grains) == 1
    assert [grounds[0].get(key) for key in ("x", "y", "width", "height")] == [
        grains[0].get(key) for key in ("x", "y", "width", "height")
    ]


def test_text_stands_out_in_light_in_dark_and_on_paper():
    schemes = re.findall(r"--paper:(#\w+);--ink:(#\w+);--quiet:(#\w+)", STYLE)

    assert len(schemes) == 3
    for paper, *inks in schemes:
        for ink in inks:
            high, low = sorted((luminance(paper), luminance(ink)), reverse=True)
            assert (high + 0.05) / (low + 0.05) >= 7  # WCAG 2, level AAA


def test_the_bands_begin_at_the_craft_s_limits_and_at_steps_between(windy):
    assert levels(windy, "ft") == pytest.approx((0.125, 0.25, 0.35, 0.45, 0.675))
    for caution, no_go in ((0.25, np.inf), (np.inf, 0.45), (np.inf, np.inf), (0.3, 0.3)):
        found = levels(replace(windy, caution=caution, no_go=no_go), "m")
        assert len(found) == len(COLOURS) - 1
        assert all(low <= high for low, high in pairwise(found))
        assert {bound for bound in (caution, no_go) if np.isfinite(bound)} <= set(found)


def test_lines_with_figures_part_the_bands(windy):
    said = texts(draw_wave_map(windy, READS))

    assert windy.height.min() < 0.35 < windy.height.max()
    assert said.count("1.1") == 2  # on the water and in the legend
    assert said.count("caution") == 2
    assert said.count("0.8") == 1  # its line has the word instead


def test_the_areas_of_the_limits_differ_in_line_and_hatch_and_have_their_words(windy):
    high = replace(windy, height=windy.height * 2)
    svg = draw_wave_map(high, READS)

    lines = [item for item in read(svg).iter(f"{SVG}use") if item.get("class") == "lm-edge-of"]
    assert len({line.get("stroke-dasharray") for line in lines}) == 2
    assert len({line.get("stroke-width") for line in lines}) == 2
    areas = {item.get("id"): item.get("fill") for item in read(svg).iter(f"{SVG}path")}
    assert areas["lake-map-0-0"] == "none"
    assert areas["lake-map-0-1"] == "url(#lake-map-no-go)"
    said = texts(svg)
    assert said.count("no-go") == said.count("caution") == 2


def test_all_beyond_the_limit_has_the_word_without_an_edge(windy):
    said = texts(draw_wave_map(replace(windy, height=windy.height + 9.0), READS))

    assert said.count("no-go") == 2
    assert said.count("caution") == 1


def test_a_map_without_limits_does_not_mention_them(paper):
    said = " ".join(texts(draw_wave_map(map_under_wind(paper, 9.0, 315.0), READS)))

    assert "caution" not in said
    assert "no-go" not in said


# -- words -----------------------------------------------------------------------------------


def test_a_screen_reader_gets_all_that_matters(windy):
    root = read(draw_wave_map(windy, READS, notes=["Lee: here."]))

    assert root.get("role") == "img"
    by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
    title, desc = (by_id[word] for word in root.get("aria-labelledby").split())
    assert title.text == "Waves on lake"
    low, high = (show(float(value), "length", "ft") for value in np.sort(windy.height)[[0, -1]])
    assert desc.text == (
        f"Wind 20 mph from NW. Waves from {low} to {high}, highest in the SE part of the water."
        f" Caution from 0.8 ft: about {_share(windy, 0.25)} % of the water shown."
        " No-go from 1.45 ft: none of the water shown. Lee: here."
    )


def _share(lake, bound):
    return 5 * round(20 * float((lake.height >= bound).mean()))


def test_the_user_s_units_are_those_of_the_terminal(windy):
    said = texts(draw_wave_map(windy, METRIC))

    assert "Wind 9.0 m/s from NW" in said
    assert "waves, m" in said
    assert "1 km" in said
    assert {"0.25", "0.45"} <= set(said)
    bare = texts(draw_wave_map(replace(windy, caution=np.inf, no_go=np.inf), METRIC))
    assert {f"{value:g}" for value in LEVELS["m"]} <= set(bare)


def test_an_hour_says_when_it_is_in_the_water_s_own_time(windy):
    hour = replace(windy, time=datetime(2026, 6, 13, 15, tzinfo=UTC))

    assert {"Sat 13 Jun 17:00", "wind 20 mph from NW"} <= set(texts(draw_wave_map(hour, READS)))


def test_unknown_water_is_hatched_and_named(paper):
    unknown = map_under_wind(paper, np.nan, np.nan, 0.25, 0.45)

    svg = draw_wave_map(unknown, READS)

    assert "url(#lake-map-unknown)" in svg
    assert "<image" not in svg
    assert "Wind not known. Wave heights are not known." in svg
    assert "Wind not known" in texts(svg)


def test_a_calm_is_a_map_without_lines_or_arrow(paper):
    svg = draw_wave_map(map_under_wind(paper, 0.0, np.nan, 0.25, 0.45), READS)

    assert "Calm" in texts(svg)
    assert "rotate(" not in svg
    assert 'id="lake-map-0-0"' not in svg
    assert "<image" in svg


@pytest.mark.parametrize(("comes_from", "flies"), [(0.0, 180), (315.0, 135), (90.0, 270)])
def test_the_arrow_flies_with_the_wind(paper, comes_from, flies):
    assert f"rotate({flies})" in draw_wave_map(map_under_wind(paper, 5.0, comes_from), READS)


def test_the_credit_of_the_shape_is_under_it(cache):
    credited = replace(LAKE, attribution="© OpenStreetMap contributors, ODbL 1.0")

    said = texts(draw_wave_map(map_under_wind(grid_of_water(credited, cache), 5.0, 0.0), READS))

    assert "Shoreline: © OpenStreetMap contributors, ODbL 1.0" in said


def test_launch_route_and_reach_are_drawn_and_named(paper):
    at = paper.launches[0][1]
    trip = replace(paper, launches=paper.launches[:1], reach=1500.0)
    routed = replace(trip, reach=None, route=np.vstack([at, at + 500.0]))

    reached = draw_wave_map(map_under_wind(trip, 5.0, 0.0), READS)
    assert {"ramp", "0.93 mi from the launch"} <= set(texts(reached))
    assert "your route" in texts(draw_wave_map(map_under_wind(routed, 5.0, 0.0), READS))


# -- anybody's text --------------------------------------------------------------------------


@pytest.mark.parametrize("kind", HOSTILE)
def test_text_of_anybody_is_shown_as_text_and_nothing_else(cache, kind):
    text = HOSTILE[kind]
    water = replace(LAKE, name=text, launches=(Launch(text, 47.015, 12.001),), attribution=text)

    svg = draw_wave_map(map_under_wind(grid_of_water(water, cache), 5.0, 0.0), READS, notes=[text])

    root = read(svg)
    kinds = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert kinds <= {"svg", "title", "desc", "style", "defs", "clipPath", "pattern", "path", "rect",
                     "g", "text", "image", "use", "circle"}  # fmt: skip
    for element in root.iter():
        assert not any(name.startswith("on") for name in element.attrib)
        href = element.get("href")
        assert href is None or href.startswith(("#", "data:image/png;base64,"))
    assert not re.search("[\u202a-\u202e\u2066-\u2069\u200f]", svg)
    assert len(svg) < 60_000


def test_a_note_longer_than_the_map_is_wide_is_broken_into_lines(windy):
    long = "The lee lies behind the western shore and moves with the wind. " * 3

    said = texts(draw_wave_map(windy, READS, notes=[long]))

    lines = [item for item in said if item.startswith(("The lee", "western", "shore", "moves"))]
    assert lines
    assert all(len(value) < 70 for value in said)


# -- size, and several on a page -------------------------------------------------------------


def test_hours_are_layers_of_one_map_and_one_is_shown(windy):
    others = [replace(windy, time=datetime(2026, 6, 13, hour, tzinfo=UTC)) for hour in (14, 15, 16)]

    root = read(draw_wave_map(others[1], READS, hours=dict(enumerate(others))))

    layers = [item for item in root.iter(f"{SVG}g") if item.get("class") == "lm-hour"]
    assert [layer.get("data-hour") for layer in layers] == ["0", "1", "2"]
    assert [layer.get("display") for layer in layers] == ["none", None, "none"]


def test_two_maps_on_a_page_share_no_id_and_need_no_style_of_their_own(windy):
    one, other = (draw_wave_map(windy, READS, name=name, alone=False) for name in ("one", "other"))

    ids = [{element.get("id") for element in read(svg).iter()} - {None} for svg in (one, other)]
    assert not ids[0] & ids[1]
    assert "<style" not in one
    for used in re.findall(r"#([\w-]+)\)", one) + re.findall(r'href="#([^"]+)', one):
        assert used in ids[0]


def test_the_same_map_is_drawn_to_the_same_bytes(windy):
    assert draw_wave_map(windy, READS) == draw_wave_map(windy, READS)


LAKES = ("sunapee", "gurre_soe", "mud_lake_id", "superior", "champlain_ne10m", "chiemsee_ne10m")


@pytest.mark.parametrize("lake", LAKES)
def test_one_hour_of_a_real_lake_is_small_and_its_shore_true_to_half_a_pixel(lake, cache):
    water = from_file(lake, shared_folder("datasets", "lakes") / f"{lake}.geojson")
    paper = grid_of_water(water, cache)

    svg = draw_wave_map(map_under_wind(paper, 8.0, 250.0, 0.25, 0.45), READS)

    assert len(svg.encode()) < 60_000
    read(svg)
    placed = paper_for(paper.frame, 6.0, 44.0, 324.0, 420.0)
    for ring in paper.rings:
        steps = re.findall(r"-?\d*\.?\d+", shore_path([ring], placed, WIDTH))
        line = np.cumsum(np.array(steps, dtype=float).reshape(-1, 2), axis=0)
        true = shapely.LineString(placed.place(ring))
        # Half a pixel, and places printed to a tenth of a unit: 0.07 at most across it.
        apart = shapely.hausdorff_distance(true, shapely.LinearRing(line))
        assert apart < HALF_A_PIXEL * WIDTH + 0.08


@pytest.mark.thorough
def test_the_thinnest_water_and_the_smallest_pond_can_be_drawn(cache):
    along = np.linspace(0.0, 0.3, 400)
    south = np.column_stack([10 + along, 45 + 0.7 * along])
    river = np.concatenate([south, south[::-1] + np.array([0, 2e-5]), south[:1]])
    pond = LAKE.shoreline[0] * 0.001 + np.array([12.0, 47.0])
    for shore in (river, pond):
        paper = grid_of_water(Water("thin", "UTC", (), (shore,)), cache)
        read(draw_wave_map(map_under_wind(paper, 8.0, 250.0, 0.25, 0.45), READS))


def test_a_map_says_that_it_is_not_for_navigation(windy) -> None:
    assert "Not for navigation" in " ".join(texts(draw_wave_map(windy, READS)))
