"""Each trouble of the network is told in its own words, with what helps and whether to repeat."""

from __future__ import annotations

import httpx
import pytest

from safety_check.sources.http.transport import explain


@pytest.mark.parametrize(
    ("trouble", "why", "again"),
    [
        (httpx.ConnectTimeout, "no connection in time", True),
        (httpx.PoolTimeout, "too many requests at once", True),
        (httpx.WriteTimeout, "the request could not be sent in time", True),
        (httpx.ReadTimeout, "read timed out", True),
        (httpx.ConnectError, "no connection", True),
        (httpx.ReadError, "the connection broke off", True),
        (httpx.WriteError, "the connection broke off", True),
        (httpx.RemoteProtocolError, "the answer broke off or is not valid HTTP", True),
        (httpx.DecodingError, "the answer can't be unpacked", True),
        (httpx.ProxyError, "the proxy refused", False),
        (httpx.TooManyRedirects, "it redirects endlessly", False),
        (httpx.UnsupportedProtocol, "its address is not http", False),
        (httpx.InvalidURL, "its address can't be read", False),
        (ConnectionResetError, "no connection", True),
        (httpx.StreamConsumed, "the request failed (StreamConsumed)", False),
    ],
)
def test_a_trouble_has_its_cause_and_is_tried_again_where_that_can_help(
    trouble: type[Exception], why: str, again: bool
) -> None:
    raised = trouble() if trouble is httpx.StreamConsumed else trouble("what the library says")
    told = explain(raised, "A service")
    assert f"({why})" in str(told) or f": {why}" in str(told), str(told)
    assert told.retryable is again
