"""The live page: its modules of pages, behind the guard."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.body_limit import RequestBodyLimitMiddleware
from starlette.middleware.trustedhost import TrustedHostMiddleware

from safety_check.errors import SafetyCheckError
from safety_check.web import (
    assets,
    check_pages,
    history_pages,
    limit_pages,
    live_pages,
    outlook_pages,
    own_pages,
    ramp_pages,
    recheck_pages,
    rule_pages,
    trip_pages,
    water_pages,
)
from safety_check.web.answers import GREATEST_FORM, Answers
from safety_check.web.guard import RequestGuard
from safety_check.web.session import Session


def build_application(session: Session, hosts: Sequence[str], key: str | None = None) -> Starlette:
    """Return the live page as an ASGI application.

    Parameters
    ----------
    session
        The session that does the work of the pages.
    hosts
        The host names that it answers to; any other is refused.
    key
        The secret in the printed link, where one is required.
    """
    answers = Answers()
    routes = [
        *check_pages.routes(answers, session),
        *recheck_pages.routes(answers, session),
        *trip_pages.routes(answers, session),
        *own_pages.routes(answers, session),
        *limit_pages.routes(answers, session),
        *water_pages.routes(answers, session),
        *ramp_pages.routes(answers, session),
        *rule_pages.routes(answers, session),
        *outlook_pages.routes(answers, session),
        *history_pages.routes(answers, session),
        *live_pages.routes(answers, session),
        *assets.routes(),
    ]
    middleware = [
        Middleware(TrustedHostMiddleware, allowed_hosts=list(hosts), www_redirect=False),
        Middleware(RequestGuard, headers=assets.headers(), key=key),
        Middleware(RequestBodyLimitMiddleware, max_body_size=GREATEST_FORM),
    ]
    handlers = {SafetyCheckError: answers.trouble}
    return Starlette(routes=routes, middleware=middleware, exception_handlers=handlers)
