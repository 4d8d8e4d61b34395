"""While a check is being made, its page learns which services have answered."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from safety_check.errors import SourceError
from safety_check.sources.http.request_log import logged
from safety_check.sources.registry import load_sources
from safety_check.use_cases.plan_request import PlanRequest
from safety_check.web.progress import MOST, Progress
from safety_check.web.session import Session, StoredCheck
from tests.live import Live
from tests.web.sockets import until
from tests.web.test_checking import SHORT

SOURCES = list(load_sources().values())
ONE, OTHER = SOURCES[0], next(one for one in SOURCES if one.title != SOURCES[0].title)


def test_each_service_is_open_until_all_its_requests_have_ended() -> None:
    progress = Progress()
    assert progress.said("key") is None
    with progress.of("key"):
        assert progress.said("key") == {"done": [], "open": []}
        with logged(ONE, "https://one.example/"):
            with logged(ONE, "https://one.example/again"):
                assert progress.said("key") == {"done": [], "open": [ONE.title]}
            assert progress.said("key") == {"done": [], "open": [ONE.title]}
        with pytest.raises(SourceError), logged(OTHER, "https://other.example/"):
            raise SourceError("no answer")
        assert progress.said("key") == {"done": [ONE.title, OTHER.title], "open": []}
    assert progress.said("key") is None


def test_requests_of_another_thread_belong_to_another_check() -> None:
    progress = Progress()

    def other() -> None:
        with logged(OTHER, "https://other.example/"):
            pass

    with progress.of("key"):
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
        assert progress.said("key") == {"done": [], "open": []}


def test_requests_of_an_event_loop_that_the_check_starts_belong_to_it() -> None:
    progress = Progress()

    async def request() -> None:
        with logged(ONE, "https://one.example/"):
            await asyncio.sleep(0)

    async def both() -> None:
        await asyncio.gather(request(), request())

    with progress.of("key"):
        asyncio.run(both())
        assert progress.said("key") == {"done": [ONE.title], "open": []}


def test_a_number_of_checks_is_followed_and_a_further_one_is_made_all_the_same() -> None:
    progress = Progress()

    def follow(number: int) -> None:
        with progress.of(f"key {number}"):
            if number:
                follow(number - 1)
            else:
                assert progress.said("key 0") is None
                assert progress.said("key 1") is not None

    follow(MOST)
    assert progress.said("key 1") is None


def test_the_page_that_waits_is_told_while_the_check_is_made(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_go_on = threading.Event()
    check: Callable[[Session, PlanRequest], StoredCheck] = Session.check

    def slow(self: Session, asked: PlanRequest) -> StoredCheck:
        with logged(ONE, "https://one.example/"):
            pass
        with logged(OTHER, "https://other.example/"):
            assert may_go_on.wait(60)
        return check(self, asked)

    monkeypatch.setattr(Session, "check", slow)
    fields = {**SHORT, "once": "the-key-of-this-form"}
    path = "/progress/the-key-of-this-form"
    assert live.client.get(path).status_code == 204
    with ThreadPoolExecutor(1) as pool:
        sent = pool.submit(live.send, "/check", **fields)
        try:
            said = until(
                lambda: live.client.get(path),
                lambda answer: answer.status_code == 200 and OTHER.title in answer.json()["open"],
            ).json()
        finally:
            may_go_on.set()
        assert said == {"done": [ONE.title], "open": [OTHER.title]}
        assert sent.result().url.path.startswith("/check/")
    assert live.client.get(path).status_code == 204
