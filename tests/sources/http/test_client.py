from __future__ import annotations

import asyncio
import gzip
import json
import sqlite3
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta

import httpx
import pytest
import respx
import stamina

from safety_check.errors import ConfigError, DataError, SourceError
from safety_check.sources.greatest_ages import greatest_age
from safety_check.sources.http import client, exchange, transport
from safety_check.sources.http.asker import Asker, RetryPolicy
from safety_check.sources.http.cache import FILE, AnswerCache, Saved
from safety_check.sources.http.error_messages import StatusError
from safety_check.sources.registry import load_sources
from tests.sources.fake_server import (
    FakeServer,
    Reply,
    cut_off,
    gzipped,
    hanging,
    html_page,
    huge,
    json_reply,
    mislabelled,
    redirect,
    slow,
    status,
    text_reply,
    too_many,
    unused_port,
    with_etag,
)

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
PATH = "/v1/forecast"
GOOD = {"hourly": {"wind_speed_10m": [5.0]}}
QUICK = RetryPolicy(deadline=9.0, patience=3.0, first_pause=0.01)
IMPATIENT = RetryPolicy(deadline=9.0, patience=0.1, first_pause=0.01)
SHORT = RetryPolicy(deadline=0.3, patience=5.0, first_pause=0.01)


@pytest.fixture
def server():
    with FakeServer() as running:
        yield running


def at(moment):
    return lambda: moment


def ask(url, *, cache=None, now=NOON, policy=QUICK, path=PATH, source="open_meteo", **more):
    """Ask once, with a client of its own; return body, provenance and what was covered."""

    async def go():
        addresses = {source: url}
        async with client.open_client(
            cache, contact="me@example.org", addresses=addresses, policy=policy, now=at(now)
        ) as asker:
            body, provenance = await asker.get(path, {"latitude": "44.4"}, source=source, **more)
            return json.loads(body) if body[:1] == b"{" else body, provenance, asker.covered

    return asyncio.run(go())


# -- the good answer ---------------------------------------------------------------------------


def test_a_good_answer_comes_with_where_and_when(server):
    server.serve(PATH, json_reply(GOOD))

    body, provenance, _ = ask(server.url)

    assert body == GOOD
    assert provenance.source == "Open-Meteo"
    assert provenance.url == f"{server.url}{PATH}?latitude=44.4"
    assert provenance.fetched == NOON
    assert provenance.recorded is False
    assert provenance.issued is None
    assert "CC BY 4.0" in provenance.attribution


def test_every_service_is_told_who_asks(server):
    server.serve(PATH, json_reply(GOOD))
    ask(server.url)

    assert server.asked[0].headers["user-agent"] == "safety-check/0.1.0"
    assert server.asked[0].query == {"latitude": "44.4"}


@pytest.mark.promise("who gets your address")
def test_only_a_service_that_asks_for_a_contact_is_told_it(server):
    server.serve(PATH, json_reply(GOOD))
    wants = [name for name, entry in load_sources().items() if entry.contact]
    assert wants == [
        *("met_norway", "nws_points", "nws_grid", "nws_alerts", "nws_observations", "nominatim"),
        *("met_norway_alerts", "eccc", "eccc_water"),
    ]
    for source in ("nws_points", "open_meteo"):
        ask(server.url, source=source)

    told = [request.headers["user-agent"] for request in server.asked]
    assert told == ["safety-check/0.1.0 (+me@example.org)", "safety-check/0.1.0"]


def test_a_contact_can_smuggle_no_header():
    assert exchange.agent("me\r\nX-Evil: 1 (é)") == "safety-check/0.1.0 (+meX-Evil:1)"


def test_a_packed_answer_is_unpacked(server):
    server.serve(PATH, gzipped(json_reply(GOOD)))

    assert ask(server.url)[0] == GOOD


def test_text_is_taken_where_text_is_expected(server):
    server.serve(PATH, text_reply("#YY MM\n2026 11\n"))

    assert ask(server.url, source="ndbc")[0] == b"#YY MM\n2026 11\n"


def test_a_service_that_mislabels_its_json_is_understood(server):
    server.serve(PATH, mislabelled(json_reply(GOOD)))

    assert ask(server.url, source="coops")[0] == GOOD


# -- faults of the service, over real sockets ----------------------------------------------------

FAULTS = {
    "slow": (slow(json_reply(GOOD), 0.5), "read timed out"),
    "hanging half-way": (hanging(json_reply(GOOD)), "read timed out"),
    "hanging before the first byte": (hanging(json_reply(GOOD), 0), "read timed out"),
    "cut off": (cut_off(json_reply(GOOD)), "broke off"),
    "packed badly": (
        Reply(b"no gzip", headers={"content-encoding": "gzip", "content-type": "text/json"}),
        "can't be unpacked",
    ),
    "page": (html_page(), "'text/html' where json was expected"),
    "page said to be json": (mislabelled(html_page(), "application/json"), "where json was"),
    "wrong type": (mislabelled(json_reply(GOOD), "image/png"), "'image/png' where json"),
    "huge": (huge(9_000_000), "larger than 8 MB"),
    "unpacks huge": (gzipped(huge(9_000_000)), "larger than 8 MB"),
    "other host": (redirect("http://127.0.0.2/v1/forecast"), "another address (127.0.0.2)"),
    "other port": (redirect("http://127.0.0.1:1/"), "another address (127.0.0.1)"),
    "other scheme": (redirect("ftp://127.0.0.1/"), "another address (127.0.0.1)"),
    "mail": (redirect("mailto:a@b.c"), "address can't be read"),
    "circle": (redirect(PATH), "redirects endlessly"),
    "gateway": (html_page(502), "gateway got an invalid response (status 502)"),
    "overloaded": (status(503), "status 503"),
    "broken": (status(500, b'{"error":true,"reason":"Something went wrong."}'), "'Something went"),
    "bad question": (status(400, b'{"error":true,"reason":"No data here"}'), "'No data here'"),
    "forbidden": (status(403), "Give a contact"),
    "nothing there": (status(404), "outside the area that it covers"),
    "too many": (too_many(None), "received too many requests (status 429)"),
    "nothing new, for no reason": (status(304), "no earlier answer is saved"),
    "no content": (status(204), "status 204"),
    "a part": (status(206, b"{}"), "status 206"),
    "redirect to nowhere": (Reply(status=302), "status 302"),
    "teapot": (status(418, b"[[[["), "status 418"),
}


@pytest.mark.one_in(2)
@pytest.mark.parametrize("fault", FAULTS)
def test_every_fault_is_one_clear_paragraph(server, fault):
    reply, why = FAULTS[fault]
    server.serve(PATH, reply)

    policy = IMPATIENT if why == "read timed out" else QUICK
    with pytest.raises(SourceError) as raised:
        ask(server.url, policy=policy)

    message = str(raised.value)
    assert message.startswith("Open-Meteo gave no answer: ")
    assert why in message
    assert "Its data is missing from this check. " in message
    assert "\n" not in message


def test_a_refused_connection_says_so():
    with pytest.raises(SourceError, match="no connection") as raised:
        ask(f"http://127.0.0.1:{unused_port()}")

    assert raised.value.retryable


def test_truncated_json_with_a_good_status_is_no_answer(server):
    server.serve(PATH, json_reply(json.dumps(GOOD).encode()[:-4]))

    with pytest.raises(DataError, match="not complete JSON"):
        ask(server.url)


def test_a_redirect_on_the_same_host_is_followed(server):
    server.serve("/old", redirect("/v1/forecast?latitude=44.4", 301))
    server.serve(PATH, json_reply(GOOD))

    assert ask(server.url, path="/old")[0] == GOOD


def test_a_redirect_may_become_safer_and_never_weaker():
    with respx.mock:
        respx.get(url__startswith="http://api.weather.gov/").respond(
            301, headers={"location": "https://api.weather.gov/points"}
        )
        respx.get(url__startswith="https://api.weather.gov/points").respond(json=GOOD)
        respx.get(url__startswith="https://api.weather.gov/weak").respond(
            301, headers={"location": "http://api.weather.gov/points"}
        )

        assert ask("http://api.weather.gov", source="nws_grid", path="/points")[0] == GOOD
        with pytest.raises(SourceError, match="another address"):
            ask("https://api.weather.gov", source="nws_grid", path="/weak")


def test_redirects_that_never_end_are_given_up(server):
    for step in range(9):
        server.serve(f"/{step}", redirect(f"/{step + 1}"))

    with pytest.raises(SourceError, match="redirects endlessly"):
        ask(server.url, path="/0")

    assert len(server.asked) == 1 + transport.HOPS


def test_what_a_service_writes_can_command_no_terminal(server):
    evil = json.dumps({"error": True, "reason": "\x1b[2Jyou are \u202esafe"}).encode()
    server.serve(PATH, status(400, evil))

    with pytest.raises(SourceError, match="says 'you are safe'"):
        ask(server.url)


def test_a_status_keeps_its_number_and_its_words(server):
    server.serve(PATH, status(404, b'{"type":"https://api.weather.gov/problems/InvalidPoint"}'))

    with pytest.raises(StatusError) as raised:
        ask(server.url)

    assert raised.value.status == 404
    assert b"InvalidPoint" in raised.value.body


# -- trying again --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "tries"),
    [
        (status(500), 2),
        (html_page(502), 2),
        (too_many(0), 2),
        (cut_off(json_reply(GOOD)), 2),
        (status(400), 1),
        (status(404), 1),
        (html_page(), 1),
        (too_many(None), 1),  # the shortest limit counts by the minute: no use within a check
        (too_many(60), 1),  # longer than the deadline
        (status(429, retry_after="Wed, 25 Nov 2099 12:00:00 GMT"), 1),
        (status(503, retry_after="Wed, 25 Nov 2020 12:00:00 GMT"), 2),
        (status(503, retry_after="soon"), 2),
    ],
)
def test_only_what_may_pass_is_tried_again(server, first, tries):
    server.serve(PATH, first, json_reply(GOOD))

    if tries == 1:
        with pytest.raises(SourceError):
            ask(server.url)
    else:
        assert ask(server.url)[0] == GOOD

    assert len(server.asked) == tries


def test_a_service_that_keeps_failing_is_asked_three_times(server):
    server.serve(PATH, status(500))

    with pytest.raises(SourceError, match="internal error"):
        ask(server.url)

    assert len(server.asked) == 3


@pytest.mark.parametrize(("named", "pause"), [(1.5, 1.5), (0.0, 0.0), (6.0, False), (None, True)])
def test_the_wait_that_the_service_names_is_kept_if_the_deadline_allows(named, pause):
    async def go():
        until = asyncio.get_running_loop().time() + 5
        asker = Asker(None, at(NOON), until, QUICK)  # type: ignore[arg-type]
        return asker._next_try(SourceError("", retryable=True, retry_after=named))

    # compared as text, since False == 0.0
    assert str(asyncio.run(go())) == str(pause)


@pytest.mark.parametrize(
    "reply", [slow(json_reply(GOOD), 9), hanging(json_reply(GOOD)), too_many(0)]
)
def test_nothing_lasts_beyond_the_deadline(server, reply):
    server.serve(PATH, reply)
    patient = RetryPolicy(deadline=0.3, patience=60, first_pause=0.2)
    began = time.monotonic()
    with pytest.raises(SourceError):
        ask(server.url, policy=patient)

    # far below the 9 s and the endless silence that were offered, on a busy machine too
    assert time.monotonic() - began < 3


def test_past_the_deadline_the_last_trouble_is_told_and_not_only_the_deadline(server):
    server.serve(PATH, status(503), slow(json_reply(GOOD), 9))

    with pytest.raises(SourceError, match="status 503"):
        ask(server.url, policy=SHORT)


def test_one_deadline_holds_for_all_questions_of_a_client(server):
    server.serve(PATH, slow(json_reply(GOOD), 9))

    async def go():
        async with client.open_client(
            None, addresses={"open_meteo": server.url}, policy=SHORT
        ) as it:
            asked = (it.get(PATH, {"n": str(n)}, source="open_meteo") for n in range(3))
            return await asyncio.gather(*asked, return_exceptions=True)

    began = time.monotonic()
    troubles = asyncio.run(go())

    assert time.monotonic() - began < 3  # as above
    assert all("within 0.3 s" in str(trouble) for trouble in troubles)


def test_the_pause_grows_between_tries(server):
    pauses = []
    stamina.instrumentation.set_on_retry_hooks([lambda told: pauses.append(told.wait_for)])
    try:
        server.serve(PATH, status(500))
        with pytest.raises(SourceError):
            ask(server.url, policy=RetryPolicy(deadline=9, patience=3, first_pause=0.02))
    finally:
        stamina.instrumentation.set_on_retry_hooks(None)

    assert 0.02 <= pauses[0] <= 0.04  # first pause and as much jitter
    assert 0.04 <= pauses[1] <= 0.06


# -- the mapping of status and of httpx's errors ---------------------------------------------------


@pytest.mark.parametrize("code", [*range(201, 208), 300, 305, *range(400, 430), *range(500, 512)])
def test_every_other_status_is_a_source_error(code):
    with respx.mock, stamina.set_testing(True, attempts=1):
        respx.get(url__startswith="https://api.open-meteo.com").respond(code)
        with pytest.raises(StatusError) as raised:
            ask("https://api.open-meteo.com")

    assert raised.value.status == code
    assert raised.value.retryable is (code in (408, 429) or code >= 500)


def foreign_errors():
    exported = (getattr(httpx, name) for name in httpx.__all__)
    return [row for row in exported if isinstance(row, type) and issubclass(row, Exception)]


def made(kind):
    if kind is httpx.HTTPStatusError:
        return kind("no", request=None, response=None)  # type: ignore[arg-type]
    bare = (httpx.StreamConsumed, httpx.ResponseNotRead, httpx.RequestNotRead, httpx.StreamClosed)
    return kind() if kind in bare else kind("no")


@pytest.mark.parametrize("kind", foreign_errors(), ids=lambda kind: kind.__name__)
def test_no_error_of_httpx_leaks(kind):
    with respx.mock, stamina.set_testing(True, attempts=2, cap=True):
        respx.get(url__startswith="https://api.open-meteo.com").mock(side_effect=made(kind))
        with pytest.raises(SourceError, match="Open-Meteo gave no answer"):
            ask("https://api.open-meteo.com")


@pytest.mark.parametrize("trouble", [OSError("no route"), ConnectionResetError(), UnicodeError()])
def test_no_error_of_the_machine_leaks(trouble):
    with respx.mock, stamina.set_testing(True, attempts=2, cap=True):
        respx.get(url__startswith="https://api.open-meteo.com").mock(side_effect=trouble)
        with pytest.raises(SourceError):
            ask("https://api.open-meteo.com")


# -- what is saved ---------------------------------------------------------------------------------


def test_a_fresh_answer_is_not_asked_for_again(server, tmp_path):
    server.serve(PATH, json_reply(GOOD))
    ask(server.url, cache=tmp_path)
    body, provenance, _ = ask(server.url, cache=tmp_path, now=NOON + timedelta(minutes=29))

    assert body == GOOD
    assert len(server.asked) == 1
    assert provenance.fetched == NOON
    assert provenance.recorded is True


def test_after_its_time_to_live_it_is_asked_for_again(server, tmp_path):
    server.serve(PATH, json_reply(GOOD), json_reply({"new": 1}))
    ask(server.url, cache=tmp_path)
    body, provenance, _ = ask(server.url, cache=tmp_path, now=NOON + timedelta(minutes=31))

    assert body == {"new": 1}
    assert provenance.recorded is False


@pytest.mark.parametrize("word", ["no-store", "no-cache, max-age=600", "max-age=0", "MAX-AGE=60"])
def test_a_service_may_shorten_how_long_its_answer_stays_fresh(server, tmp_path, word):
    server.serve(PATH, json_reply(GOOD, cache_control=word))
    ask(server.url, cache=tmp_path)
    ask(server.url, cache=tmp_path, now=NOON + timedelta(minutes=2))

    assert len(server.asked) == 2


def test_a_service_may_not_lengthen_it(server, tmp_path):
    server.serve(PATH, json_reply(GOOD, cache_control="max-age=9999999"))
    ask(server.url, cache=tmp_path)
    ask(server.url, cache=tmp_path, now=NOON + timedelta(hours=1))

    assert len(server.asked) == 2


def test_an_unchanged_answer_is_confirmed_and_not_sent_again(server, tmp_path):
    server.serve(PATH, with_etag(json_reply(GOOD), '"v1"'))
    later = NOON + timedelta(hours=1)
    ask(server.url, cache=tmp_path)
    body, provenance, _ = ask(server.url, cache=tmp_path, now=later)

    assert server.asked[1].headers["if-none-match"] == '"v1"'
    assert body == GOOD
    assert provenance.fetched == later
    assert provenance.recorded is False


def test_last_modified_is_shown_back(server, tmp_path):
    changed = "Wed, 25 Nov 2026 06:00:00 GMT"
    server.serve(PATH, json_reply(GOOD, last_modified=changed))
    ask(server.url, cache=tmp_path)
    ask(server.url, cache=tmp_path, now=NOON + timedelta(hours=1))

    assert server.asked[1].headers["if-modified-since"] == changed


@pytest.mark.parametrize("fault", [status(500), html_page(), status(404), json_reply(b'{"a":')])
def test_when_a_service_fails_its_last_answer_stands_in_with_its_age(server, tmp_path, fault):
    server.serve(PATH, json_reply(GOOD), fault)
    ask(server.url, cache=tmp_path)
    body, provenance, covered = ask(server.url, cache=tmp_path, now=NOON + timedelta(hours=3))

    assert body == GOOD
    assert provenance.fetched == NOON
    assert provenance.recorded is True
    assert isinstance(covered[0], SourceError | DataError)


def test_what_means_nothing_is_never_saved(server, tmp_path):
    server.serve(PATH, json_reply(b'{"a":'))
    with pytest.raises(DataError):
        ask(server.url, cache=tmp_path)

    server.serve(PATH, status(500))
    with pytest.raises(SourceError):
        ask(server.url, cache=tmp_path)


def test_an_answer_older_than_its_source_allows_does_not_stand_in(server, tmp_path):
    server.serve(PATH, json_reply(GOOD), status(500))
    ask(server.url, cache=tmp_path)

    with pytest.raises(SourceError):
        ask(server.url, cache=tmp_path, now=NOON + timedelta(hours=25))


def test_a_caller_may_ask_for_a_younger_one(server, tmp_path):
    server.serve(PATH, json_reply(GOOD), status(500))
    ask(server.url, cache=tmp_path)

    with pytest.raises(SourceError):
        ask(server.url, cache=tmp_path, now=NOON + timedelta(hours=3), max_age=timedelta(hours=2))


def test_an_answer_from_a_clock_ahead_of_ours_is_never_young(server, tmp_path):
    server.serve(PATH, json_reply(GOOD), status(500))
    ask(server.url, cache=tmp_path, now=NOON + timedelta(hours=1))

    with pytest.raises(SourceError):
        ask(server.url, cache=tmp_path, now=NOON)


def test_another_question_has_another_answer(server, tmp_path):
    server.serve(PATH, json_reply(GOOD))
    server.serve("/v1/other", json_reply({"other": 1}))
    ask(server.url, cache=tmp_path)

    assert ask(server.url, cache=tmp_path, path="/v1/other")[0] == {"other": 1}


DAMAGE = {
    "no database": b"this is no database at all, though long enough to be one" * 20,
    "cut off": b"SQLite format 3\x00\x10\x00\x01\x01" + b"\x00" * 50,
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_a_damaged_cache_is_set_aside(server, tmp_path, damage):
    (tmp_path / FILE).write_bytes(DAMAGE[damage])
    server.serve(PATH, json_reply(GOOD))
    first, again = ask(server.url, cache=tmp_path), ask(server.url, cache=tmp_path)

    assert (first[0], again[0]) == (GOOD, GOOD)
    assert len(server.asked) == 1  # the second came from the new file
    assert (tmp_path / FILE).with_suffix(".damaged").exists()


def test_a_row_that_means_nothing_is_set_aside_too(server, tmp_path):
    server.serve(PATH, json_reply(GOOD))
    ask(server.url, cache=tmp_path)
    with sqlite3.connect(tmp_path / FILE) as base:
        base.execute("UPDATE answer SET fetched = 'yesterday'")
    base.close()

    assert ask(server.url, cache=tmp_path)[0] == GOOD
    assert len(server.asked) == 2


def test_a_cache_that_cannot_be_written_is_done_without(server, tmp_path):
    (tmp_path / "file").write_text("in the way")
    server.serve(PATH, json_reply(GOOD))

    assert ask(server.url, cache=tmp_path / "file" / "cache")[0] == GOOD


def test_a_locked_cache_is_left_alone(server, tmp_path):
    server.serve(PATH, json_reply(GOOD))
    ask(server.url, cache=tmp_path)
    other = sqlite3.connect(tmp_path / FILE, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        assert ask(server.url, cache=tmp_path)[0] == GOOD
    finally:
        other.close()

    assert not (tmp_path / FILE).with_suffix(".damaged").exists()


# -- addresses -------------------------------------------------------------------------------------


def test_a_link_of_the_service_is_followed_at_the_users_own_address(server):
    server.serve("/gridpoints/SEW/1,2", json_reply(GOOD))
    link = "https://api.weather.gov/gridpoints/SEW/1,2"

    assert ask(server.url, source="nws_grid", path=link)[0] == GOOD


@pytest.mark.parametrize(
    "link",
    ["https://evil.example/x", "https://api.weather.gov.evil.example/x", "//evil.example/x", "x"],
)
def test_a_link_to_another_host_is_refused(server, link):
    with pytest.raises(SourceError, match="another host"):
        ask(server.url, source="nws_grid", path=link)

    assert not server.asked


def test_one_address_serves_all_sources_of_a_service():
    moved = load_sources({"nws": "http://127.0.0.1:9/"})

    assert moved["nws_alerts"].base_url == moved["nws_grid"].base_url == "http://127.0.0.1:9"
    assert moved["ndbc"].base_url == "https://www.ndbc.noaa.gov"


@pytest.mark.parametrize(
    "addresses",
    [{"nwz": "https://x"}, {"nws": "ftp://x"}, {"nws": "https://u:p@x"}, {"nws": "https://x/?k=1"}],
)
def test_an_address_in_the_settings_that_cannot_be_used_is_named(addresses):
    with pytest.raises(ConfigError, match=r"settings\.toml"):
        load_sources(addresses)


def test_every_source_says_how_long_its_word_holds():
    assert greatest_age()["Open-Meteo"] == 86400
    assert all(source.ttl <= source.max_age for source in load_sources().values())
    # the cache forgets after 400 days
    assert max(greatest_age().values()) < 400 * 86400


@pytest.mark.thorough
def test_httpx_and_stamina_are_imported_only_to_ask():
    code = (
        "import sys\n"
        "from safety_check.sources import saved_forecast\n"
        "from safety_check.sources.http import client\n"
        "from safety_check.sources.open_meteo import forecast, marine\n"
        "print(sorted({'httpx', 'stamina', 'httpcore'} & set(sys.modules)))"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert said.stdout.strip() == "[]"


def test_gzip_that_stops_half_way_never_passes_for_an_answer(server):
    packed = gzip.compress(json.dumps(GOOD).encode())
    headers = {"content-type": "application/json", "content-encoding": "gzip"}
    server.serve(PATH, Reply(packed[: len(packed) // 2], headers=headers))

    with pytest.raises((SourceError, DataError)):
        ask(server.url)


# -- writing what was received ---------------------------------------------------------------------


RECEIVED = datetime(2026, 6, 13, 14, tzinfo=UTC)


def test_answers_are_written_together_when_the_cache_is_closed(tmp_path):
    received = Saved(b"{}", RECEIVED, RECEIVED + timedelta(minutes=5))
    cache = AnswerCache(tmp_path, RECEIVED)
    for number in range(3):
        cache.store(f"http://a/{number}", received)

    assert cache.last("http://a/1") == received
    assert AnswerCache(tmp_path, RECEIVED).last("http://a/1") is None

    cache.close()
    assert AnswerCache(tmp_path, RECEIVED).last("http://a/1") == received


def test_a_damaged_file_is_replaced_when_the_answers_are_written(tmp_path):
    received = Saved(b"{}", RECEIVED, RECEIVED + timedelta(minutes=5))
    (tmp_path / FILE).write_bytes(b"no database" * 100)
    cache = AnswerCache(tmp_path, RECEIVED)
    cache.store("http://a/1", received)
    cache.close()

    assert AnswerCache(tmp_path, RECEIVED).last("http://a/1") == received


def test_without_a_folder_nothing_is_saved():
    cache = AnswerCache(None, RECEIVED)
    cache.store("http://a/1", Saved(b"{}", RECEIVED, RECEIVED))

    assert cache.last("http://a/1") is None
    cache.close()
