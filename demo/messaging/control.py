"""The people's side over HTTP, and the switches of the server: faults, clock, injected updates, the record.

Everything is JSON. A request that cannot be done is answered 400 {"error": sentence}.

    GET  /people                       {"bot", "people", "groups"}
    POST /people                       {"id", "first_name", "last_name"?, "username"?, "language_code"?, "started"?}
    POST /people/groups                {"id" below 0, "title", "members": [ids], "bot_is_admin"?}
    GET  /people/events                server-sent events; ?since=number (or Last-Event-ID), ?chat_id=
    GET  /people/{chat}/messages       {"messages", "keyboard", "toasts", "menu", "last_event"}
    POST /people/{person}/say          {"text", "reply_to"?}          → {"result": message_id}
    POST /people/{person}/edit         {"message_id", "text"}
    POST /people/{person}/press        {"label" or "data", "message_id"?, "too_old"?}   → {"result": query id}
    POST /people/{person}/photo        {"content" base64?, "caption"?, "reply_to"?}; video and voice: also "seconds"
    POST /people/{person}/document     {"content" base64?, "name"?, "mime_type"?, "caption"?}; sticker: {"emoji"?}
    POST /people/{person}/open_invitation   {"invitation": link or payload}
    POST /people/{person}/block | unblock | close_account
    POST /people/{group}/add_bot | remove_bot   {"by": person}; upgrade: {"new_id", "by"}
    GET, POST, DELETE /control/faults  the fields of demo.messaging.faults.Fault, and "seed"?
    GET, POST /control/clock           {"now": ISO 8601 with offset} or {"advance_seconds"}
    POST /control/outage               {"seconds"}: connections are refused for so long
    POST /control/updates              any JSON object, queued as an update as it is
    GET  /control/record               {"calls", "polls", "handed", "confirmed", "expired", "waiting"}; ?since=calls to leave out

Each act of a person takes "chat_id" too, to happen in a group of theirs.
"""

from __future__ import annotations

import asyncio
import base64
import binascii
import inspect
import json
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from demo.messaging.errors import ApiError, PeopleError
from demo.messaging.faults import Fault
from demo.messaging.people import People
from demo.messaging.person import Person
from demo.messaging.seen import ChatSeen, Group
from demo.messaging.service import Service
from demo.messaging.views import view_of

PERSON_ACTS = (
    "say", "edit", "press", "photo", "video", "voice", "document", "sticker", "open_invitation",
    "block", "unblock", "close_account",
)  # fmt: skip
GROUP_ACTS = ("add_bot", "remove_bot", "upgrade")

Endpoint = Callable[[Request], Awaitable[Response]]


def control_routes(service: Service, people: People, outage: Callable[[float], None]) -> list[Route]:
    """Return the routes under /people and /control. outage: lets the server be away for so many seconds."""
    pages = _PeoplePages(service, people)
    switches = _Switches(service, outage)
    return [
        _route("/people", pages.everyone, "GET"),
        _route("/people", pages.add, "POST"),
        _route("/people/groups", pages.add_group, "POST"),
        _route("/people/events", pages.events, "GET"),
        _route("/people/{chat_id}", pages.chat, "GET"),
        _route("/people/{chat_id}/messages", pages.messages, "GET"),
        _route("/people/{chat_id}/{act}", pages.act, "POST"),
        _route("/control/faults", switches.list_faults, "GET"),
        _route("/control/faults", switches.add_fault, "POST"),
        _route("/control/faults", switches.clear_faults, "DELETE"),
        _route("/control/clock", switches.read_clock, "GET"),
        _route("/control/clock", switches.move_clock, "POST"),
        _route("/control/updates", switches.inject, "POST"),
        _route("/control/outage", switches.outage, "POST"),
        _route("/control/record", switches.record, "GET"),
    ]


class _PeoplePages:
    def __init__(self, service: Service, people: People) -> None:
        self._service = service
        self._people = people

    async def everyone(self, request: Request) -> Response:
        return JSONResponse(
            {
                "bot": self._service.bot,
                "people": [_about(person) for person in self._people],
                "groups": [_about(group) for group in self._people.groups],
            }
        )

    async def add(self, request: Request) -> Response:
        body = await _body(request)
        person_id = body.pop("id", None)
        person = _do(self._people.add, {"person_id": person_id, **body})
        return JSONResponse(_about(person))

    async def add_group(self, request: Request) -> Response:
        body = await _body(request)
        members = [self._people[int(number)] for number in body.pop("members", [])]
        group_id = body.pop("id", None)
        group = _do(self._people.add_group, {"group_id": group_id, "members": members, **body})
        return JSONResponse(_about(group))

    async def chat(self, request: Request) -> Response:
        return JSONResponse(_about(self._chat(request)))

    async def messages(self, request: Request) -> Response:
        chat = self._chat(request)
        return JSONResponse(
            {
                "messages": [view.as_json() for view in chat.messages()],
                "keyboard": chat.keyboard,
                "toasts": chat.toasts,
                "menu": chat.menu,
                "last_event": self._service.events.last,
            }
        )

    async def act(self, request: Request) -> Response:
        chat = self._chat(request)
        act = request.path_params["act"]
        body = await _body(request)
        if "content" in body:
            body["content"] = _decoded(body["content"])
        if isinstance(chat, Group) and "by" in body:
            body["by"] = self._people[int(body["by"])].account
        if act not in (PERSON_ACTS if isinstance(chat, Person) else GROUP_ACTS):
            raise PeopleError(
                f"There is no act {act!r}: choose one of {', '.join(PERSON_ACTS + GROUP_ACTS)}."
            )
        return JSONResponse({"result": _do(getattr(chat, act), body)})

    async def events(self, request: Request) -> Response:
        """A stream of server-sent events; ?since= or Last-Event-ID resumes it, ?chat_id= narrows it."""
        given = request.headers.get("last-event-id") or request.query_params.get("since")
        since = _whole(given, "since") if given else self._service.events.last
        chat = request.query_params.get("chat_id")
        chat_id = _whole(chat, "chat_id") if chat else None

        async def stream() -> AsyncIterator[str]:
            yield ": watching\n\n"
            async for event in self._service.events.watch(since, chat_id):
                shown = self._shown(event)
                yield f"id: {event['id']}\nevent: {event['kind']}\ndata: {json.dumps(shown)}\n\n"

        return StreamingResponse(
            stream(), media_type="text/event-stream", headers={"Cache-Control": "no-store"}
        )

    def _shown(self, event: dict[str, Any]) -> dict[str, Any]:
        """Return an event with its message, if it has one, as a reader sees it."""
        if "message" not in event:
            return event
        chat = self._service.chats[event["chat_id"]]
        return {**event, "message": view_of(chat, event["message"]).as_json()}

    def _chat(self, request: Request) -> ChatSeen:
        return self._people.chat(_whole(request.path_params["chat_id"], "chat_id"))


class _Switches:
    def __init__(self, service: Service, outage: Callable[[float], None]) -> None:
        self._service = service
        self._outage = outage

    async def list_faults(self, request: Request) -> Response:
        return JSONResponse({"faults": [asdict(fault) for fault in self._service.faults.faults]})

    async def add_fault(self, request: Request) -> Response:
        body = await _body(request)
        if "seed" in body:
            self._service.faults.reseed(int(body.pop("seed")))
        return JSONResponse(asdict(self._service.faults.add(_do(Fault, body))))

    async def clear_faults(self, request: Request) -> Response:
        self._service.faults.clear()
        return JSONResponse({"faults": []})

    async def read_clock(self, request: Request) -> Response:
        return JSONResponse({"now": self._service.clock.today().isoformat()})

    async def move_clock(self, request: Request) -> Response:
        body = await _body(request)
        if "advance_seconds" in body:
            self._service.clock.advance(timedelta(seconds=float(body["advance_seconds"])))
        if "now" in body:
            self._service.clock.set(datetime.fromisoformat(str(body["now"])))
        return await self.read_clock(request)

    async def inject(self, request: Request) -> Response:
        update_id = self._service.updates.inject(await _body(request))
        return JSONResponse({"update_id": update_id})

    async def outage(self, request: Request) -> Response:
        seconds = float((await _body(request)).get("seconds", 1.0))
        if not 0 < seconds < 3600:
            raise PeopleError(f"seconds is {seconds}: an outage lasts more than 0 and less than 3600.")
        # Once this answer is out.
        asyncio.get_running_loop().call_later(0.05, self._outage, seconds)
        return JSONResponse({"seconds": seconds})

    async def record(self, request: Request) -> Response:
        record = self._service.record
        since = _whole(request.query_params.get("since", "0"), "since")
        return JSONResponse(
            {
                "calls": [asdict(call) for call in record.calls[max(0, since) :]],
                "polls": record.polls,
                "handed": dict(record.handed),
                "confirmed": dict(record.confirmed),
                "expired": record.expired,
                "waiting": len(self._service.updates),
            }
        )


def _route(path: str, endpoint: Endpoint, method: str) -> Route:
    async def answer(request: Request) -> Response:
        try:
            return await endpoint(request)
        except ApiError as refused:
            return JSONResponse({"error": refused.description}, 400)
        except ValueError as wrong:
            return JSONResponse({"error": str(wrong)}, 400)

    return Route(path, answer, methods=[method])


def _about(chat: ChatSeen) -> dict[str, Any]:
    return {**chat.as_json(), "blocked": chat.is_blocked}


def _do(act: Callable[..., Any], fields: dict[str, Any]) -> Any:
    """Call `act` with the fields of a request, which must be those it takes."""
    try:
        inspect.signature(act).bind(**fields)
    except TypeError as wrong:
        raise PeopleError(f"The request's fields do not fit: {wrong}.") from None
    return act(**fields)


async def _body(request: Request) -> dict[str, Any]:
    raw = await request.body()
    body = json.loads(raw) if raw else {}
    if not isinstance(body, dict):
        raise PeopleError("The request's body must be a JSON object.")
    return body


def _decoded(content: Any) -> bytes:
    try:
        return base64.b64decode(str(content), validate=True)
    except binascii.Error:
        raise PeopleError("content must be a file in base64.") from None


def _whole(given: str, name: str) -> int:
    try:
        return int(given)
    except ValueError:
        raise PeopleError(f"{name} is {given!r}: it must be a whole number.") from None
