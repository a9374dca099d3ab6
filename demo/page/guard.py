"""Keeps the page to its own visitor: the loopback names alone, actions from the page itself, nothing from elsewhere."""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOOPBACK = frozenset({"127.0.0.1", "localhost"})
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "object-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
)
SHUT = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
}


class Guard:
    """An ASGI application around the page's."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        refused = refusal(scope["method"], Headers(scope=scope))

        async def send_shut(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(SHUT)
            await send(message)

        app: ASGIApp = PlainTextResponse(refused, status_code=403) if refused else self._app
        await app(scope, receive, send_shut)


def refusal(method: str, headers: Headers) -> str | None:
    """Return why a request is refused, None where it is not.

    Another name for this address would let a strange page read this one, so only the loopback names are served; what
    changes something must come from the page itself.
    """
    host = headers.get("host", "")
    if urlsplit(f"//{host}").hostname not in LOOPBACK:
        return "This page answers to 127.0.0.1 and localhost only."
    if method not in ("GET", "HEAD") and headers.get("origin") != f"http://{host}":
        return "An action must come from the page itself."
    return None
