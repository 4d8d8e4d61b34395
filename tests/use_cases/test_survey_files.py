"""The folder of a survey holds one survey, and what a killed run left half-written goes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from safety_check.errors import ConfigError
from safety_check.settings.private_files import PART
from safety_check.use_cases.survey.files import ABOUT, SurveyFolder


def test_a_folder_that_holds_nothing_says_what_it_will_hold(tmp_path: Path) -> None:
    SurveyFolder(tmp_path / "new").begin("key", {"launches": 3})
    kept = json.loads((tmp_path / "new" / ABOUT).read_text(encoding="utf-8"))
    assert kept == {"key": "key", "launches": 3}


def test_the_same_survey_goes_on_and_its_half_written_parts_are_gone(tmp_path: Path) -> None:
    folder = SurveyFolder(tmp_path)
    folder.begin("key", {})
    (tmp_path / "verdicts").mkdir()
    half, whole = tmp_path / "verdicts" / f"1{PART}", tmp_path / "verdicts" / "0.parquet"
    for file in (half, whole):
        file.write_bytes(b"rows")
    folder.begin("key", {})
    assert not half.exists()
    assert whole.read_bytes() == b"rows"


@pytest.mark.parametrize("there", ['{"key": "other"}', "{}", "[]", "no json", '{"key": null}'])
def test_another_survey_is_never_mixed_with_this_one(tmp_path: Path, there: str) -> None:
    (tmp_path / ABOUT).write_text(there)
    with pytest.raises(ConfigError, match="it holds another survey"):
        SurveyFolder(tmp_path).begin("key", {})
    assert (tmp_path / ABOUT).read_text() == there


def test_a_folder_of_other_files_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_bytes(b"")
    with pytest.raises(ConfigError, match="it is not empty and holds no survey"):
        SurveyFolder(tmp_path).begin("key", {})
    assert not (tmp_path / ABOUT).exists()
