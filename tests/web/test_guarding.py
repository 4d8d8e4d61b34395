"""Who may ask the live page, from where, and how much they may send."""

from __future__ import annotations

import re
from collections.abc import Iterator

import httpx
import pytest

from safety_check.errors import ConfigError
from safety_check.report.page import page
from safety_check.web import guard, server
from safety_check.web.answers import GREATEST_FORM, MOST_FIELDS
from safety_check.web.water_pages import GREATEST_BODY as MOST_FILE
from tests.live import Live, at_home, running
from tests.report.reading import Reader
from tests.web.test_checking import SHORT

PAGES = (
    *("/", "/last", "/outlook", "/history", "/plan/999999", "/trips", "/check/999999"),
    "/nowhere",
)
OWN = ("/own", "/waters/add", "/craft", "/paddler", "/contact", "/limits", "/water/x/ramp")
CHANGES = ("/check", "/check/1/limit", "/outlook", "/trips", "/trips/limits")
OWN_CHANGES = (
    *("/paddler", "/contact", "/craft", "/craft/remove", "/limits/one", "/waters/find"),
    *("/waters/near", "/waters/file", "/waters/found/x", "/water/x", "/water/x/remove"),
    *("/water/x/ramp", "/water/x/launch/remove", "/water/x/rule", "/water/x/rule/remove"),
)


def _nothing_done(live: Live) -> None:
    assert live.session.last() is None
    assert live.session.trips() == ()


@pytest.mark.parametrize("path", [*PAGES, *OWN])
def test_every_answer_allows_only_its_own_style_and_scripts(live: Live, path: str) -> None:
    answer = live.client.get(path)
    policy = dict(
        part.strip().split(" ", 1) for part in answer.headers["content-security-policy"].split(";")
    )
    assert policy["default-src"] == policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert policy["form-action"] == "'self'"
    assert "unsafe" not in str(policy)
    parts = Reader(answer.text).parts
    for kind in ("style", "script"):
        for written in parts.get(kind, []):
            assert page.digest(written) in policy[f"{kind}-src"].split(" ")
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "style=" not in answer.text
    assert not re.search(r"<[^>]+ on[a-z]+=", answer.text)


@pytest.mark.parametrize("name", ["evil.example", "evil.example:80", "127.0.0.1.evil.example", ""])
def test_other_names_of_this_address_are_refused(live: Live, name: str) -> None:
    assert live.client.get("/", headers={"host": name}).status_code == 400


def test_its_own_names_are_answered(live: Live) -> None:
    for name in ("localhost", "127.0.0.1"):
        answer = live.client.get("/", headers={"host": f"{name}:{live.address.port}"})
        assert answer.status_code == 200


@pytest.mark.one_in(2)
@pytest.mark.parametrize("path", CHANGES)
@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "https://127.0.0.1"},
    ],
)
def test_a_form_of_another_site_does_nothing_even_with_the_token(
    live: Live, path: str, headers: dict[str, str]
) -> None:
    data = {"token": live.token(), **SHORT}
    assert live.client.post(path, data=data, headers=headers).status_code == 403
    _nothing_done(live)


@pytest.mark.parametrize("path", CHANGES)
@pytest.mark.parametrize("token", [None, "", "guessed", "é"])
def test_a_form_without_the_token_does_nothing(live: Live, path: str, token: str | None) -> None:
    data = dict(SHORT) | ({} if token is None else {"token": token})
    assert live.client.post(path, data=data).status_code == 403
    _nothing_done(live)


@pytest.mark.one_in(3)
@pytest.mark.parametrize("path", OWN_CHANGES)
def test_what_the_user_owns_is_changed_only_by_a_form_of_our_own(live: Live, path: str) -> None:
    settings, waters = live.session.settings().user, [water.name for water in live.session.waters()]
    data = {"token": live.token(), "name": "x", "kind": "canoe", "craft": "canoe"}
    foreign = {"origin": "http://evil.example"}
    assert live.client.post(path, data=data, headers=foreign).status_code == 403
    for token in ("", "guessed", "é"):
        assert live.client.post(path, data=data | {"token": token}).status_code == 403
    live.client.get(path, params=data)
    most = MOST_FILE if path == "/waters/file" else GREATEST_FORM
    assert live.client.post(path, data=data | {"notes": "w" * most}).status_code == 413
    assert live.session.settings().user == settings
    assert [water.name for water in live.session.waters()] == waters


def test_looking_changes_nothing(live: Live) -> None:
    for path in (*PAGES, "/check", "/check/1/limit"):
        live.client.get(path, params={"token": live.token(), **SHORT})
    _nothing_done(live)


@pytest.mark.parametrize("path", CHANGES)
def test_a_form_that_is_too_large_is_refused(live: Live, path: str) -> None:
    data = {"token": live.token(), "notes": "w" * GREATEST_FORM}
    assert live.client.post(path, data=data).status_code == 413
    body = (b"w" * 1024 for _ in range(2 * GREATEST_FORM // 1024))
    form = {"content-type": "application/x-www-form-urlencoded"}
    assert live.client.post(path, content=body, headers=form).status_code == 413
    many = {f"field{number}": "x" for number in range(MOST_FIELDS + 1)}
    assert live.client.post(path, data=many).status_code == 400
    assert live.client.post(path, files={"notes": b"x"}).status_code in (400, 403)
    _nothing_done(live)


# -- on the local network ----------------------------------------------------------------------

KEY = "the-key-of-this-test"


@pytest.fixture(scope="module")
def on_lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    with at_home(tmp_path_factory.mktemp("lan")), running(KEY) as made:
        yield made


def test_without_the_link_nothing_is_shown_on_the_network(on_lan: Live) -> None:
    with httpx.Client(base_url=on_lan.base) as stranger:
        for path in (*PAGES, "/?key=guessed", "/?key="):
            answer = stranger.get(path)
            assert (answer.status_code, answer.text) == (403, guard.REFUSED)
        for path in CHANGES:
            assert stranger.post(f"{path}?key={KEY}", data=SHORT).status_code == 403
        assert stranger.get("/", headers={"cookie": f"{guard.COOKIE}=guessed"}).status_code == 403


def test_the_link_lets_in_and_its_key_leaves_the_address(on_lan: Live) -> None:
    with httpx.Client(base_url=on_lan.base) as friend:
        answer = friend.get("/", params={"key": KEY})
        assert (answer.status_code, answer.headers["location"]) == (303, "/")
        cookie = answer.headers["set-cookie"].casefold()
        assert "httponly" in cookie
        assert "samesite=lax" in cookie
        assert friend.get("/").status_code == 200
        assert KEY not in friend.get("/").text


def test_what_a_home_screen_needs_is_open_and_tells_nothing(on_lan: Live) -> None:
    with httpx.Client(base_url=on_lan.base) as stranger:
        for path in guard.OPEN:
            answer = stranger.get(path)
            assert answer.status_code == 200
            assert b"Marrowick" not in answer.content


def test_by_default_only_this_machine_can_ask() -> None:
    made = server.open_address(0)
    assert (made.listening.getsockname()[0], made.key) == ("127.0.0.1", None)
    assert made.link == f"http://127.0.0.1:{made.port}/"
    made.listening.close()


def test_the_link_for_the_network_holds_a_key_that_is_new_each_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(server, "_lan_address", lambda: "127.0.0.1")
    made = [server.open_address(0, lan=True) for _ in range(2)]
    keys = {item.key for item in made}
    assert len(keys) == 2
    for item in made:
        assert item.link == f"http://127.0.0.1:{item.port}/?key={item.key}"
        assert len(str(item.key)) >= 20  # 16 random bytes
        item.listening.close()


def test_a_port_that_is_taken_is_one_clear_sentence() -> None:
    made = server.open_address(0)
    with pytest.raises(ConfigError, match="--port"):
        server.open_address(made.port)
    made.listening.close()
