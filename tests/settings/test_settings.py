"""The user's own file: strictly read, comments kept, nothing half-written."""

from __future__ import annotations

import threading
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from safety_check.errors import ConfigError, PlanError
from safety_check.settings import private_files, toml_file
from safety_check.settings.crafts import load_craft_classes
from safety_check.settings.edit import edit_settings
from safety_check.settings.folders import find_folders
from safety_check.settings.limits import (
    LimitsFile,
    ReductionEntry,
    load_default_limits,
    newest_limits,
    newest_reductions,
    require_order,
)
from safety_check.settings.settings import load_settings
from safety_check.settings.user_file import UserSettings


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SAFETY_CHECK_HOME", str(tmp_path))
    return tmp_path


def write(home: Path, text: str) -> None:
    (home / "settings.toml").write_text(text, encoding="utf-8")


def test_one_variable_moves_everything(home: Path) -> None:
    where = find_folders()
    assert {where.config, where.data.parent, where.cache.parent} == {home}


def test_without_a_file_everything_has_its_default(home: Path) -> None:
    loaded = load_settings()
    assert loaded.user == UserSettings()
    assert loaded.paddler.life_jacket is None


BAD = [
    ("[paddler]\nlifejacket = 'worn'", ("paddler", "lifejacket", "not known")),
    ("[paddler]\nlight = 'yes'", ("paddler", "light", "'yes'", "Correct")),
    ("[paddler]\nlife_jacket = 'on'", ("paddler", "life_jacket", "'on'", "worn")),
    ("[units]\nwind = 'furlongs'", ("units", "wind", "furlongs", "mph")),
    ("[odds]\ntolerance = 0.9", ("odds", "tolerance", "0.9")),
    ("[odds]\ntolerance = 0.2", ("odds", "tolerance = 0.2", "--loosen")),
    ("[craft.mine]\nclass = 'submarine'", ("craft mine, key class", "sit-on-top-kayak")),
    (
        "[craft.mine]\nclass = 'canoe'\ncruise_speed = '3'",
        ("craft mine, key cruise_speed", "no unit", "mph"),
    ),
    ("[craft.mine]\nclass = 'canoe'\ncruise_speed = '0 mph'", ("greater than zero",)),
    ("[[limit]]\ncraft = 'canoe'", ("limit 1", "quantity", "missing")),
    ("colour = 'red'", ("key colour", "not known")),
    ("[paddler\n", ("not TOML", "line 1")),
    ("[paddler]\nlight = true\nlight = false", ("not TOML",)),
    ("light = " + "[" * 3000, ("not TOML", "nested too deeply")),
]


@pytest.mark.parametrize(("text", "parts"), BAD)
def test_bad_settings_name_file_key_value_and_mend(
    home: Path, text: str, parts: tuple[str, ...]
) -> None:
    write(home, text)
    with pytest.raises(ConfigError) as trouble:
        load_settings()
    said = str(trouble.value)
    assert said.startswith("settings.toml")
    assert "\n" not in said.strip()
    for part in parts:
        assert part in said


def test_a_change_keeps_comments_and_order(home: Path) -> None:
    write(home, "# mine\n[odds]\ntolerance = 0.05 # careful\n\n[units]\nwind = 'kt'\n")
    edit_settings(lambda document: document["units"].update({"wave": "m"}))
    text = (home / "settings.toml").read_text(encoding="utf-8")
    assert "# mine" in text
    assert "# careful" in text
    assert load_settings().user.units.wave == "m"
    assert load_settings().user.odds.tolerance == 0.05


def test_an_unsound_change_leaves_the_file_as_it_was(home: Path) -> None:
    write(home, "[units]\nwind = 'kt'\n")
    with pytest.raises(ConfigError):
        edit_settings(lambda document: document["units"].update({"wind": "warp"}))
    assert (home / "settings.toml").read_text(encoding="utf-8") == "[units]\nwind = 'kt'\n"
    assert {path.name for path in home.iterdir()} == {"settings.toml", private_files.LOCK}


def test_an_error_for_an_unknown_craft_names_the_nearest_one(home: Path) -> None:
    with pytest.raises(PlanError, match="Did you mean 'float-tube'"):
        load_settings().craft("float tub")


def test_a_craft_of_ones_own_takes_its_class_and_its_own_figures(home: Path) -> None:
    write(home, "[craft.mine]\nclass = 'canoe'\ncruise_speed = '2 m/s'\n")
    mine, canoe = load_settings().craft("mine"), load_settings().craft("canoe")
    assert (mine.cruise_speed, mine.hull_drag) == (2.0, canoe.hull_drag)


WORDS = ("basis", "source", "since", "checked")


def test_the_newest_limit_holds_and_the_old_one_stays_in_the_file() -> None:
    entry = {
        "quantity": "wind_speed",
        "applies_to": ["canoe"],
        "unit": "m s-1",
        "worse": "higher",
        "basis": "judgement",
        "source": "test",
        "since": date(2026, 1, 1),
        "checked": date(2026, 1, 1),
    }
    tables = {
        "limit": [
            {**entry, "no_go": 6.0, "since": date(2027, 1, 1)},
            {**entry, "no_go": 7.0, "since": date(2026, 1, 1)},
        ],
        "reduction": [],
        "greatest_reduction": {"beaufort": 1.5, **{key: entry[key] for key in WORDS}},
        "grade": [],
        "swim": [
            {
                **dict.fromkeys(("speed", "lost_to_wind", "drift", "reach_in_company"), 1.0),
                **{key: entry[key] for key in WORDS},
            }
        ],
    }
    file = toml_file.validate(tables, LimitsFile, "limits.toml")
    newest = newest_limits(file.limit)
    assert newest["wind_speed", "canoe"].no_go == 6.0


def test_a_reduction_of_nothing_retires_the_older_ones() -> None:
    words: dict[str, Any] = {
        "basis": "judgement",
        "source": "test",
        "checked": date(2026, 1, 1),
    }
    old, new = (
        ReductionEntry(when="alone", above=0.5, unit="1", beaufort=beaufort, since=since, **words)
        for beaufort, since in ((0.5, date(2026, 1, 1)), (0.0, date(2027, 1, 1)))
    )
    assert newest_reductions([old]) == [old]
    assert newest_reductions([new, old]) == []


def test_a_limit_in_the_wrong_order_is_refused() -> None:
    with pytest.raises(ValueError, match=r"no-go bound 4 lies below the caution bound 5\.5"):
        require_order(5.5, 4.0, "higher")
    with pytest.raises(ValueError, match="lies above"):
        require_order(280.0, 290.0, "lower")


def test_every_shipped_limit_has_a_hazard_and_every_hazard_limits_for_each_craft() -> None:
    from safety_check.rules.hazards import HAZARDS

    bounded = {quantity for quantity, _ in load_default_limits()}
    assert bounded == {one_hazard.weighs for one_hazard in HAZARDS}
    for hazard in HAZARDS:
        assert hazard.limitations
        if hazard.chosen_by == "craft":
            for kind in load_craft_classes():
                assert (hazard.weighs, kind) in load_default_limits()


# -- several runs at once ------------------------------------------------------------------------


def test_what_another_run_stores_meanwhile_is_not_lost(home: Path) -> None:
    write(home, "default_craft = 'mine'\n")
    begins, others = threading.Event(), []

    def in_another_run() -> None:
        begins.wait()
        edit_settings(lambda document: document.update(units={"wind": "kt"}))

    other = threading.Thread(target=in_another_run)
    other.start()

    def edit(document: Any) -> None:
        begins.set()
        other.join(0.2)  # it has to wait for this edit, whatever the time that it is given
        others.append(other.is_alive())
        document["default_craft"] = "red"

    edit_settings(edit)
    other.join()
    assert others == [True]
    said = load_settings().user
    assert (said.default_craft, said.units.wind) == ("red", "kt")


def test_a_run_that_changes_files_for_too_long_is_named(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(private_files, "LONGEST_CHANGE", 0.01)
    busy = pytest.raises(ConfigError, match="another safety-check has been changing files here")
    with private_files.only_change(home), busy:
        assert [path.name for path in home.iterdir()] == [private_files.LOCK]  # a kill leaves it
        edit_settings(lambda document: document.update(default_craft="red"))
    edit_settings(lambda document: document.update(default_craft="red"))
    assert load_settings().user.default_craft == "red"
