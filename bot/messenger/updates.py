"""From an update as the service handed it over to what a person did."""

from __future__ import annotations

from typing import Any

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
from bot.features.events import Event, What


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
    return _message(message, "edited" if update.edited_message else None, clock)


def _message(message: Message, what: What | None, clock: Clock) -> Event:
    kind, file_id, file_name = _file(message)
    return Event(
        what=what or kind,
        chat_id=message.chat.id,
        private=message.chat.type == ChatType.PRIVATE,
        message_id=message.message_id,
        text=message.text or message.caption or _other_words(message),
        reply_to=message.reply_to_message.message_id if message.reply_to_message else None,
        file_id=file_id,
        file_name=file_name,
        emoji=message.sticker.emoji or "" if message.sticker else "",
        at=clock.heard(message.date),
        **_person(message.from_user),
    )


def _other_words(message: Message) -> str:
    """Return the words in what is neither text nor caption: a question put as a poll, a place's name."""
    if message.poll:
        return "\n".join([message.poll.question, *(option.text for option in message.poll.options)])
    return message.venue.title if message.venue else ""


def _reaction(change: MessageReactionUpdated, clock: Clock) -> Event | None:
    """Return a new emoji under a message; None where one was only taken away, or is a picture of its own."""
    known = set(change.old_reaction)
    new = [each for each in change.new_reaction if each not in known and isinstance(each, ReactionTypeEmoji)]
    if not new:
        return None
    return Event(
        what="reaction",
        chat_id=change.chat.id,
        private=change.chat.type == ChatType.PRIVATE,
        message_id=change.message_id,
        emoji=new[-1].emoji,
        at=clock.heard(change.date),
        **_person(change.user),
    )


def _press(query: CallbackQuery, clock: Clock) -> Event | None:
    if query.message is None:
        return None
    return Event(
        what="press",
        chat_id=query.message.chat.id,
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
    what: What = ("blocked" if gone else "unblocked") if private else "joined_group"
    if not private and gone:
        return None
    return Event(
        what=what,
        chat_id=change.chat.id,
        private=private,
        at=clock.heard(change.date),
        **_person(change.from_user),
    )


def _person(user: User | None) -> dict[str, Any]:
    if user is None:
        return {}
    return {"user_id": user.id, "user_name": user.first_name, "language": user.language_code or "en"}


def _file(message: Message) -> tuple[What, str | None, str | None]:
    if message.text is not None:
        return "text", None, None
    if message.photo:
        return "photo", message.photo[-1].file_id, None
    if message.video:
        return "video", message.video.file_id, message.video.file_name
    if message.video_note:
        return "video", message.video_note.file_id, None
    if message.voice:
        return "voice", message.voice.file_id, None
    if message.audio:
        return "voice", message.audio.file_id, message.audio.file_name
    if message.document:
        return "document", message.document.file_id, message.document.file_name
    if message.sticker:
        return "sticker", None, None
    return "other", None, None
