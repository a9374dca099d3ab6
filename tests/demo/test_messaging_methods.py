"""Every method that the local server offers, called by the unmodified library."""

from __future__ import annotations

import io
from datetime import timedelta

import pytest
from PIL import Image
from telegram import (
    Bot,
    BotCommand,
    BotCommandScopeAllPrivateChats,
    BotCommandScopeChat,
    ForceReply,
    InlineKeyboardButton,
    InlineKeyboardMarkup,
    InputMediaPhoto,
    LinkPreviewOptions,
    Message,
    MessageEntity,
    ReactionTypeEmoji,
    ReplyKeyboardMarkup,
    ReplyKeyboardRemove,
    ReplyParameters,
)
from telegram.error import BadRequest, ChatMigrated, EndPointNotFound, Forbidden, InvalidToken

from demo.messaging import MessagingServer, PeopleError, Person


def picture(width: int = 40, height: int = 30) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (width, height), "navy").save(buffer, "PNG")
    return buffer.getvalue()


def keyboard(*labels: str) -> InlineKeyboardMarkup:
    return InlineKeyboardMarkup(
        [[InlineKeyboardButton(label, callback_data=f"d:{label}") for label in labels]]
    )


async def test_the_bot_learns_who_it_is(bot: Bot) -> None:
    me = await bot.get_me()

    assert me.is_bot
    assert (me.id, me.username) == (1000, "underwing_local_bot")


async def test_a_text_arrives_with_its_formatting_and_buttons(bot: Bot, sam: Person) -> None:
    message = await bot.send_message(
        sam.id, "<b>Tummy</b> 😀 &amp; <i>arm</i>", parse_mode="HTML", reply_markup=keyboard("Done", "Later")
    )
    seen = sam.messages()[-1]

    assert message.text == seen.text == "Tummy 😀 & arm"
    assert message.parse_entities() == {
        MessageEntity("bold", 0, 5): "Tummy",
        MessageEntity("italic", 11, 3): "arm",
    }
    assert seen.html == "<b>Tummy</b> 😀 &amp; <i>arm</i>"
    assert seen.labels() == ["Done", "Later"]


async def test_entities_given_beside_the_text_are_kept(bot: Bot, sam: Person) -> None:
    message = await bot.send_message(sam.id, "😀 bold", entities=[MessageEntity("bold", 3, 4)])

    assert message.parse_entities() == {MessageEntity("bold", 3, 4): "bold"}


async def test_entities_that_cut_a_character_in_two_are_refused(bot: Bot, sam: Person) -> None:
    with pytest.raises(BadRequest, match=r"(?i)middle of a UTF-16 symbol"):
        await bot.send_message(sam.id, "😀 bold", entities=[MessageEntity("bold", 1, 4)])


@pytest.mark.parametrize("length", [1, 4096])
async def test_the_longest_and_shortest_texts_are_taken(bot: Bot, sam: Person, length: int) -> None:
    message = await bot.send_message(sam.id, "<b>" + "a" * length + "</b>", parse_mode="HTML")

    assert len(message.text or "") == length


async def test_a_text_over_4096_characters_is_refused(bot: Bot, sam: Person) -> None:
    with pytest.raises(BadRequest, match=r"(?i)message is too long"):
        await bot.send_message(sam.id, "a" * 4097)


@pytest.mark.parametrize("text", ["   \n ", "<b></b>"])
async def test_a_text_of_nothing_is_refused(bot: Bot, sam: Person, text: str) -> None:
    with pytest.raises(BadRequest, match=r"(?i)message text is empty"):
        await bot.send_message(sam.id, text, parse_mode="HTML")


async def test_broken_formatting_is_refused_with_its_place(bot: Bot, sam: Person) -> None:
    with pytest.raises(
        BadRequest, match=r'(?i)can.t parse entities: unsupported start tag "div" at byte offset 3'
    ):
        await bot.send_message(sam.id, "é <div>x</div>", parse_mode="HTML")
    assert sam.messages() == []


async def test_callback_data_is_counted_in_bytes(bot: Bot, sam: Person) -> None:
    await bot.send_message(sam.id, "fits", reply_markup=button_with("é" * 32))
    with pytest.raises(BadRequest, match=r"(?i)BUTTON_DATA_INVALID"):
        await bot.send_message(sam.id, "does not fit", reply_markup=button_with("é" * 33))


def button_with(data: str) -> InlineKeyboardMarkup:
    return InlineKeyboardMarkup([[InlineKeyboardButton("Go", callback_data=data)]])


async def test_a_reply_quotes_the_message_it_answers(bot: Bot, sam: Person) -> None:
    asked = sam.say("how long?")
    message = await bot.send_message(sam.id, "Ten minutes.", reply_parameters=ReplyParameters(asked))

    assert message.reply_to_message is not None
    assert message.reply_to_message.text == "how long?"
    assert sam.messages()[-1].reply_to == asked


async def test_a_reply_to_nothing_is_refused_unless_allowed(bot: Bot, sam: Person) -> None:
    with pytest.raises(BadRequest, match=r"(?i)message to be replied not found"):
        await bot.send_message(sam.id, "x", reply_parameters=ReplyParameters(999))
    allowed = ReplyParameters(999, allow_sending_without_reply=True)
    message = await bot.send_message(sam.id, "x", reply_parameters=allowed)

    assert message.reply_to_message is None


async def test_link_previews_and_silence_are_remembered(bot: Bot, sam: Person) -> None:
    off = LinkPreviewOptions(is_disabled=True)
    message = await bot.send_message(
        sam.id, "see https://example.org/a.", link_preview_options=off, disable_notification=True
    )

    assert message.link_preview_options == off
    assert message.parse_entities(["url"]) == {MessageEntity("url", 4, 21): "https://example.org/a"}
    assert sam.messages()[-1].silent


async def test_a_reply_keyboard_stays_until_it_is_removed(bot: Bot, sam: Person) -> None:
    await bot.send_message(sam.id, "a", reply_markup=ReplyKeyboardMarkup([["Done", "Later"], ["Help"]]))
    shown = sam.keyboard
    await bot.send_message(sam.id, "b", reply_markup=ForceReply())
    kept = sam.keyboard
    await bot.send_message(sam.id, "c", reply_markup=ReplyKeyboardRemove())

    assert shown == kept == [["Done", "Later"], ["Help"]]
    assert sam.keyboard == []


async def test_an_edit_replaces_words_and_buttons(bot: Bot, sam: Person) -> None:
    message = await bot.send_message(sam.id, "before", reply_markup=keyboard("Done"))
    edited = await message.edit_text("<u>after</u>", parse_mode="HTML")
    seen = sam.message(message.message_id)

    assert isinstance(edited, Message)
    assert (edited.text, edited.reply_markup) == ("after", None)
    assert edited.edit_date is not None
    assert (seen.html, seen.labels()) == ("<u>after</u>", [])


async def test_buttons_alone_can_be_edited(bot: Bot, sam: Person) -> None:
    message = await bot.send_message(sam.id, "words", reply_markup=keyboard("Done"))
    await message.edit_reply_markup(keyboard("Undo"))
    changed = sam.messages()[-1].labels()
    await message.edit_reply_markup(None)

    assert changed == ["Undo"]
    assert sam.messages()[-1].labels() == []


async def test_an_edit_that_changes_nothing_is_refused(bot: Bot, sam: Person) -> None:
    message = await bot.send_message(sam.id, "same", reply_markup=keyboard("Done"))
    with pytest.raises(BadRequest, match=r"(?i)message is not modified"):
        await message.edit_text("same", reply_markup=keyboard("Done"))
    with pytest.raises(BadRequest, match=r"(?i)message is not modified"):
        await message.edit_reply_markup(keyboard("Done"))


async def test_only_messages_of_the_bot_that_are_there_can_be_edited(bot: Bot, sam: Person) -> None:
    theirs = sam.say("mine")
    with pytest.raises(BadRequest, match=r"(?i)message can't be edited"):
        await bot.edit_message_text("x", sam.id, theirs)
    with pytest.raises(BadRequest, match=r"(?i)message to edit not found"):
        await bot.edit_message_text("x", sam.id, 999)


async def test_a_photo_has_its_size_and_can_be_fetched_and_sent_again(bot: Bot, sam: Person) -> None:
    content = picture(40, 30)
    message = await bot.send_photo(sam.id, content, caption="<b>hold</b>", parse_mode="HTML")
    size = message.photo[-1]
    file = await bot.get_file(size.file_id)
    again = await bot.send_photo(sam.id, size.file_id)

    assert (size.width, size.height, size.file_size) == (40, 30, len(content))
    assert message.caption == "hold"
    assert bytes(await file.download_as_bytearray()) == content
    assert again.photo[-1].file_unique_id == size.file_unique_id
    assert [view.kind for view in sam.messages()] == ["photo", "photo"]


async def test_what_is_no_picture_is_refused_as_a_photo(bot: Bot, sam: Person) -> None:
    with pytest.raises(BadRequest, match=r"(?i)IMAGE_PROCESS_FAILED"):
        await bot.send_photo(sam.id, b"words")
    with pytest.raises(BadRequest, match=r"(?i)PHOTO_INVALID_DIMENSIONS"):
        await bot.send_photo(sam.id, picture(1, 30))


async def test_every_other_kind_of_file_is_carried(bot: Bot, sam: Person) -> None:
    video = await bot.send_video(sam.id, b"v", caption="clip", duration=7, width=640, height=480)
    voice = await bot.send_voice(sam.id, b"o", duration=3)
    document = await bot.send_document(sam.id, b"%PDF", filename="week.pdf", caption="Your week")
    audio = await bot.send_audio(sam.id, b"m", duration=4)
    animation = await bot.send_animation(sam.id, b"g", duration=1, width=10, height=10)
    note = await bot.send_video_note(sam.id, b"n", length=100, duration=2)
    sticker = await bot.send_sticker(sam.id, b"s")

    assert video.video is not None
    assert (video.video.duration, video.video.width, video.caption) == (timedelta(seconds=7), 640, "clip")
    assert voice.voice is not None
    assert voice.voice.duration == timedelta(seconds=3)
    assert document.document is not None
    assert document.document.file_name == "week.pdf"
    assert audio.audio is not None
    assert animation.animation is not None
    assert note.video_note is not None
    assert sticker.sticker is not None
    kinds = ["video", "voice", "document", "audio", "animation", "video_note", "sticker"]
    assert [view.kind for view in sam.messages()] == kinds


async def test_a_caption_over_1024_characters_is_refused(bot: Bot, sam: Person) -> None:
    await bot.send_document(sam.id, b"x", caption="a" * 1024)
    with pytest.raises(BadRequest, match=r"(?i)message caption is too long"):
        await bot.send_document(sam.id, b"x", caption="a" * 1025)


async def test_a_caption_and_a_picture_can_be_edited(bot: Bot, sam: Person) -> None:
    message = await bot.send_photo(sam.id, picture(), caption="one")
    await message.edit_caption("two")
    captioned = sam.messages()[-1].text
    edited = await message.edit_media(InputMediaPhoto(picture(20, 20), caption="three"))

    assert captioned == "two"
    assert isinstance(edited, Message)
    assert edited.photo[-1].width == 20
    assert sam.messages()[-1].text == "three"


async def test_an_album_arrives_as_one_group(bot: Bot, sam: Person) -> None:
    album = await bot.send_media_group(sam.id, [InputMediaPhoto(picture()), InputMediaPhoto(picture(9, 9))])

    assert len({message.media_group_id for message in album}) == 1
    assert [message.photo[-1].width for message in album] == [40, 9]


async def test_a_press_reaches_the_bot_and_its_answer_the_person(bot: Bot, sam: Person) -> None:
    sent = await bot.send_message(sam.id, "Done?", reply_markup=keyboard("Yes"))
    sam.press("Yes")
    query = (await bot.get_updates())[0].callback_query
    assert query is not None
    await query.answer("Noted", show_alert=True)

    assert (query.data, query.from_user.id) == ("d:Yes", sam.id)
    assert query.message is not None
    assert query.message.message_id == sent.message_id
    assert [(toast["text"], toast["show_alert"]) for toast in sam.toasts] == [("Noted", True)]


async def test_a_query_is_answered_once_and_in_few_words(bot: Bot, sam: Person) -> None:
    await bot.send_message(sam.id, "Done?", reply_markup=keyboard("Yes"))
    query_id = sam.press("Yes")
    with pytest.raises(BadRequest, match=r"(?i)MESSAGE_TOO_LONG"):
        await bot.answer_callback_query(query_id, "a" * 201)
    await bot.answer_callback_query(query_id, "a" * 200)
    with pytest.raises(BadRequest, match=r"(?i)query is too old"):
        await bot.answer_callback_query(query_id)


async def test_commands_are_kept_by_scope_and_language(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    luz = server.people.add(5002, "Luz", language_code="es")
    await bot.set_my_commands([BotCommand("today", "Today")])
    await bot.set_my_commands([BotCommand("hoy", "Hoy")], language_code="es")
    await bot.set_my_commands([BotCommand("mine", "Mine")], scope=BotCommandScopeChat(sam.id))
    mine = await bot.get_my_commands(scope=BotCommandScopeChat(sam.id))
    narrow = sam.menu
    await bot.delete_my_commands(scope=BotCommandScopeChat(sam.id))

    assert mine == (BotCommand("mine", "Mine"),)
    assert narrow == [{"command": "mine", "description": "Mine"}]
    assert sam.menu == [{"command": "today", "description": "Today"}]
    assert luz.menu == [{"command": "hoy", "description": "Hoy"}]
    assert await bot.get_my_commands(scope=BotCommandScopeAllPrivateChats()) == ()


@pytest.mark.parametrize(
    ("command", "refusal"),
    [
        (BotCommand("Big", "x"), "BOT_COMMAND_INVALID"),
        (BotCommand("a" * 33, "x"), "BOT_COMMAND_INVALID"),
        (BotCommand("ok", ""), "BOT_COMMAND_DESCRIPTION_INVALID"),
        (BotCommand("ok", "x" * 257), "BOT_COMMAND_DESCRIPTION_INVALID"),
    ],
)
async def test_a_command_of_another_shape_is_refused(bot: Bot, command: BotCommand, refusal: str) -> None:
    with pytest.raises(BadRequest, match=f"(?i){refusal}"):
        await bot.set_my_commands([command])


async def test_what_the_bot_says_of_itself_is_kept_by_language(bot: Bot) -> None:
    await bot.set_my_description("Helps at home")
    await bot.set_my_description("Ayuda en casa", language_code="es")
    await bot.set_my_short_description("Helps")
    await bot.set_my_name("Wing")

    assert (await bot.get_my_description("es")).description == "Ayuda en casa"
    assert (await bot.get_my_description("de")).description == "Helps at home"
    assert (await bot.get_my_short_description()).short_description == "Helps"
    assert (await bot.get_my_name()).name == "Wing"
    with pytest.raises(BadRequest, match=r"(?i)too long"):
        await bot.set_my_description("a" * 513)


async def test_a_message_can_be_deleted_copied_forwarded_and_reacted_to(bot: Bot, sam: Person) -> None:
    said = sam.say("ok")
    sent = await bot.send_message(sam.id, "gone soon")
    copy = await bot.copy_message(sam.id, sam.id, sent.message_id)
    forward = await bot.forward_message(sam.id, sam.id, said)
    await bot.set_message_reaction(sam.id, said, [ReactionTypeEmoji("👍")])
    await bot.delete_message(sam.id, sent.message_id)
    with pytest.raises(BadRequest, match=r"(?i)message to delete not found"):
        await bot.delete_message(sam.id, sent.message_id)

    assert sam.message(copy.message_id).text == "gone soon"
    assert forward.forward_origin is not None
    assert [view.message_id for view in sam.messages()] == [said, copy.message_id, forward.message_id]
    assert sam.message(said).reaction == "👍"


async def test_chats_and_members_can_be_asked_for(bot: Bot, sam: Person) -> None:
    chat = await bot.get_chat(sam.id)
    member = await bot.get_chat_member(sam.id, sam.id)
    await bot.send_chat_action(sam.id, "typing")

    assert (chat.id, chat.type, chat.first_name) == (sam.id, "private", "Sam")
    assert member.user.id == sam.id


async def test_an_unknown_chat_is_refused(bot: Bot, server: MessagingServer) -> None:
    server.people.add(7, "Not begun", started=False)
    with pytest.raises(BadRequest, match=r"(?i)chat not found"):
        await bot.send_message(6, "x")
    with pytest.raises(BadRequest, match=r"(?i)chat not found"):
        await bot.send_message(7, "x")


async def test_someone_known_from_a_group_must_begin_the_chat(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    luz = server.people.add(5002, "Luz", started=False)
    server.people.add_group(-300, "Family", [sam, luz])
    with pytest.raises(Forbidden, match="bot can't initiate conversation with a user"):
        await bot.send_message(luz.id, "x")


async def test_a_blocked_bot_is_forbidden_to_write_until_it_is_unblocked(bot: Bot, sam: Person) -> None:
    sam.block()
    with pytest.raises(Forbidden, match="bot was blocked by the user"):
        await bot.send_message(sam.id, "x")
    sam.unblock()
    await bot.send_message(sam.id, "y")
    changes = [update.my_chat_member for update in await bot.get_updates()]

    assert [change.new_chat_member.status for change in changes if change] == ["kicked", "member"]
    assert [view.text for view in sam.messages()] == ["y"]


async def test_a_closed_account_is_forbidden(bot: Bot, sam: Person) -> None:
    sam.close_account()
    with pytest.raises(Forbidden, match="user is deactivated"):
        await bot.send_message(sam.id, "x")


async def test_a_group_tells_of_the_bots_coming_and_going(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    group = server.people.add_group(-300, "Family", [sam])
    await bot.send_message(group.id, "hello all")
    group.remove_bot(sam.account)
    with pytest.raises(Forbidden, match="bot was kicked from the group chat"):
        await bot.send_message(group.id, "x")
    updates = await bot.get_updates()
    changes = [update.my_chat_member.new_chat_member.status for update in updates if update.my_chat_member]

    assert changes == ["member", "kicked"]
    assert [view.text for view in group.messages(by_bot=True)] == ["hello all"]


async def test_in_a_group_the_bot_reads_only_what_is_meant_for_it(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    group = server.people.add_group(-300, "Family", [sam])
    sent = await bot.send_message(group.id, "hello all")
    sam.say("just talking", chat_id=group.id)
    sam.say("/today", chat_id=group.id)
    sam.say("yes", chat_id=group.id, reply_to=sent.message_id)
    texts = [update.message.text for update in await bot.get_updates() if update.message]

    assert texts == [None, "/today", "yes"]


async def test_a_group_that_became_a_supergroup_names_its_new_id(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    group = server.people.add_group(-300, "Family", [sam])
    group.upgrade(-1001234, sam.account)
    with pytest.raises(ChatMigrated) as moved:
        await bot.send_message(-300, "x")
    await bot.send_message(moved.value.new_chat_id, "y")

    assert server.people.group(-1001234).messages(by_bot=True)[0].text == "y"


async def test_the_bot_can_leave_a_group(bot: Bot, server: MessagingServer, sam: Person) -> None:
    group = server.people.add_group(-300, "Family", [sam])
    await bot.leave_chat(group.id)
    with pytest.raises(Forbidden):
        await bot.send_message(group.id, "x")


async def test_another_token_is_not_let_in(server: MessagingServer) -> None:
    stranger = Bot("1000:other", base_url=server.base_url)
    with pytest.raises(InvalidToken):
        await stranger.initialize()
    await stranger.shutdown()


async def test_an_unknown_method_is_not_found(bot: Bot) -> None:
    with pytest.raises(EndPointNotFound):
        await bot.do_api_request("sendTelegraph")


async def test_an_old_message_cannot_be_deleted(bot: Bot, server: MessagingServer, sam: Person) -> None:
    sent = await bot.send_message(sam.id, "old")
    server.clock.advance(timedelta(hours=49))
    with pytest.raises(BadRequest, match=r"(?i)message can't be deleted for everyone"):
        await bot.delete_message(sam.id, sent.message_id)


def test_a_person_cannot_press_what_is_not_there(sam: Person) -> None:
    with pytest.raises(PeopleError, match="no button 'Yes'"):
        sam.press("Yes")
