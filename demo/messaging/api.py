"""The bot's side over HTTP: /bot<token>/<method> and /file/bot<token>/<path>."""

from __future__ import annotations

import asyncio
import inspect
import json
import logging
import time
from collections.abc import Awaitable
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from demo.messaging.arguments import Arguments, arguments_from
from demo.messaging.connections import Connections
from demo.messaging.errors import (
    ApiError,
    bad_request,
    not_found,
    server_error,
    too_many_requests,
    unauthorized,
)
from demo.messaging.events import Call, Outcome
from demo.messaging.faults import Fault
from demo.messaging.methods import METHODS
from demo.messaging.methods.method import Described
from demo.messaging.service import Service

logger = logging.getLogger(__name__)


class BotApi:
    """The API of one bot as an ASGI application."""

    def __init__(self, service: Service, connections: Connections) -> None:
        self._service = service
        self._connections = connections

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope, receive)
        path: str = scope["path"]
        if path.startswith("/file/bot"):
            response = self._file(path.removeprefix("/file/bot"))
        else:
            answer = await self._answer(request, path.removeprefix("/bot"))
            if answer is None:
                await self._connections.drop(scope, receive)
                return
            response = answer
        await response(scope, receive, send)

    def _file(self, rest: str) -> Response:
        token, _, path = rest.partition("/")
        stored = self._service.files.at(path) if token == self._service.token else None
        if stored is None:
            return refusal(not_found())
        return Response(stored.content, media_type=stored.mime_type)

    async def _answer(self, request: Request, rest: str) -> Response | None:
        """Return the answer to a call, or None when its connection is to be lost."""
        token, _, name = rest.partition("/")
        method = name.lower()
        received = time.monotonic()
        arguments = Arguments()
        try:
            arguments = await arguments_from(request)
            if token != self._service.token:
                raise unauthorized()
            if method not in METHODS:
                raise not_found()
            fault = self._service.faults.for_call(method, chat_id_of(arguments))
            result = await self._call(method, arguments, fault, request)
        except ApiError as refused:
            self._note(method, arguments, received, "refused", error=refused)
            return refusal(refused)
        except ConnectionLost as lost:
            self._note(method, arguments, received, lost.outcome, lost.result)
            return None
        self._note(method, arguments, received, "ok", result)
        return success(result)

    async def _call(self, method: str, arguments: Arguments, fault: Fault | None, request: Request) -> Any:
        kind = fault.kind if fault else None
        seconds = fault.seconds if fault else 0.0
        if kind == "lost_before":
            raise ConnectionLost("lost_before", None)
        if kind == "server_error":
            raise server_error()
        if kind == "too_many_requests":
            raise too_many_requests(max(1, round(seconds)))
        try:
            result = METHODS[method](self._service, arguments)
            if inspect.isawaitable(result):
                result = await unless_gone(result, request)
        except (TypeError, AttributeError, KeyError, ValueError):
            # JSON of another shape than the method expects; the API refuses it as a bad request too.
            logger.warning("A call of %s could not be read", method, exc_info=True)
            raise bad_request("can't parse the arguments of " + method) from None
        if kind == "delay":
            await asyncio.sleep(seconds)
        if kind == "lost_after":
            raise ConnectionLost("lost_after", result)
        return result

    def _note(
        self,
        method: str,
        arguments: Arguments,
        received: float,
        outcome: Outcome,
        result: Any = None,
        error: ApiError | None = None,
    ) -> None:
        record = self._service.record
        if method == "getupdates":
            record.polls += 1
            return
        first = result[0] if isinstance(result, list) and result else result
        record.calls.append(
            Call(
                at=self._service.clock.now(),
                received=received,
                method=method,
                chat_id=chat_id_of(arguments),
                params=arguments.recorded(),
                outcome=outcome,
                error_code=error.error_code if error else None,
                description=error.description if error else None,
                message_id=first.get("message_id") if isinstance(first, dict) else None,
            )
        )


class ConnectionLost(Exception):
    """The connection is to be dropped without an answer. result: what the call had done by then."""

    def __init__(self, outcome: Outcome, result: Any) -> None:
        super().__init__(outcome)
        self.outcome = outcome
        self.result = result


async def unless_gone(work: Awaitable[Any], request: Request) -> Any:
    """Return what `work` returns, and give it up when the caller hangs up before.

    Otherwise a poller that was killed would take, as far as the record knows, the next update.

    Raises:
        ConnectionLost: the caller has gone.
    """

    async def gone() -> None:
        while (await request.receive())["type"] != "http.disconnect":
            pass

    working = asyncio.ensure_future(work)
    watching = asyncio.create_task(gone())
    try:
        await asyncio.wait({working, watching}, return_when=asyncio.FIRST_COMPLETED)
        if not working.done():
            raise ConnectionLost("lost_before", None)
        return working.result()
    finally:
        watching.cancel()
        working.cancel()


def chat_id_of(arguments: Arguments) -> int | None:
    """Return the chat of a call, None when it names none by number."""
    try:
        return int(arguments.values.get("chat_id", ""))
    except (TypeError, ValueError):
        return None


def success(result: Any) -> Response:
    if isinstance(result, Described):
        return _json({"ok": True, "result": result.result, "description": result.description}, 200)
    return _json({"ok": True, "result": result}, 200)


def refusal(error: ApiError) -> Response:
    response = _json(error.as_json(), error.error_code)
    if "retry_after" in error.parameters:
        response.headers["Retry-After"] = str(error.parameters["retry_after"])
    return response


def _json(body: Any, status: int) -> Response:
    return Response(json.dumps(body, ensure_ascii=False).encode(), status, media_type="application/json")
