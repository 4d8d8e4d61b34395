"""A small picture of the whole water, with a box where the map lies."""

from __future__ import annotations

from safety_check.model.wave_map import MapGrid
from safety_check.report.map.paper import fit, shore_path, tag
from safety_check.report.map.scale import WIDTH

WIDEST, HIGHEST = 92.0, 62.0
LEAST = 5.0  # a smaller box could not be seen


def draw_locator(sheet: MapGrid, left: float, top: float) -> tuple[str, float]:
    """Return where a frame lies on its water, and the width that the picture takes."""
    frame = sheet.frame
    paper = fit(sheet.rings, left, top, WIDEST, HIGHEST)
    shore = shore_path(sheet.rings, paper, WIDTH)
    west, north = paper.place(frame.highest * [0, 1] + frame.lowest * [1, 0]).tolist()
    wide, high = ((frame.highest - frame.lowest) * paper.scale).tolist()
    grown = max(LEAST - wide, 0.0) / 2, max(LEAST - high, 0.0) / 2
    drawn = tag(
        "g",
        tag("path", d=shore, class_="lm-small", fill_rule="evenodd"),
        tag("rect", x=west - grown[0], y=north - grown[1], width=max(wide, LEAST),
            height=max(high, LEAST), class_="lm-box"),
        class_="lm-locator",
    )  # fmt: skip
    return drawn, paper.width
