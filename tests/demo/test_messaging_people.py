"""The people's side: from Python, and over HTTP as a page or another process uses it."""

from __future__ import annotations

import asyncio
import base64
import json
from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest
from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup, ReplyKeyboardMarkup

from demo.messaging import MessagingServer, PeopleError, Person

KEYS = InlineKeyboardMarkup(
    [
        [InlineKeyboardButton("Done", callback_data="d"), InlineKeyboardButton("Later", callback_data="l")],
        [InlineKeyboardButton("Read", url="https://example.org")],
    ]
)


@pytest.fixture
async def web(server: MessagingServer) -> AsyncIterator[httpx.AsyncClient]:
    async with httpx.AsyncClient(base_url=server.url) as client:
        yield client


async def done(web: httpx.AsyncClient, path: str, **body: Any) -> Any:
    answer = await web.post(path, json=body)

    assert answer.status_code == 200, answer.text
    return answer.json()


async def test_an_invitation_link_starts_the_chat_with_its_payload(bot: Bot, server: MessagingServer) -> None:
    lee = server.people.add(6001, "Lee", started=False)
    lee.open_invitation("https://chat.example/underwing_local_bot?start=fam-1_x")
    message = (await bot.get_updates())[0].message
    await bot.send_message(lee.id, "Welcome")

    assert message is not None
    assert message.text == "/start fam-1_x"
    assert message.entities[0].type == "bot_command"


@pytest.mark.parametrize(
    ("invitation", "words"),
    [
        ("a" * 65, "1 to 64 characters"),
        ("two words", "1 to 64 characters"),
        ("https://chat.example/other_bot?start=abc", "another bot"),
    ],
)
def test_an_invitation_of_another_shape_is_refused(sam: Person, invitation: str, words: str) -> None:
    with pytest.raises(PeopleError, match=words):
        sam.open_invitation(invitation)


async def test_opening_an_invitation_unblocks_the_bot(bot: Bot, sam: Person) -> None:
    sam.block()
    sam.open_invitation("abc")
    updates = await bot.get_updates()

    assert [update.message is not None for update in updates] == [False, False, True]


async def test_a_silent_block_is_learnt_by_refusal_alone(bot: Bot, sam: Person) -> None:
    sam.block(told=False)

    assert await bot.get_updates() == ()
    assert sam.is_blocked


async def test_a_press_finds_the_latest_message_with_that_button(bot: Bot, sam: Person) -> None:
    first = await bot.send_message(sam.id, "1", reply_markup=KEYS)
    second = await bot.send_message(sam.id, "2", reply_markup=KEYS)
    sam.press("Done")
    sam.press(data="l", message_id=first.message_id)
    pressed = [update.callback_query for update in await bot.get_updates()]

    assert [(query.data, query.message.message_id) for query in pressed if query and query.message] == [
        ("d", second.message_id),
        ("l", first.message_id),
    ]


async def test_a_link_button_and_a_removed_one_cannot_be_pressed(bot: Bot, sam: Person) -> None:
    message = await bot.send_message(sam.id, "1", reply_markup=KEYS)
    with pytest.raises(PeopleError, match="no button 'Read'"):
        sam.press("Read")
    await message.edit_reply_markup(None)
    with pytest.raises(PeopleError, match="no button 'Done'"):
        sam.press("Done")


async def test_a_one_time_keyboard_goes_away_with_the_answer(bot: Bot, sam: Person) -> None:
    markup = ReplyKeyboardMarkup([["Yes"]], one_time_keyboard=True)
    await bot.send_message(sam.id, "?", reply_markup=markup)
    shown = sam.keyboard
    sam.say("Yes")

    assert (shown, sam.keyboard) == ([["Yes"]], [])


def test_only_ones_own_words_can_be_edited(server: MessagingServer, sam: Person) -> None:
    luz = server.people.add(5002, "Luz")
    number = luz.say("mine")
    with pytest.raises(PeopleError, match="not this person's"):
        sam.edit(number, "yours")


def test_a_blocked_chat_cannot_be_written_in(sam: Person) -> None:
    sam.block()
    with pytest.raises(PeopleError, match="the bot is blocked there"):
        sam.say("x")


async def test_the_next_message_can_be_waited_for(bot: Bot, sam: Person) -> None:
    waiting = asyncio.create_task(sam.next_message())
    await asyncio.sleep(0)
    await bot.send_message(sam.id, "here")

    assert (await waiting).text == "here"
    with pytest.raises(PeopleError, match="No message came to chat 5001"):
        await sam.next_message(after=sam.messages()[-1].message_id, timeout=0.01)


async def test_people_act_over_http(bot: Bot, server: MessagingServer, web: httpx.AsyncClient) -> None:
    await done(web, "/people", id=7001, first_name="Ana", language_code="es")
    said = (await done(web, "/people/7001/say", text="hola"))["result"]
    await done(web, "/people/7001/edit", message_id=said, text="hola!")
    content = base64.b64encode(b"voice").decode()
    await done(web, "/people/7001/voice", content=content, seconds=4)
    await done(web, "/people/7001/photo", caption="mira")
    await done(web, "/people/7001/document", name="a.txt")
    await done(web, "/people/7001/video")
    await done(web, "/people/7001/sticker")
    await bot.send_message(7001, "<b>¿Listo?</b>", parse_mode="HTML", reply_markup=KEYS)
    query = (await done(web, "/people/7001/press", label="Done"))["result"]
    await bot.answer_callback_query(query, "Anotado")
    seen = (await web.get("/people/7001/messages")).json()

    assert [message["kind"] for message in seen["messages"]] == [
        "text", "voice", "photo", "document", "video", "sticker", "text",
    ]  # fmt: skip
    assert seen["messages"][0]["text"] == "hola!"
    assert seen["messages"][-1]["html"] == "<b>¿Listo?</b>"
    assert seen["messages"][-1]["buttons"][0][0] == {"text": "Done", "data": "d", "url": None}
    assert [toast["text"] for toast in seen["toasts"]] == ["Anotado"]


async def test_groups_blocks_and_lists_over_http(
    bot: Bot, server: MessagingServer, sam: Person, web: httpx.AsyncClient
) -> None:
    await done(web, "/people/groups", id=-9, title="Family", members=[sam.id])
    await done(web, f"/people/{sam.id}/say", text="/today", chat_id=-9)
    await done(web, "/people/-9/remove_bot", by=sam.id)
    await done(web, f"/people/{sam.id}/block")
    listed = (await web.get("/people")).json()
    kinds = ["message" if update.message else "my_chat_member" for update in await bot.get_updates()]

    assert kinds == ["my_chat_member", "message", "message", "my_chat_member", "my_chat_member"]
    assert listed["people"][0]["blocked"]
    assert listed["groups"][0]["title"] == "Family"


@pytest.mark.parametrize(
    ("path", "body", "words"),
    [
        ("/people/404/say", {"text": "x"}, "There is no person 404"),
        ("/people/5001/dance", {}, "There is no act 'dance'"),
        ("/people/5001/say", {"words": "x"}, "fields do not fit"),
        ("/people/5001/press", {"label": "Nope"}, "no button 'Nope'"),
        ("/people/5001/photo", {"content": "***"}, "base64"),
        ("/people", {"id": 5001}, "not taken"),
        ("/people/abc/say", {"text": "x"}, "must be a whole number"),
        ("/control/faults", {"kind": "quake"}, "no fault 'quake'"),
        ("/control/clock", {"now": "2026-01-01T00:00:00"}, "without a zone"),
    ],
)
async def test_what_cannot_be_done_is_said_in_a_sentence(
    web: httpx.AsyncClient, sam: Person, path: str, body: dict[str, Any], words: str
) -> None:
    answer = await web.post(path, json=body)

    assert answer.status_code == 400
    assert words in answer.json()["error"]


async def test_the_server_is_steered_over_http(
    bot: Bot, server: MessagingServer, sam: Person, web: httpx.AsyncClient
) -> None:
    await done(web, "/control/clock", now="2026-03-04T10:00:00+00:00")
    await done(web, "/control/clock", advance_seconds=60)
    await done(web, "/control/faults", kind="lost_after", method="sendMessage", count=2, seed=3)
    waiting = (await web.get("/control/faults")).json()["faults"]
    await web.delete("/control/faults")
    await done(web, "/control/updates", update_id=77, news={"x": 1})
    await bot.send_message(sam.id, "x")
    record = (await web.get("/control/record")).json()
    now = (await web.get("/control/clock")).json()["now"]

    assert now.startswith("2026-03-04T10:01")
    assert (waiting[0]["kind"], waiting[0]["count"]) == ("lost_after", 2)
    assert [call["method"] for call in record["calls"]] == ["getme", "sendmessage"]
    assert record["waiting"] == 1


async def test_a_page_watches_everything_as_it_happens(
    bot: Bot, server: MessagingServer, sam: Person, web: httpx.AsyncClient
) -> None:
    sam.say("hello")
    seen: list[tuple[str, str]] = []
    async with web.stream("GET", "/people/events", params={"since": 0, "chat_id": sam.id}) as stream:
        await bot.send_message(sam.id, "<b>hi</b>", parse_mode="HTML", reply_markup=KEYS)
        sam.press("Done")
        async for line in stream.aiter_lines():
            if line.startswith("data: "):
                event = json.loads(line.removeprefix("data: "))
                seen.append((event["kind"], event.get("message", {}).get("html", "")))
            if len(seen) == 4:
                break

    assert seen == [("person", ""), ("message", "hello"), ("message", "<b>hi</b>"), ("press", "")]


async def test_arguments_come_by_query_form_multipart_and_json(
    server: MessagingServer, sam: Person, web: httpx.AsyncClient
) -> None:
    path = f"/bot{server.token}/sendMessage"
    fields = {"chat_id": str(sam.id), "text": "ñ & 😀", "reply_markup": KEYS.to_json()}
    answers = [
        await web.get(path, params=fields),
        await web.post(path, data=fields),
        await web.post(path, files={name: (None, value) for name, value in fields.items()}),
        await web.post(
            path, json={"chat_id": sam.id, "text": fields["text"], "reply_markup": KEYS.to_dict()}
        ),
        await web.post(path.lower().replace(server.token.lower(), server.token), data=fields),
    ]

    assert [answer.status_code for answer in answers] == [200] * 5
    assert {view.text for view in sam.messages()} == {"ñ & 😀"}
    assert {tuple(view.labels()) for view in sam.messages()} == {("Done", "Later", "Read")}


@pytest.mark.parametrize(
    ("method", "fields", "code"),
    [
        ("sendMessage", {}, 400),
        ("sendMessage", {"chat_id": 5001}, 400),
        ("sendMessage", {"chat_id": 5001, "text": "x", "reply_markup": "{"}, 400),
        ("sendMessage", {"chat_id": 5001, "text": "x", "reply_markup": {"inline_keyboard": 5}}, 400),
        ("sendMessage", {"chat_id": 5001, "text": "x", "parse_mode": "Markdown3"}, 400),
        ("sendMessage", {"chat_id": 5001, "text": ["x"], "reply_parameters": 5}, 400),
        ("setMessageReaction", {"chat_id": 5001, "message_id": 1, "reaction": 5}, 400),
        ("sendPhoto", {"chat_id": 5001, "photo": "https://example.org/a.jpg"}, 400),
        ("sendPhoto", {"chat_id": 5001, "photo": "attach://nothing"}, 400),
        ("getFile", {"file_id": "none"}, 400),
        ("setMyCommands", {"commands": "x"}, 400),
        ("setMyCommands", {"commands": [], "scope": {"type": "moon"}}, 400),
        ("setWebhook", {"url": "http://127.0.0.1/x", "secret_token": "not allowed!"}, 400),
        ("getUpdates", {"offset": "soon"}, 400),
        ("sendMoon", {}, 404),
    ],
)
async def test_a_call_of_another_shape_is_refused_in_the_shape_of_the_api(
    server: MessagingServer,
    sam: Person,
    web: httpx.AsyncClient,
    method: str,
    fields: dict[str, Any],
    code: int,
) -> None:
    sam.say("x")
    answer = await web.post(f"/bot{server.token}/{method}", json=fields)
    body = answer.json()

    assert (answer.status_code, body["ok"], body["error_code"]) == (code, False, code)
    assert isinstance(body["description"], str)


async def test_pages_of_others_are_served_beside_the_api() -> None:
    from starlette.responses import PlainTextResponse
    from starlette.routing import Route

    route = Route("/", lambda request: PlainTextResponse("a page"))
    async with MessagingServer(routes=[route]) as server, httpx.AsyncClient() as client:
        assert (await client.get(server.url)).text == "a page"
