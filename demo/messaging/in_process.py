"""The bot's side without a network: the library's own requests, answered by a service of the same process."""

from __future__ import annotations

import inspect
import json
from http import HTTPStatus
from typing import Any
from urllib.parse import unquote

from telegram.request import BaseRequest, RequestData

from demo.messaging.arguments import Arguments, Upload
from demo.messaging.errors import ApiError, not_found
from demo.messaging.methods import METHODS
from demo.messaging.methods.method import Described
from demo.messaging.service import Service


class InProcessRequest(BaseRequest):
    """What the library takes for its network. The same methods and refusals as over HTTP; no rates, no faults, no record.

    A call costs a tenth of one over loopback, which is what lets weeks be lived in seconds.
    """

    def __init__(self, service: Service) -> None:
        self._service = service

    async def initialize(self) -> None:
        pass

    async def shutdown(self) -> None:
        pass

    @property
    def read_timeout(self) -> float | None:
        return None

    async def do_request(
        self, url: str, method: str, request_data: RequestData | None = None, *timeouts: Any, **named: Any
    ) -> tuple[int, bytes]:
        """Return the status and the body that the service answers with."""
        where = unquote(url).partition(self._service.token + "/")[2]
        if method == "GET":
            kept = self._service.files.at(where)
            return (HTTPStatus.NOT_FOUND, b"{}") if kept is None else (HTTPStatus.OK, kept.content)
        try:
            result = await self._called(where.lower(), _arguments(request_data))
        except ApiError as refused:
            return refused.error_code, json.dumps(refused.as_json()).encode()
        shown = result.result if isinstance(result, Described) else result
        return HTTPStatus.OK, json.dumps({"ok": True, "result": shown}).encode()

    async def _called(self, name: str, arguments: Arguments) -> Any:
        if name not in METHODS:
            raise not_found()
        result = METHODS[name](self._service, arguments)
        return await result if inspect.isawaitable(result) else result


def _arguments(data: RequestData | None) -> Arguments:
    if data is None:
        return Arguments()
    uploads = {
        name: Upload(filename, mime_type, content if isinstance(content, bytes) else content.read())
        for name, (filename, content, mime_type) in data.multipart_data.items()
    }
    return Arguments(dict(data.json_parameters), uploads)
