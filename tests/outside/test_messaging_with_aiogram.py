"""The local messaging server checked by a client that is neither ours nor the bot's: aiogram 3 (https://docs.aiogram.dev).

aiogram parses every answer into its models of the public bot API: an answer that lacks a required field, or has one
that cannot be read, fails here. The shapes themselves are those of https://core.telegram.org/bots/api.
"""

from __future__ import annotations

import io
from collections.abc import AsyncIterator
from datetime import timedelta

import pytest
from aiogram import Bot, Dispatcher, F, Router
from aiogram.client.session.aiohttp import AiohttpSession
from aiogram.client.telegram import TelegramAPIServer
from aiogram.exceptions import (
    TelegramBadRequest,
    TelegramConflictError,
    TelegramForbiddenError,
    TelegramNotFound,
    TelegramRetryAfter,
    TelegramServerError,
    TelegramUnauthorizedError,
)
from aiogram.types import (
    BotCommand,
    BufferedInputFile,
    CallbackQuery,
    InlineKeyboardButton,
    InlineKeyboardMarkup,
    InputMediaDocument,
    Message,
    ReplyKeyboardMarkup,
    ReplyKeyboardRemove,
    ReplyParameters,
    Update,
)
from aiogram.types.keyboard_button import KeyboardButton
from PIL import Image

from demo.messaging import Fault, Limits, MessagingServer, Person

KEYS = InlineKeyboardMarkup(
    inline_keyboard=[
        [
            InlineKeyboardButton(text="Yes", callback_data="y"),
            InlineKeyboardButton(text="No", callback_data="n"),
        ]
    ]
)


@pytest.fixture
async def server() -> AsyncIterator[MessagingServer]:
    async with MessagingServer(limits=Limits.off()) as running:
        yield running


@pytest.fixture
async def bot(server: MessagingServer) -> AsyncIterator[Bot]:
    async with Bot(
        server.token, session=AiohttpSession(api=TelegramAPIServer.from_base(server.url))
    ) as client:
        yield client


@pytest.fixture
def sam(server: MessagingServer) -> Person:
    return server.people.add(5001, "Sam", username="sam_home")


def labels(message: Message) -> list[list[tuple[str, str | None]]]:
    assert message.reply_markup is not None
    return [[(key.text, key.callback_data) for key in row] for row in message.reply_markup.inline_keyboard]


def picture() -> BufferedInputFile:
    buffer = io.BytesIO()
    Image.new("RGB", (40, 30), "navy").save(buffer, "PNG")
    return BufferedInputFile(buffer.getvalue(), "hold.png")


async def test_every_kind_of_message_of_the_bot_is_parsed(bot: Bot, sam: Person) -> None:
    text = await bot.send_message(sam.id, "<b>hi</b> 😀", parse_mode="HTML", reply_markup=KEYS)
    reply = await bot.send_message(sam.id, "re", reply_parameters=ReplyParameters(message_id=text.message_id))
    photo = await bot.send_photo(sam.id, picture(), caption="<i>cap</i>", parse_mode="HTML")
    file = BufferedInputFile(b"content", "file.bin")
    video = await bot.send_video(sam.id, file, duration=2)
    voice = await bot.send_voice(sam.id, file, duration=2)
    document = await bot.send_document(sam.id, file)
    album = await bot.send_media_group(
        sam.id, [InputMediaDocument(media=file), InputMediaDocument(media=file)]
    )

    assert text.html_text == "<b>hi</b> 😀"
    assert labels(text) == [[("Yes", "y"), ("No", "n")]]
    assert reply.reply_to_message is not None
    assert reply.reply_to_message.message_id == text.message_id
    assert photo.photo is not None
    assert (photo.photo[-1].width, photo.photo[-1].height) == (40, 30)
    assert photo.html_text == "<i>cap</i>"
    assert video.video is not None
    assert voice.voice is not None
    assert document.document is not None
    assert len(album) == 2
    assert [view.kind for view in sam.messages()] == ["text", "text", "photo", "video", "voice"] + [
        "document"
    ] * 3


async def test_every_act_of_a_person_is_parsed_as_an_update(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    sent = await bot.send_message(sam.id, "Done?", reply_markup=KEYS)
    said = sam.say("/start abc")
    sam.say("ten minutes", reply_to=sent.message_id)
    sam.edit(said, "/start abd")
    sam.photo(caption="look")
    sam.video()
    sam.voice()
    sam.document()
    sam.sticker("👍")
    sam.press("Yes")
    sam.block()
    sam.unblock()
    group = server.people.add_group(-7, "Family", [sam])
    group.remove_bot(sam.account)
    updates = await bot.get_updates()

    assert [update.event_type for update in updates] == (
        ["message", "message", "edited_message"]
        + ["message"] * 5
        + [
            "callback_query",
            "my_chat_member",
            "my_chat_member",
            "my_chat_member",
            "message",
            "my_chat_member",
        ]
    )
    kinds = [update.message.content_type for update in updates if update.message]
    assert kinds == ["text", "text", "photo", "video", "voice", "document", "sticker", "new_chat_members"]


async def test_edits_buttons_and_answers_go_through(bot: Bot, sam: Person) -> None:
    sent = await bot.send_message(sam.id, "Done?", reply_markup=KEYS)
    query_id = sam.press("Yes")
    answered = await bot.answer_callback_query(query_id, text="Noted")
    edited = await bot.edit_message_text("Thanks", chat_id=sam.id, message_id=sent.message_id)
    keyed = await bot.edit_message_reply_markup(chat_id=sam.id, message_id=sent.message_id, reply_markup=KEYS)
    captioned = await bot.send_photo(sam.id, picture())
    captioned_edit = await bot.edit_message_caption(
        chat_id=sam.id, message_id=captioned.message_id, caption="c"
    )

    assert answered is True
    assert isinstance(edited, Message)
    assert (edited.text, edited.reply_markup) == ("Thanks", None)
    assert edited.edit_date is not None
    assert isinstance(keyed, Message)
    assert labels(keyed) == [[("Yes", "y"), ("No", "n")]]
    assert isinstance(captioned_edit, Message)
    assert captioned_edit.caption == "c"


async def test_reply_keyboards_go_through(bot: Bot, sam: Person) -> None:
    await bot.send_message(
        sam.id, "a", reply_markup=ReplyKeyboardMarkup(keyboard=[[KeyboardButton(text="Done")]])
    )
    shown = sam.keyboard
    await bot.send_message(sam.id, "b", reply_markup=ReplyKeyboardRemove())

    assert (shown, sam.keyboard) == ([["Done"]], [])


async def test_a_file_is_downloaded_as_it_was_sent(bot: Bot, sam: Person) -> None:
    sam.voice(b"a baby's voice")
    message = (await bot.get_updates())[0].message
    assert message is not None
    assert message.voice is not None
    fetched = await bot.download(message.voice)

    assert fetched is not None
    assert fetched.read() == b"a baby's voice"


async def test_chat_member_commands_and_descriptions_are_parsed(bot: Bot, sam: Person) -> None:
    await bot.set_my_commands([BotCommand(command="today", description="Today")], language_code="es")
    await bot.set_my_description("Helps")
    chat = await bot.get_chat(sam.id)
    member = await bot.get_chat_member(sam.id, sam.id)
    info = await bot.get_webhook_info()
    commands = await bot.get_my_commands(language_code="es")

    assert [(command.command, command.description) for command in commands] == [("today", "Today")]
    assert (await bot.get_my_description()).description == "Helps"
    assert (await bot.get_me()).username == "underwing_local_bot"
    assert (chat.first_name, member.user.username, info.url) == ("Sam", "sam_home", "")


async def test_every_refusal_is_the_exception_that_a_client_expects(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    with pytest.raises(TelegramBadRequest, match="chat not found"):
        await bot.send_message(404, "x")
    with pytest.raises(TelegramBadRequest, match="can't parse entities"):
        await bot.send_message(sam.id, "<b>x", parse_mode="HTML")
    with pytest.raises(TelegramBadRequest, match="message is too long"):
        await bot.send_message(sam.id, "x" * 4097)
    server.faults.add(Fault("too_many_requests", "sendMessage", seconds=9))
    with pytest.raises(TelegramRetryAfter) as refused:
        await bot.send_message(sam.id, "x")
    server.faults.add(Fault("server_error", "sendMessage"))
    with pytest.raises(TelegramServerError):
        await bot.send_message(sam.id, "x")
    sam.block()
    with pytest.raises(TelegramForbiddenError, match="bot was blocked by the user"):
        await bot.send_message(sam.id, "x")
    await bot.set_webhook("http://127.0.0.1:9/hook")
    with pytest.raises(TelegramConflictError):
        await bot.get_updates()

    assert refused.value.retry_after == 9


async def test_a_wrong_token_is_unauthorized(server: MessagingServer) -> None:
    session = AiohttpSession(api=TelegramAPIServer.from_base(server.url))
    async with Bot("1000:another", session=session) as stranger:
        with pytest.raises(TelegramUnauthorizedError):
            await stranger.get_me()


async def test_a_method_that_is_not_offered_is_not_found(bot: Bot, sam: Person) -> None:
    with pytest.raises(TelegramNotFound):
        await bot.send_dice(sam.id)


async def test_an_old_press_is_refused_in_the_words_of_the_api(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    await bot.send_message(sam.id, "Done?", reply_markup=KEYS)
    query_id = sam.press("No")
    server.clock.advance(timedelta(seconds=150))
    with pytest.raises(
        TelegramBadRequest, match="query is too old and response timeout expired or query ID is invalid"
    ):
        await bot.answer_callback_query(query_id)


async def test_its_dispatcher_runs_a_conversation(bot: Bot, sam: Person) -> None:
    router = Router()

    @router.message(F.text == "/start")
    async def begin(message: Message) -> None:
        await message.answer("Done?", reply_markup=KEYS)

    @router.callback_query()
    async def pressed(query: CallbackQuery) -> None:
        await query.answer("Noted")
        await bot.send_message(query.from_user.id, f"You said {query.data}")

    dispatcher = Dispatcher()
    dispatcher.include_router(router)
    offset = 0

    async def turn() -> None:
        nonlocal offset
        updates: list[Update] = await bot.get_updates(offset=offset)
        for update in updates:
            await dispatcher.feed_update(bot, update)
            offset = update.update_id + 1

    sam.say("/start")
    await turn()
    sam.press("Yes")
    await turn()

    assert [view.text for view in sam.messages()] == ["/start", "Done?", "You said y"]
    assert [toast["text"] for toast in sam.toasts] == ["Noted"]
