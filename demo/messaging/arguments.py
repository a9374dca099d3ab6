"""The arguments of a call, whichever way they came: query, form, multipart or JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import parse_qsl

from starlette.datastructures import UploadFile
from starlette.requests import Request

from demo.messaging.errors import bad_request


@dataclass(frozen=True, slots=True)
class Upload:
    name: str
    mime_type: str
    content: bytes


@dataclass(slots=True)
class Arguments:
    """values: as they came, text from a form, JSON values from JSON. Getters convert, or refuse with a 400."""

    values: dict[str, Any] = field(default_factory=dict)
    uploads: dict[str, Upload] = field(default_factory=dict)

    def text(self, name: str) -> str | None:
        value = self.values.get(name)
        if value is None or isinstance(value, str):
            return value
        return json.dumps(value) if isinstance(value, (dict, list, bool)) else str(value)

    def integer(self, name: str, default: int = 0) -> int:
        value = self.values.get(name)
        if value is None or value == "":
            return default
        try:
            return int(value)
        except (TypeError, ValueError):
            raise bad_request(f"invalid {name} specified: a whole number is expected") from None

    def flag(self, name: str) -> bool:
        value = self.values.get(name)
        return value is True or str(value).strip().lower() in ("true", "yes", "t", "y", "1")

    def json(self, name: str) -> Any:
        """Return the value read as JSON; None when it is absent or empty."""
        value = self.values.get(name)
        if value is None or value == "":
            return None
        if not isinstance(value, str):
            return value
        try:
            return json.loads(value)
        except json.JSONDecodeError:
            raise bad_request(f"can't parse {name} JSON object") from None

    def mapping(self, name: str) -> Mapping[str, Any] | None:
        value = self.json(name)
        if value is not None and not isinstance(value, Mapping):
            raise bad_request(f"object expected as {name}")
        return value

    def upload(self, name: str) -> Upload | None:
        """Return the file that came under `name`, or that `name` points at with attach://."""
        value = self.values.get(name)
        if isinstance(value, str) and value.startswith("attach://"):
            return self.uploads.get(value.removeprefix("attach://"))
        return self.uploads.get(name)

    def recorded(self) -> dict[str, Any]:
        """Return what the record keeps: the values, and of each file its name and size."""
        files = {
            name: f"{upload.name} ({len(upload.content)} bytes)" for name, upload in self.uploads.items()
        }
        return {**self.values, **files}


async def arguments_from(request: Request) -> Arguments:
    """Return the arguments of a call; the body wins over the query.

    Raises:
        ApiError: 400, a JSON body that is none.
    """
    query = request.scope["query_string"]
    values: dict[str, Any] = dict(parse_qsl(query.decode("latin-1"), keep_blank_values=True)) if query else {}
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind == "multipart/form-data":
        return await _multipart(request, values)
    body = await request.body()
    if not body:
        return Arguments(values)
    if kind == "application/json":
        try:
            given = json.loads(body)
        except ValueError:
            raise bad_request("can't parse request: the body is not JSON") from None
        if not isinstance(given, dict):
            raise bad_request("can't parse request: a JSON object is expected")
        return Arguments(values | given)
    return Arguments(values | dict(parse_qsl(body.decode(errors="replace"), keep_blank_values=True)))


async def _multipart(request: Request, values: dict[str, Any]) -> Arguments:
    uploads: dict[str, Upload] = {}
    async with request.form(max_part_size=64 * 1024 * 1024) as form:
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                uploads[name] = Upload(
                    value.filename or name,
                    value.content_type or "application/octet-stream",
                    await value.read(),
                )
            else:
                values[name] = value
    return Arguments(values, uploads)
