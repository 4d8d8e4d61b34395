"""The page, as a user asks for it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from safety_check.report.page import page
from safety_check.report.page.page_map import draw_map
from safety_check.use_cases.sample import check_sample, sample_case
from safety_check.use_cases.sight_table import judge_sightings
from safety_check.use_cases.wave_map import map_hours_around
from tests.cli.conftest import Runner
from tests.report.reading import Reader


def test_the_table_behind_the_chart_has_the_figures_of_the_terminal(run: Runner) -> None:
    settings, verdict = check_sample()
    printed = run("check", "--sample").out
    said = Reader(page.render_page(verdict, settings)).text
    lines = re.findall(
        r"^ (\d\d:00)-\d\d:\d\d +([A-Z-]+) +(\S+) +(\S+) +(\S+) +(\S+) ", printed, re.M
    )
    assert len(lines) == len(verdict.hours)
    for line in lines:
        assert " ".join(line) in said


@pytest.mark.thorough
def test_page_writes_the_sample_and_leaves_as_check_does(run: Runner, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    done = run("page", "--sample", "--out", file)
    assert done.status == run("check", "--sample").status == 30
    assert done.out.splitlines()[0] == "NO-GO: do not launch as planned"
    settings, verdict = check_sample()
    assert file.read_text(encoding="utf-8") == page.render_page(
        verdict,
        settings,
        draw_map(verdict, map_hours_around(verdict, settings), settings.preferences),
        judge_sightings(sample_case(), verdict),
    )


def test_page_takes_every_option_of_check(run: Runner) -> None:
    options = [
        set(re.findall(r"^  (?:-h, )?(--[a-z-]+)", run(command, "--help").out, re.M))
        for command in ("check", "page")
    ]
    assert options[1] - options[0] == {"--out"}
    assert options[0] - options[1] == {"--full", "--quiet"}  # forms of text


@pytest.mark.thorough
def test_page_prints_json_when_asked(run: Runner, tmp_path: Path) -> None:
    done = run("page", "--sample", "--json", "--out", tmp_path / "page.html")
    assert done.json["verdict"] == "NO-GO"


@pytest.mark.thorough
def test_a_page_that_can_not_be_written_is_one_clear_paragraph_after_the_verdict(
    run: Runner, tmp_path: Path
) -> None:
    done = run("page", "--sample", "--out", tmp_path)
    assert (done.status, done.out) == (1, "NO-GO: do not launch as planned\n")
    assert len(done.err.strip().splitlines()) == 1
