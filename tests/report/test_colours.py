"""Colours of verdicts: page and terminal agree, apart for colour-blind eyes and in the sun."""

from __future__ import annotations

import itertools
import re

import numpy as np
import pytest

from safety_check.arrays import FloatArray
from safety_check.model.verdict import Severity
from safety_check.report.layout import SWATCH, Column, Layout
from safety_check.report.page import page

# Machado, Oliveira and Fernandes, A physiologically-based model for simulation of color vision
# deficiency, IEEE TVCG 15(6), 2009: complete deficiency (severity 1.0), for linear sRGB. Read in
# copies of the authors' table in other programs, not in the article.
SEEN = {
    "as by most": np.eye(3),
    "without green cones": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "without red cones": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
}
# IEC 61966-2-1 (sRGB), linear RGB to CIE XYZ and its white (from memory).
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
FAR_APART = 30.0
"""ΔE*ab between any two verdicts; 2.3 is just noticeable [MahyEtAl1994], from memory."""
GLARE = 0.25
"""Of white: light that the sun adds to a screen. Judgement: a quarter washes out pale greys."""
STILL_APART = 2.0
"""Contrast of MARGINAL and NO-GO in that light. Judgement; the set before had 1.4."""


def linear(colour: str) -> FloatArray:
    """Return linear sRGB of "#rrggbb"."""
    parts = np.array(list(bytes.fromhex(colour[1:]))) / 255
    made: FloatArray = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return made


def lab(light: FloatArray) -> FloatArray:
    """Return CIE 1976 L*a*b* of linear sRGB."""
    ratio = (TO_XYZ @ np.clip(light, 0, 1)) / TO_XYZ.sum(axis=1)
    f = np.where(ratio > 216 / 24389, np.cbrt(ratio), (24389 / 27 * ratio + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def apart(one: str, other: str, eyes: str = "as by most") -> float:
    """Return ΔE*ab of two colours."""
    return float(np.hypot.reduce(lab(SEEN[eyes] @ linear(one)) - lab(SEEN[eyes] @ linear(other))))


def luminance(colour: str) -> float:
    return float(TO_XYZ[1] @ linear(colour))


def variables(style: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", style))


@pytest.fixture(scope="module")
def fills() -> dict[str, str]:
    found = variables(page.part("style/base.css").split("@media")[0])
    return {str(level): found[str(level).lower()] for level in Severity}


def xterm(number: int) -> str:
    """Return a colour of xterm's cube of six steps, "#rrggbb"."""
    steps, at = (0, 95, 135, 175, 215, 255), number - 16
    return "#" + bytes(steps[at // part % 6] for part in (36, 6, 1)).hex()


def test_the_measure_gives_published_values() -> None:
    # White, and the red of sRGB: L*a*b* (53.24, 80.09, 67.20), as colour calculators give it.
    assert lab(linear("#ffffff")) == pytest.approx([100, 0, 0], abs=0.02)
    assert lab(linear("#ff0000")) == pytest.approx([53.24, 80.09, 67.20], abs=0.05)


@pytest.mark.parametrize("eyes", SEEN)
def test_every_two_verdicts_are_far_apart_in_colour(fills: dict[str, str], eyes: str) -> None:
    for one, other in itertools.combinations(fills, 2):
        assert apart(fills[one], fills[other], eyes) >= FAR_APART, (one, other)


def test_caution_and_no_go_stay_apart_in_the_sun(fills: dict[str, str]) -> None:
    marginal, no_go = (luminance(fills[name]) for name in ("MARGINAL", "NO-GO"))
    assert (marginal + GLARE) / (no_go + GLARE) >= STILL_APART


def contrast(one: str, other: str) -> float:
    """Return the contrast of WCAG 2."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_text_and_signs_stand_out_in_light_and_dark(fills: dict[str, str]) -> None:
    light, dark = page.part("style/base.css").split("@media (prefers-color-scheme: dark)")
    for scheme in (variables(light), variables(light) | variables(dark)):
        for ink, paper in itertools.product(("ink", "quiet"), ("paper", "wash")):
            assert contrast(scheme[ink], scheme[paper]) >= 7  # WCAG 2, 1.4.6
    (sign,) = set(re.findall(r"\.sign \{[^}]*stroke: (#\w+)", light + dark))
    for fill in fills.values():
        assert contrast(sign, fill) >= 3  # WCAG 2, 1.4.11: a graphic beside its word


def test_no_style_but_the_one_measured_sets_a_verdict_s_colour() -> None:
    names = "|".join(str(level).lower() for level in Severity)
    assert len(re.findall(rf"--(?:{names}):", page.style())) == len(Severity)


def test_the_terminal_has_the_nearest_of_its_colours(fills: dict[str, str]) -> None:
    for level, number in SWATCH.items():
        nearest = min(range(16, 232), key=lambda other: apart(xterm(other), fills[level]))
        assert number == nearest, level


def test_words_of_a_terminal_are_in_the_reader_s_own_colour() -> None:
    layout = Layout(colour=True)
    layout.paragraph("NO-GO: do not launch as planned")
    layout.reason(Severity.MARGINAL, "Wind 12 mph.")
    layout.table([Column("hour"), Column("verdict")], [["06:00", "GO"], ["07:00", "UNKNOWN"]])
    codes = set(re.findall(r"\x1b\[([0-9;]*)m", layout.text))
    assert codes == {"0", "1", *(f"48;5;{number}" for number in SWATCH.values())}
    for word in SWATCH:
        assert f"\x1b[48;5;{SWATCH[word]}m \x1b[0m" in layout.text
        assert f"\x1b[1m{word}\x1b[0m" in layout.text


def test_colour_moves_no_column_of_a_list_or_table() -> None:
    plain, marked = Layout(), Layout(colour=True)
    for layout in (plain, marked):
        layout.reason(Severity.NO_GO, "Wind 22 mph, limit 15 mph, from 13:00 to 17:00. " * 3)
        columns = [Column("verdict", right=True), Column("next"), Column("value", right=True)]
        layout.table(columns, [["GO", "MARGINAL", "1"], ["NO-GO", "free", "22"]])
    assert re.sub(r"\x1b\[[0-9;]*m", "", marked.text) == plain.text


@pytest.mark.parametrize("text", ["UNKNOWN: not enough is known to say GO", "GO, as before. " * 9])
def test_a_marked_paragraph_is_no_wider_than_the_terminal(text: str) -> None:
    layout = Layout(colour=True)
    layout.paragraph(text)
    shown = re.sub(r"\x1b\[[0-9;]*m", "", layout.text).splitlines()
    assert max(map(len, shown)) <= layout.width
    assert " ".join(shown).split() == text.split()
