"""--verbose tells what is asked, what comes, and how long it takes."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator

import pytest

from tests.cli.conftest import Runner
from tests.cli.test_water_near import LAKE, answer
from tests.sources.fake_server import FakeServer, status


@pytest.fixture
def server(run: Runner) -> Iterator[FakeServer]:
    with FakeServer() as running:
        run("settings", "set", "services.overpass", running.url)
        running.serve("/api/interpreter", answer(LAKE))
        yield running
    logging.getLogger("safety_check.requests").handlers = []


NEAR = ("water", "add", "mine", "--near", "44.8802,-99.6", "--yes")


def test_a_request_its_answer_and_its_time_are_printed_to_stderr(
    run: Runner, server: FakeServer
) -> None:
    quiet = run(*NEAR)
    assert quiet.status == 0
    assert "asking" not in quiet.err

    told = run(*NEAR, "--verbose")
    assert re.search(r"OpenStreetMap \(Overpass\): used the answer that was received", told.err)
    assert "asking" not in told.out


def test_a_new_answer_and_a_failure_are_told(run: Runner, server: FakeServer) -> None:
    told = run(*NEAR, "--verbose")
    assert f"OpenStreetMap (Overpass): asking {server.url}/api/interpreter?" in told.err
    assert re.search(r"answered in \d+\.\d\d s, \d+ bytes", told.err)

    server.serve("/api/interpreter", status(404))
    elsewhere = run("water", "add", "mine", "--near", "44.7,-99.6", "--yes", "--verbose")
    assert elsewhere.status == 1
    assert re.search(r"failed after \d+\.\d\d s\. ", elsewhere.err)
