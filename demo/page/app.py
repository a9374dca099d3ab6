"""The page over HTTP: its files, its state as a stream of events, and what the visitor does."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp

from demo.digest_files import digest_files
from demo.messaging import PeopleError
from demo.page.guard import Guard
from demo.page.views import state_of
from demo.page.week import PHONES, SPEEDS, Week

LANGUAGES = ("en", "es")
KINDS = {"html": "text/html", "css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}
MOST_BYTES = 20_000  # of an action
BREATH = 15.0  # seconds after which a quiet stream says that it lives
PAUSE = 0.15  # seconds between two states at least: a fast clock changes more often than an eye can follow


def page_app(week: Week) -> ASGIApp:
    """Return the page of a week as an ASGI application."""
    return Guard(_Page(week).app)


class _Page:
    def __init__(self, week: Week) -> None:
        self._week = week
        self.app = Starlette(
            routes=[
                Route("/", _static),
                Route("/static/{name}", _static),
                Route("/state", self._state),
                Route("/events", self._events),
                Route("/files/{chat_id:int}/{message_id:int}", self._file),
                Route("/digest.{kind}", self._digest_file),
                Route("/do", self._do, methods=["POST"]),
            ]
        )

    async def _state(self, request: Request) -> Response:
        return JSONResponse(await asyncio.to_thread(state_of, self._week, _language(request)))

    async def _events(self, request: Request) -> Response:
        async def stream() -> AsyncIterator[str]:
            seen = -1
            while True:
                changed = await self._week.wait(seen, BREATH)
                if changed > seen:
                    state = await asyncio.to_thread(state_of, self._week, _language(request))
                    yield f"data: {json.dumps(state, ensure_ascii=False)}\n\n"
                    seen = state["changed"]
                else:
                    yield ": here\n\n"
                await asyncio.sleep(PAUSE)

        return StreamingResponse(stream(), media_type="text/event-stream")

    async def _file(self, request: Request) -> Response:
        try:
            person = self._week.server.people[request.path_params["chat_id"]]
            file_id = person.message(request.path_params["message_id"]).file_id
        except PeopleError as missing:
            return Response(str(missing), 404)
        if file_id is None:
            return Response("This message carries no file.", 404)
        stored = self._week.server.service.files.get(file_id)
        return Response(stored.content, media_type=stored.mime_type)

    async def _digest_file(self, request: Request) -> Response:
        made = await asyncio.to_thread(digest_files, self._week.rehearsal, self._week.store)
        if made is None:
            return Response("There is no digest yet: it comes on Sunday at 18:00.", 404)
        if request.path_params["kind"] == "png":
            return Response(made[0], media_type="image/png")
        return Response(made[1], media_type="application/pdf")

    async def _do(self, request: Request) -> Response:
        body = await request.body()
        try:
            asked = json.loads(body) if len(body) <= MOST_BYTES else None
            await self._act(asked)
        except (PeopleError, KeyError, TypeError, ValueError) as wrong:
            return JSONResponse({"problem": str(wrong)}, 400)
        return JSONResponse({"changed": self._week.changed})

    async def _act(self, asked: Any) -> None:
        """Do one action. Raises KeyError, TypeError or ValueError where it is none of ours."""
        week = self._week
        match asked["what"]:
            case "step":
                await week.step()
            case "clock":
                if asked["speed"] not in SPEEDS:
                    raise ValueError(f"The clock has the speeds {SPEEDS}.")
                week.set_clock(running=bool(asked["running"]), speed=asked["speed"])
            case "hand":
                week.hand(_phone(asked), taken=bool(asked["taken"]))
            case "say":
                await week.say(_phone(asked), str(asked["text"]))
            case "press":
                await week.press(_phone(asked), int(asked["message"]), str(asked["data"]))
            case "clip":
                await week.send_clip(_phone(asked), str(asked["text"])[:1000])
            case other:
                raise ValueError(f"There is no action {other!r}.")


def _phone(asked: Any) -> int:
    if asked["phone"] not in PHONES:
        raise ValueError(f"The page has the phones {PHONES}.")
    return int(asked["phone"])


def _language(request: Request) -> str:
    asked = request.query_params.get("language", "en")
    return asked if asked in LANGUAGES else "en"


async def _static(request: Request) -> Response:
    name = request.path_params.get("name", "index.html")
    folder = files("demo.page").joinpath("static")
    if name not in {each.name for each in folder.iterdir()}:
        return Response("There is no such file.", 404)
    return Response(folder.joinpath(name).read_bytes(), media_type=KINDS[name.rsplit(".", 1)[1]])
