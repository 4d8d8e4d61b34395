"""Files that ship with the live page, and the security headers that name them."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from safety_check.report.page import page

STATIC = {
    "worker.js": "text/javascript",
    "icon.svg": "image/svg+xml",
    "icon-192.png": "image/png",
    "icon-512.png": "image/png",
}
SCRIPTS = (
    "serve.js",
    "place.js",
    "live.js",
)  # those that stand inside pages, each as a script element of its own


def routes() -> list[Route]:
    """Return the addresses of the files that ship with the program."""
    return [
        Route("/manifest.webmanifest", manifest),
        *(Route(f"/{name}", static) for name in STATIC),
    ]


def headers() -> dict[str, str]:
    """Return the headers of every answer."""
    texts = (page.script(), *map(script, SCRIPTS))
    policy = {
        "default-src": "'none'",
        "style-src": page.digest(page.style()),
        "script-src": " ".join(map(page.digest, texts)),
        "img-src": "'self' data:",
        "connect-src": "'self'",
        "manifest-src": "'self'",
        "worker-src": "'self'",
        "form-action": "'self'",
        "frame-ancestors": "'none'",
        "base-uri": "'none'",
    }
    return {
        "Content-Security-Policy": "; ".join(f"{name} {value}" for name, value in policy.items()),
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "same-origin",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
        "Cache-Control": "no-store",
    }


@cache
def script(name: str) -> str:
    """Return the text of one of `SCRIPTS`."""
    return files("safety_check.web").joinpath("static", name).read_text(encoding="utf-8")


def static(request: Request) -> Response:
    """Answer with a file that ships with the program."""
    name = request.url.path.lstrip("/")
    body = files("safety_check.web").joinpath("static", name).read_bytes()
    return Response(body, media_type=STATIC[name])


def manifest(request: Request) -> Response:
    """Answer with the web app manifest, which a phone needs for its home screen."""
    said = {
        "name": "safety-check",
        "short_name": "safety-check",
        "start_url": "/last",
        "scope": "/",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#12171c",
        "icons": [
            {"src": f"/{name}", "type": STATIC[name], "sizes": sizes}
            for name, sizes in (
                ("icon.svg", "any"),
                ("icon-192.png", "192x192"),
                ("icon-512.png", "512x512"),
            )
        ],
    }
    return Response(json.dumps(said), media_type="application/manifest+json")
