"""The seasons' benchmark, on an invented season of three mornings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from benchmarks import seasons
from benchmarks.mornings import ON_THE_WATER, Mornings, read_mornings
from benchmarks.shores import invented_lake
from safety_check.errors import DataError

HEADING = "#YY  MM DD hh mm WDIR WSPD GST  WVHT\n#yr  mo dy hr mn degT m/s  m/s     m\n"
WINDS = {1: (1.0, 2.0), 2: (4.0, 6.0), 3: (9.0, 14.0)}  # day of July → wind and gust, m/s


def season(wind_of: Callable[[int, int], str]) -> str:
    """Return the lines of three July days, each with what is said of its wind by day and hour."""
    return HEADING + "\n".join(
        f"2023 07 {day:02d} {hour:02d} 00 270 {wind_of(day, hour)} 0.30"
        for day in (1, 2, 3, 4)
        for hour in range(24)
    )


def whole(day: int, hour: int) -> str:
    """Return the wind of the mornings of WINDS, and of a fine fourth."""
    wind, gust = WINDS.get(day, WINDS[1])
    return f"{wind} {gust}"


@pytest.fixture
def mornings(tmp_path) -> Mornings:
    (tmp_path / "45012h2023.txt").write_text(season(whole), encoding="utf-8")
    return read_mornings(tmp_path)


def test_mornings_are_fine_a_breeze_or_a_blow(mornings):
    assert mornings.name == tuple(f"45012h2023 2023-07-0{day}" for day in (1, 2, 3, 4))
    assert mornings.fine.tolist() == [True, False, False, True]
    assert mornings.breeze.tolist() == [False, True, False, False]
    assert mornings.blow.tolist() == [False, False, True, False]
    assert mornings.fine_hours[0].all()


def test_winds_are_brought_to_ten_metres(mornings):
    assert (mornings.wind[1, ON_THE_WATER] > 4.0).all()
    assert (mornings.wind[1, ON_THE_WATER] < 4.4).all()


def test_a_morning_with_an_unknown_wind_is_left_out(tmp_path):
    def torn(day: int, hour: int) -> str:
        return "99.0 99.0" if (day, hour) == (2, 12) else whole(day, hour)

    (tmp_path / "45012h2023.txt").write_text(season(torn), encoding="utf-8")
    assert [name[-2:] for name in read_mornings(tmp_path).name] == ["01", "03", "04"]


def test_a_folder_without_a_season_is_refused(tmp_path):
    with pytest.raises(DataError, match="no complete morning"):
        read_mornings(tmp_path)


def test_a_pond_is_go_on_a_fine_morning_and_never_in_a_blow(mornings, tmp_path):
    water = invented_lake("0.6 km")
    case = seasons.Outing(*seasons.SOLO, "0.6 km", "200 m")
    seen = seasons.run_launch(mornings, water, water.launches[0], [case], tmp_path)[case]
    assert (seen.mornings, seen.fine, seen.blow, seen.breeze) == (4, 2, 1, 1)
    assert (seen.fine_refused, seen.blow_go) == (0, 0)
    assert seen.hours[:, 0].tolist() == [2] * 5


def test_the_headline_counts_every_case():
    zero = np.zeros((5, 2), dtype=int)
    one = seasons.Count(10, 4, 5, 1, 3, 0, 2, 2, Counter(), zero)
    found = {
        seasons.Outing(*seasons.HEADLINE): one,
        seasons.Outing("canoe", "group", "3 km", "1 mi"): replace(one, blow_go=2),
    }
    assert seasons.headline(found) == "fine_refused: 0.200\nblow_permitted: 2"


def test_each_figure_with_an_aim_is_held_against_it(capsys):
    zero = np.zeros((5, 2), dtype=int)
    good = seasons.Count(100, 40, 50, 0, 30, 0, 20, 20, Counter(), zero)
    found = {seasons.Outing(*outing): good for outing, _ in seasons.AIMS.values()}
    found[seasons.Outing(*seasons.SOLO, "0.6 km", "200 m")] = replace(good, breeze_bearable=17)
    found[seasons.Outing(*seasons.HEADLINE)] = replace(good, fine_refused=6)
    shore = {seasons.Outing(*seasons.SOLO, "some lake", "1 mi"): replace(good, fine_refused=5)}
    seasons.show_aims(found, shore)
    said = {
        line[:54].strip(): line.split()[-1] for line in capsys.readouterr().out.split("\n") if line
    }
    assert said["fine refused, kayak alone, 3 km, 0.5 mi"] == "MISSED"  # 12 % of at most 10
    assert said["breeze not NO-GO, 0.6 km, 200 m"] == "MISSED"  # 85 % of at least 90
    assert said["fine refused, some lake, 1 mi"] == "met"
    assert said["blow mornings GO, all cases"] == "met"


def test_a_subset_keeps_whole_mornings(mornings):
    some = seasons.thinned(mornings, 2)
    assert some.name == mornings.name[::2]
    assert (some.wind == mornings.wind[::2]).all()
