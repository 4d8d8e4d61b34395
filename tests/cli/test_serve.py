"""The live page, as a user starts and ends it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from importlib import util
from pathlib import Path

import httpx
import pytest
import segno

from safety_check.cli import link
from safety_check.web import server
from safety_check.web.encryption import own_encryption
from tests.cli.conftest import Runner

ROOT = Path(__file__).parents[2]


def test_serve_prints_its_link_answers_and_leaves_on_ctrl_c(tmp_path: Path) -> None:
    code = "from safety_check.cli import main; main()"
    command = [sys.executable, "-u", "-c", code, "serve", "--sample", "--port", "0"]
    home = tmp_path / "home"
    environment = os.environ | {"SAFETY_CHECK_HOME": str(home)}
    with subprocess.Popen(
        command,
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        link = re.fullmatch(r"Open (http://127\.0\.0\.1:\d+/)\n", process.stdout.readline())
        assert link is not None
        answer = httpx.get(link[1], timeout=120)
        assert "Marrowick Arm (invented)" in answer.text
        process.send_signal(signal.SIGINT)
        process.wait(120)
    assert process.returncode in (0, 130, -signal.SIGINT)
    assert not home.exists()  # the demonstration keeps nothing of its own


def test_without_the_extra_it_says_what_to_install(
    run: Runner, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = util.find_spec
    monkeypatch.setattr(util, "find_spec", lambda name: None if name == "uvicorn" else found(name))
    done = run("serve")
    assert done.status == 1
    assert 'pip install "safety-check[web]"' in done.err


def test_a_port_that_is_taken_is_one_clear_paragraph(run: Runner) -> None:
    taken = server.open_address(0)
    done = run("serve", "--port", taken.port)
    taken.listening.close()
    assert (done.status, done.out) == (1, "")
    assert "--port" in done.err


# -- on the local network ------------------------------------------------------------------------


@pytest.fixture
def on_lan(monkeypatch: pytest.MonkeyPatch) -> list[server.Address]:
    """Return where the page would be served; it is not."""
    served: list[server.Address] = []

    def note(at: server.Address, session: object) -> None:
        at.listening.close()
        served.append(at)

    monkeypatch.setattr(server, "run", note)
    monkeypatch.setattr(server, "_lan_address", lambda: "127.0.0.1")
    return served


def test_the_local_network_is_served_encrypted_and_the_fingerprint_is_printed(
    run: Runner, on_lan: list[server.Address]
) -> None:
    done = run("serve", "--lan", "--port", "0")
    assert done.status == 0, done.err
    first, *_ = done.out.splitlines()
    assert re.fullmatch(r"Open https://127\.0\.0\.1:\d+/\?key=\S{20,}", first)
    encryption = on_lan[0].encryption
    assert encryption is not None
    assert "".join(encryption.fingerprint_lines).replace(":", "") in re.sub(r"[:\s]", "", done.out)
    assert "The certificate is new: there was none yet." in done.out
    assert "do not go on" in done.out
    again = run("serve", "--lan", "--port", "0")
    assert "new" not in again.out
    assert on_lan[1].encryption is not None
    assert on_lan[1].encryption.fingerprint == encryption.fingerprint
    assert max(map(len, again.out.splitlines()[1:])) <= 80


def test_without_encryption_only_on_request_and_that_says_what_it_means(
    run: Runner, on_lan: list[server.Address]
) -> None:
    done = run("serve", "--lan", "--plain-http", "--port", "0")
    assert done.out.startswith("Open http://127.0.0.1:")
    assert on_lan[0].encryption is None
    assert on_lan[0].key
    assert "everyone on this network can read" in done.err


def test_options_of_encryption_that_contradict_each_other_are_refused(
    run: Runner, on_lan: list[server.Address], tmp_path: Path
) -> None:
    own_encryption(tmp_path, "127.0.0.1")
    own = ("--certificate", tmp_path / "serve.pem", "--key", tmp_path / "serve.pem")
    assert run("serve", *own, "--port", "0").status == 0
    for options in (("--plain-http",), ("--lan", "--plain-http", *own), own[:2]):
        refused = run("serve", *options, "--port", "0")
        assert (refused.status, refused.out) == (1, "")
        assert "serve: " in refused.err
    assert len(on_lan) == 1


# -- the link as a code --------------------------------------------------------------------------

LINK = "https://192.168.178.123:65535/?key=AAAAAAAAAAAAAAAAAAAAAA"
HALVES = {pair: mark for mark, pair in {" ": (0, 0), "▄": (0, 1), "▀": (1, 0), "█": (1, 1)}.items()}


@pytest.mark.parametrize("colour", [True, False])
def test_the_code_fits_a_terminal_and_is_that_of_the_link(colour: bool) -> None:
    lines = list(link.qr_lines(LINK, colour))
    bare = [re.sub(r"\x1b\[[\d;]*m", "", line) for line in lines]
    assert {len(line) for line in bare} == {len(bare[0])}
    assert len(bare[0]) <= 80
    assert len(bare) < 24  # with the link above, on a small terminal
    assert (bare != lines) == colour
    code = [[1 - bool(dark) for dark in row] for row in segno.make_qr(LINK, error="l").matrix]
    size = len(code[0])
    white = [1] * (size + 8)
    rows = [white] * 4 + [[1] * 4 + row + [1] * 4 for row in code] + [white] * 5
    drawn = ["".join(HALVES[pair] for pair in zip(*two, strict=True)) for two in
             zip(rows[::2], rows[1::2], strict=False)]  # fmt: skip
    assert bare == drawn


def test_a_code_is_drawn_on_a_terminal_only_and_not_against_the_users_wish(
    on_lan: list[server.Address],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    at = server.open_address(0, lan=True)
    for terminal, wanted in ((True, True), (True, False), (False, True)):
        monkeypatch.setattr(sys.stdout, "isatty", lambda terminal=terminal: terminal)
        link.print_link(at, qr=wanted)
        assert ("▀" in capsys.readouterr().out) == (terminal and wanted)
    at.listening.close()
