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

from safety_check.web import server
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
        answer = httpx.get(link[1], timeout=30)
        assert "Marrowick Arm (invented)" in answer.text
        process.send_signal(signal.SIGINT)
        process.wait(30)
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
