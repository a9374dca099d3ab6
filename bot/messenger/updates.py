"""From an update as the service handed it over to what a person did."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, TypedDict

from telegram import (
    Bot,
    CallbackQuery,
    ChatMemberUpdated,
    Message,
    MessageReactionUpdated,
    ReactionTypeEmoji,
    Update,
    User,
)  # fmt: skip
from telegram.constants import ChatType

from bot.clock import Clock
from bot.domain.ids import ChatId
from bot.features.events import (
    AnySent,
    Blocked,
    ButtonPressed,
    Edited,
    Event,
    FileSent,
    JoinedGroup,
    OtherSent,
    Reacted,
    StickerSent,
    TextWritten,
    Unblocked,
)


class _Person(TypedDict, total=False):
    user_id: int
    user_name: str
    language: str


def event_from(raw: dict[str, Any], bot: Bot, clock: Clock) -> Event | None:
    """Return what a person did, or None for an update that says nothing to us (an unknown kind, a channel post).

    Raises whatever the library raises for an update that it cannot parse; the inbox keeps that one apart.
    """
    update = Update.de_json(raw, bot)
    if update.callback_query is not None:
        return _press(update.callback_query, clock)
    if update.my_chat_member is not None:
        return _membership(update.my_chat_member, clock)
    if update.message_reaction is not None:
        return _reaction(update.message_reaction, clock)
    message = update.message or update.edited_message
    if message is None or message.from_user is None or message.from_user.is_bot:
        return None
    return _message(message, update.edited_message is not None, clock)


def _message(message: Message, edited: bool, clock: Clock) -> AnySent:
    kind = Edited if edited else _kind(message)
    return kind(
        chat_id=ChatId(message.chat.id),
        private=message.chat.type == ChatType.PRIVATE,
        message_id=message.message_id,
        text=_cleaned(message.text or message.caption or _other_words(message)),
        reply_to=message.reply_to_message.message_id if message.reply_to_message else None,
        at=clock.heard(message.date),
        **_person(message.from_user),
    )


def _kind(message: Message) -> Callable[..., AnySent]:
    """Return the class of a new message, with what is of that kind alone filled in."""
    if message.text is not None:
        return TextWritten
    file = _file(message)
    if file is not None:
        return file
    if message.sticker:
        return partial(StickerSent, emoji=message.sticker.emoji or "")
    return OtherSent


def _file(message: Message) -> Callable[..., FileSent] | None:
    if message.photo:
        return partial(FileSent, kind="photo", file_id=message.photo[-1].file_id)
    video = message.video
    if video:
        return partial(FileSent, kind="video", file_id=video.file_id, file_name=video.file_name)
    if message.video_note:
        return partial(FileSent, kind="video", file_id=message.video_note.file_id)
    if message.voice:
        return partial(FileSent, kind="voice", file_id=message.voice.file_id)
    audio = message.audio
    if audio:
        return partial(FileSent, kind="voice", file_id=audio.file_id, file_name=audio.file_name)
    document = message.document
    if document:
        return partial(FileSent, kind="document", file_id=document.file_id, file_name=document.file_name)
    return None


def _other_words(message: Message) -> str:
    """Return the words in what is neither text nor caption: a question put as a poll, a place's name."""
    if message.poll:
        return "\n".join([message.poll.question, *(option.text for option in message.poll.options)])
    return message.venue.title if message.venue else ""


def _reaction(change: MessageReactionUpdated, clock: Clock) -> Reacted | None:
    """Return a new emoji under a message; None where one was only taken away, or is a picture of its own."""
    known = set(change.old_reaction)
    new = [each for each in change.new_reaction if each not in known and isinstance(each, ReactionTypeEmoji)]
    if not new:
        return None
    return Reacted(
        chat_id=ChatId(change.chat.id),
        private=change.chat.type == ChatType.PRIVATE,
        message_id=change.message_id,
        emoji=new[-1].emoji,
        at=clock.heard(change.date),
        **_person(change.user),
    )


def _press(query: CallbackQuery, clock: Clock) -> ButtonPressed | None:
    if query.message is None:
        return None
    return ButtonPressed(
        chat_id=ChatId(query.message.chat.id),
        private=query.message.chat.type == ChatType.PRIVATE,
        message_id=query.message.message_id,
        data=query.data or "",
        press=query.id,
        at=clock.now(),
        **_person(query.from_user),
    )


def _membership(change: ChatMemberUpdated, clock: Clock) -> Event | None:
    gone = change.new_chat_member.status in ("kicked", "left")
    private = change.chat.type == ChatType.PRIVATE
    if not private and gone:
        return None
    kind = (Blocked if gone else Unblocked) if private else JoinedGroup
    return kind(
        chat_id=ChatId(change.chat.id),
        private=private,
        at=clock.heard(change.date),
        **_person(change.from_user),
    )


# What no reader sees and no database or screen should get: control characters (a line's end and a tab stay), marks that turn
# the direction of all that follows, halves of characters.
_UNSEEN = dict.fromkeys(
    code
    for codes in (
        range(0x20),
        range(0x7F, 0xA0),
        range(0x202A, 0x202F),
        range(0x2066, 0x206A),
        range(0xD800, 0xE000),
    )
    for code in codes
    if chr(code) not in "\t\n\r"
)


def _cleaned(text: str) -> str:
    return text.translate(_UNSEEN)


def _person(user: User | None) -> _Person:
    if user is None:
        return {}
    return {
        "user_id": user.id,
        "user_name": _cleaned(user.first_name),
        "language": user.language_code or "en",
    }
