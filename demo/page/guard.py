"""What keeps the page to this machine: a host of its own, an origin of its own, and a strict content security policy."""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_OWN = "'self'"
_NONE = "'none'"
_DIRECTIVES = {
    "default-src": _NONE,
    "script-src": _OWN,
    "style-src": _OWN,
    "img-src": _OWN,
    "connect-src": _OWN,
    "frame-src": _OWN,
    "base-uri": _NONE,
    "form-action": _NONE,
    "frame-ancestors": _OWN,
}
POLICY = "; ".join(f"{name} {value}" for name, value in _DIRECTIVES.items())
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
HOSTS = frozenset({"127.0.0.1", "localhost"})


class Guard:
    """Refuses what another page or machine could ask for, and sets the headers of every answer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if host.rpartition(":")[0] not in HOSTS:
            await PlainTextResponse("Open this page by its own address.", 403)(scope, receive, send)
            return
        if scope["method"] == "POST" and headers.get("origin") != f"http://{host}":
            await PlainTextResponse("Only the page itself may do this.", 403)(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        await self._app(scope, receive, with_headers)
