"""The seasons' benchmark, on an invented season of three mornings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from benchmarks import season_report, seasons
from benchmarks.invented_seasons import CLIMATES, invented_mornings, invented_season
from benchmarks.mornings import ON_THE_WATER, Mornings, read_mornings
from benchmarks.offshore_mornings import off_the_shore
from benchmarks.season_counts import Count, Outing, parts
from benchmarks.shores import invented_lake
from safety_check.conditions.hour_parts import LEAD_IN
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
    case = Outing(*season_report.SOLO, "0.6 km", "200 m")
    seen = seasons.run_launch(mornings, water, water.launches[0], [case], tmp_path)[case]
    assert (seen.mornings, seen.fine, seen.blow, seen.breeze) == (4, 2, 1, 1)
    assert (seen.fine_refused, seen.blow_go) == (0, 0)
    assert seen.hours[:, 0].tolist() == [2] * 5


def test_the_headline_counts_every_case():
    zero = np.zeros((5, 2), dtype=int)
    one = Count(10, 4, 5, 1, 3, 0, 2, 2, Counter(), zero)
    found = {
        Outing(*season_report.HEADLINE): one,
        Outing("canoe", "group", "3 km", "1 mi"): replace(one, blow_go=2),
    }
    assert season_report.headline(found) == "fine_refused: 0.200\nblow_permitted: 2"


def test_each_figure_with_an_aim_is_held_against_it(capsys):
    zero = np.zeros((5, 2), dtype=int)
    good = Count(100, 40, 50, 0, 30, 0, 20, 20, Counter(), zero)
    found = {Outing(*outing): good for outing, _ in season_report.AIMS.values()}
    found[Outing(*season_report.SOLO, "0.6 km", "200 m")] = replace(good, breeze_bearable=17)
    found[Outing(*season_report.HEADLINE)] = replace(good, fine_refused=6)
    shore = {Outing(*season_report.SOLO, "some lake", "1 mi"): replace(good, fine_refused=5)}
    season_report.show_aims(found, shore)
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


def test_parts_are_each_file_and_its_halves(mornings):
    two = replace(mornings, name=("a 1", "a 2", "b 1", "b 2"))

    found = {name: at.tolist() for name, at in parts(two).items()}

    assert found == {
        "all": [True] * 4,
        "a": [True, True, False, False],
        "b": [False, False, True, True],
        "earlier halves": [True, False, True, False],
        "later halves": [False, True, False, True],
    }


def test_parts_of_the_mornings_add_up_to_all(mornings, tmp_path):
    water = invented_lake("0.6 km")
    case = Outing(*season_report.SOLO, "0.6 km", "200 m")
    seen = seasons.run_launch(mornings, water, water.launches[0], [case], tmp_path)
    earlier, later = (replace(case, part=f"{half} halves") for half in ("earlier", "later"))
    together = seen[earlier] + seen[later]
    assert vars(together).keys() == vars(seen[case]).keys()
    assert (together.mornings, together.go) == (seen[case].mornings, seen[case].go)
    assert (together.hours == seen[case].hours).all()


def test_an_aim_that_one_part_misses_is_marked(capsys):
    zero = np.zeros((5, 2), dtype=int)
    good = Count(100, 40, 50, 0, 30, 0, 20, 20, Counter(), zero)
    outings = [*(outing for outing, _ in season_report.AIMS.values())]
    outings.append((*season_report.SOLO, "0.6 km", "200 m"))
    found = {Outing(*outing, part): good for outing in outings for part in ("all", "a", "b")}
    found[Outing(*season_report.HEADLINE, "b")] = replace(good, fine_refused=6)

    season_report.show_parts(found, {})

    said = capsys.readouterr().out
    row = next(line for line in said.split("\n") if "kayak alone, 3 km, 0.5 mi" in line)
    assert row.split()[-2:] == ["0.0", "12.0!"]
    assert said.count("!") == 2  # the heading's and this one


def test_a_climate_is_the_same_each_time_and_unlike_the_others():
    once, again = (invented_season("valley", 20) for _ in range(2))
    assert (once.wind == again.wind).all()
    assert once.name[:2] == ("valley 1", "valley 2")
    ratio = {name: (one.gust / one.wind).mean() for name, one in every_climate().items()}
    assert ratio["inland-summer"] > 1.6 > 1.5 > ratio["trade-wind"]
    at_six, at_nine, at_three = (
        every_climate()["valley"].wind[:, LEAD_IN + hour].mean() for hour in (0, 3, 9)
    )
    assert at_nine < at_six < at_three  # down the valley, a lull, up the valley


def every_climate() -> dict[str, Mornings]:
    return {name: invented_season(name, 60) for name in CLIMATES}


def test_a_season_needs_a_day():
    with pytest.raises(DataError, match="at least 1 day"):
        invented_mornings(0)


def test_wind_off_the_shore_is_told_by_the_side_of_the_lake(mornings):
    west = replace(mornings, direction=np.full_like(mornings.direction, 280.0))

    off = off_the_shore(west, askew=60.0)

    # Off the western shore, though ten degrees askew; the first and fourth morning have 1.0 m/s.
    assert off.tolist() == [[False] * 4, [False] * 4, [False] * 4, [True] * 4]
    assert not off_the_shore(west, askew=5.0).any()
    calm = replace(west, wind=0.9 * np.ones_like(west.wind))
    assert not off_the_shore(calm, askew=60.0).any()
