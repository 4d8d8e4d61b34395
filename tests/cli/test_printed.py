"""Whatever a name, a note or a warning holds, a terminal shows text and nothing else."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest

from safety_check.cli.printed import PrintedText, encodable, print_marked, safe_streams
from safety_check.report.layout import Layout
from safety_check.settings.user_file import UserSettings
from tests.cli import forecasts
from tests.cli.conftest import Run, Runner
from tests.cli.test_water import LAKE, collection, feature, point, polygon

SPOILT = "Orvel\x1b[2J\x1b]0;owned\x07\u202eekaL\u2066\x9b31m\x1b[8mhidden\x00\x7f"
TRIP = ("--start", "2026-06-13 09:00", "--hours", "4", "--as-of", "2026-06-12 20:00")
WARM = ("--water-temp", "74 F", "--reach", "1/2 mi")
ROOT = Path(__file__).parents[2]


def require_clean(text: str) -> None:
    spoilt = {
        character
        for character in text
        if unicodedata.category(character)[0] == "C" and character != "\n"
    }
    assert spoilt == set(), text


@pytest.fixture
def spoilt(ready: Runner, home: Path, tmp_path: Path) -> Path:
    """Return a forecast file; everything that can have a name has a spoilt one."""
    shape = tmp_path / "orvel.geojson"
    ramp = point("ramp\x1b[31m\u202e", -99.65, 44.9)
    shape.write_text(
        json.dumps(collection(feature(polygon(LAKE), attribution=SPOILT), ramp)), encoding="utf-8"
    )
    added = ready("water", "add", "orvel", "--file", shape)
    assert added.status == 0, added.err
    settings = home / "settings.toml"
    more = (f"\n[contact]\nphone = {json.dumps(SPOILT)}\nvehicle = {json.dumps(SPOILT)}\n").replace(
        "\x7f", "\\u007f"
    )
    settings.write_text(settings.read_text(encoding="utf-8") + more, encoding="utf-8")
    ready("craft", "add", SPOILT.replace("\x00", ""), "--class", "sit-on-top-kayak")
    return forecasts.write(tmp_path)


@pytest.mark.thorough
def test_no_command_prints_what_is_no_text(ready: Runner, spoilt: Path, tmp_path: Path) -> None:
    name = SPOILT.replace("\x00", "")
    out = tmp_path / "out"
    took = 0
    for command in (
        ("check", "orvel", *TRIP, *WARM, "--forecast", spoilt, "--name", name),
        ("check", "orvel", *TRIP, *WARM, "--forecast", spoilt, "--json"),
        ("page", "orvel", *TRIP, *WARM, "--forecast", spoilt, "--out", out),
        ("plan", "--last", "--note", name),
        ("plan", "--last", "--note", name, "--json"),
        ("plan", "--last", "--note", name, "--html", out),
        ("water", "map", "orvel", *TRIP, "--forecast", spoilt, "--out", out),
        ("water", "list"),
        ("water", "show", "orvel"),
        ("craft", "list"),
        ("history", "list"),
        ("history", "show", "1"),
        ("settings", "show"),
        ("trip", "log", "--notes", name, "--began", "2026-06-13 09:00", "--went", "yes"),
        ("trip", "list"),
        ("outlook", "orvel", "--as-of", TRIP[-1], *WARM, "--forecast", spoilt),
        ("check", "no such " + name, *TRIP, *WARM),
        ("craft", "show", "no such " + name),
    ):
        out.unlink(missing_ok=True)
        done: Run = ready(*command)
        require_clean(done.out)
        require_clean(done.err)
        if out.exists():
            require_clean(out.read_text(encoding="utf-8"))
        took += "hidden" in done.out + done.err
    assert took >= 12  # the names really were printed


def test_only_the_programs_own_marks_pass() -> None:
    terminal = io.StringIO()
    before = sys.stdout
    sys.stdout = terminal
    try:
        with safe_streams():
            layout = Layout(colour=True)
            layout.section("Lake \x1b[31mred\x1b[0m")
            print_marked(layout.text)
            print("craft \x1b[1mbold\x1b[0m \a")  # noqa: T201
    finally:
        sys.stdout = before
    assert terminal.getvalue() == "\n\x1b[1mLake red\x1b[0m\ncraft bold \n"


# -- encodings ---------------------------------------------------------------------------------


@pytest.mark.one_in(6)
@pytest.mark.parametrize("encoding", ["ascii", "cp437", "cp850", "cp1252", "utf-8"])
def test_the_verdict_is_printed_in_any_encoding(tmp_path: Path, encoding: str) -> None:
    ends = []
    for more in ((), ("--json",)):
        done = subprocess.run(
            [sys.executable, "-c", "from safety_check.cli import main; main()", "check",
             "--sample", *more],
            cwd=ROOT,
            env=os.environ | {"PYTHONIOENCODING": encoding, "SAFETY_CHECK_HOME": str(tmp_path)},
            capture_output=True,
            check=False,
        )  # fmt: skip
        assert done.returncode == 30, done.stderr
        ends.append(done.stdout.decode(encoding))
    assert ends[0].startswith("NO-GO")
    assert json.loads(ends[1])["verdict"] == "NO-GO"


def test_a_letter_that_an_encoding_lacks_is_replaced_by_a_similar_one() -> None:
    assert encodable("≤ 12 mph – Île 東 °F", "ascii") == "<= 12 mph - Ile ? deg F"
    assert encodable("12 °F – Lée", "cp437") == "12 °F - Lée"
    quoted = json.dumps({"said": "“so” – 東"}, ensure_ascii=False)
    assert json.loads(encodable(quoted, "ascii")) == {"said": "'so' - ?"}


def test_a_stream_without_a_known_encoding_still_prints() -> None:
    class Odd(io.StringIO):
        encoding = "no such encoding"  # type: ignore[assignment]

    odd = Odd()
    PrintedText(odd).write("Île")
    assert odd.getvalue() == "Ile"


def test_a_settings_file_takes_such_names() -> None:
    assert UserSettings.model_validate({"contact": {"phone": SPOILT}}).contact.phone == SPOILT
