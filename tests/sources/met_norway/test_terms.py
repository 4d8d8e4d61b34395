"""The terms of MET Norway: a User-Agent with a contact, and no request before Expires."""

from __future__ import annotations

import asyncio
from datetime import timedelta

import pytest

from safety_check.sources.http.client import open_client
from safety_check.sources.met_norway.forecast import PATH, SOURCE, parse, query
from tests.sources.fake_server import FakeServer, json_reply
from tests.sources.fakes import HERE, NOW, met_norway

MADE, CHANGED = "Sat, 13 Jun 2026 14:00:00 GMT", "Sat, 13 Jun 2026 13:20:00 GMT"
EXPIRES = "Sat, 13 Jun 2026 14:31:00 GMT"


def ask(server: FakeServer, folder, later: timedelta) -> None:
    async def call() -> None:
        async with open_client(
            folder,
            contact="me@example.org",
            addresses={SOURCE: server.url},
            now=lambda: NOW + later,
        ) as client:
            await client.read(PATH, query(*HERE), parse, source=SOURCE)

    asyncio.run(call())


@pytest.fixture
def server():
    told = json_reply(met_norway(False))
    headers = {**told.headers, "date": MADE, "expires": EXPIRES, "last-modified": CHANGED}
    with FakeServer() as running:
        running.serve(PATH, type(told)(told.body, headers=headers))
        yield running


def test_the_program_and_its_contact_are_named(server, tmp_path):
    ask(server, tmp_path, timedelta(0))

    assert server.asked[0].headers["user-agent"].endswith("(+me@example.org)")
    assert server.asked[0].headers["user-agent"].startswith("safety-check/")


def test_no_request_is_repeated_before_the_answer_expires(server, tmp_path):
    for minutes in (0, 10, 30):
        ask(server, tmp_path, timedelta(minutes=minutes))

    assert len(server.asked) == 1


def test_after_that_only_a_changed_answer_is_requested(server, tmp_path):
    ask(server, tmp_path, timedelta(0))
    ask(server, tmp_path, timedelta(minutes=32))

    assert [asked.headers.get("if-modified-since") for asked in server.asked] == [None, CHANGED]


def test_an_unchanged_answer_keeps_the_time_of_its_change(server, tmp_path):
    ask(server, tmp_path, timedelta(0))
    server.serve(PATH, type(json_reply({}))(b"", 304, {"date": MADE, "expires": EXPIRES}))
    ask(server, tmp_path, timedelta(minutes=32))
    ask(server, tmp_path, timedelta(minutes=64))

    assert [asked.headers.get("if-modified-since") for asked in server.asked[1:]] == [CHANGED] * 2
