"""The page over HTTP: its files, its state, a stream that says when the state is new, and what the visitor does."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from importlib.resources import files
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from bot.phrases import LANGUAGES, Language
from demo.digest_files import digest_files
from demo.messaging.errors import ApiError, PeopleError
from demo.messaging.person import Person
from demo.page.guard import Guard
from demo.page.state import PHONES, Snapshot
from demo.page.tour import DO, STEPS
from demo.page.words import words_of
from demo.page.world import World

PATIENCE = 15.0  # seconds after which the stream says again what it said, so that the line stays open
STATIC = files("demo.page").joinpath("static")
CHATS = frozenset(chat_id for chat_id, _, _ in PHONES)


class _Act(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Run(_Act):
    do: Literal["run"]
    speed: Literal[1, 5, 30]


class Simple(_Act):
    do: Literal["pause", "step"]


class Tour(_Act):
    do: Literal["tour"]
    step: Literal["reminder", "reply", "refresher", "concern", "plan", "digest", "yours"]


class Say(_Act):
    do: Literal["say"]
    phone: int
    text: str = Field(min_length=1, max_length=4096)


class Press(_Act):
    do: Literal["press"]
    phone: int
    message: int
    data: str = Field(max_length=64)


class Show(_Act):
    do: Literal["photo", "video"]
    phone: int


class Phone(_Act):
    do: Literal["take", "give_back"]
    phone: int


Act = Annotated[Run | Simple | Tour | Say | Press | Show | Phone, Field(discriminator="do")]
_ACT: TypeAdapter[Any] = TypeAdapter(Act)


class _Pages:
    """What is asked for over HTTP, of one world."""

    def __init__(self, world: World) -> None:
        self._world, self._snapshot = world, Snapshot(world)

    async def index(self, request: Request) -> Response:
        return Response(STATIC.joinpath("index.html").read_text(encoding="utf-8"), media_type="text/html")

    async def state(self, request: Request) -> Response:
        return JSONResponse(self._snapshot.made(_language(request)))

    async def words(self, request: Request) -> Response:
        return JSONResponse({"steps": STEPS, "words": words_of(_language(request))})

    async def stream(self, request: Request) -> Response:
        return StreamingResponse(_stream(self._world), media_type="text/event-stream")

    async def act(self, request: Request) -> Response:
        try:
            await _do(self._world, _ACT.validate_json(await request.body()))
        except ValidationError:
            return JSONResponse({"error": "This cannot be done."}, 400)
        except PeopleError as error:
            return JSONResponse({"error": str(error)}, 400)
        return JSONResponse({"version": self._world.version})

    async def file(self, request: Request) -> Response:
        try:
            kept = self._world.week.server.service.files.get(request.path_params["file_id"])
        except ApiError:
            return Response(status_code=404)
        return Response(kept.content, media_type=kept.mime_type)

    async def document(self, request: Request) -> Response:
        week = self._world.week
        made = await asyncio.to_thread(digest_files, week.rehearsal, week.store)
        return Response(status_code=404) if made is None else Response(made[1], media_type="application/pdf")


def page_app(world: World) -> Starlette:
    """Return the page of one world."""
    pages = _Pages(world)
    return Starlette(
        routes=[
            Route("/", pages.index),
            Route("/state", pages.state),
            Route("/words", pages.words),
            Route("/events", pages.stream),
            Route("/act", pages.act, methods=["POST"]),
            Route("/file/{file_id}", pages.file),
            Route("/document.pdf", pages.document),
            Mount("/static", StaticFiles(directory=str(STATIC))),
        ],
        middleware=[Middleware(Guard)],
    )


def _language(request: Request) -> Language:
    wanted = request.query_params.get("language")
    return next((each for each in LANGUAGES if each == wanted), "en")


async def _stream(world: World) -> AsyncIterator[str]:
    async for version in world.versions(PATIENCE):
        yield f"data: {json.dumps({'version': version})}\n\n"


async def _do(world: World, wanted: Any) -> None:
    match wanted:
        case Run():
            world.run(wanted.speed)
            await world.tell()
        case Simple(do="pause"):
            world.pause()
            await world.tell()
        case Simple():
            world.pause()
            await world.step()
        case Tour():
            world.pause()
            await DO[wanted.step](world)
        case _:
            await _on_phone(world, wanted)


async def _on_phone(world: World, wanted: Say | Press | Show | Phone) -> None:
    chat_id = wanted.phone
    if chat_id not in CHATS:
        raise PeopleError("There is no such phone on this page.")
    match wanted:
        case Say():
            await world.act(chat_id, lambda person: person.say(wanted.text))
        case Press():
            await world.act(chat_id, lambda person: person.press(data=wanted.data, message_id=wanted.message))
        case Show():
            await world.act(chat_id, lambda person: _show(person, wanted.do))
        case Phone(do="take"):
            world.week.residents.taken.add(chat_id)
            await world.tell()
        case Phone():
            world.give_back(chat_id)
            await world.tell()


def _show(person: Person, kind: Literal["photo", "video"]) -> int:
    return person.photo() if kind == "photo" else person.video()
