"""From an update as the service handed it over to what a person did."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from functools import partial
from typing import Any, TypedDict

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
from bot.messenger.update_fields import (
    MembershipFields,
    MessageFields,
    PressFields,
    ReactionFields,
    UpdateFields,
    UserFields,
)

PRIVATE = "private"  # how the service calls a chat of one person


class _Person(TypedDict, total=False):
    user_id: int
    user_name: str
    language: str


def event_from(raw: Mapping[str, Any], clock: Clock) -> Event | None:
    """Return what a person did, or None for an update that says nothing to us (an unknown kind, a channel post).

    Raises pydantic's ValidationError for an update in which a field that we read is not as it should be; the inbox keeps that
    one apart.
    """
    update = UpdateFields.model_validate(raw)
    if update.callback_query is not None:
        return _press(update.callback_query, clock)
    if update.my_chat_member is not None:
        return _membership(update.my_chat_member, clock)
    if update.message_reaction is not None:
        return _reaction(update.message_reaction, clock)
    message = update.message or update.edited_message
    if message is None or message.user is None or message.user.is_bot:
        return None
    return _message(message, update.edited_message is not None, clock)


def _message(message: MessageFields, edited: bool, clock: Clock) -> AnySent:
    kind = Edited if edited else _kind(message)
    return kind(
        chat_id=ChatId(message.chat.id),
        private=message.chat.type == PRIVATE,
        message_id=message.message_id,
        text=message.text or message.caption or _other_words(message),
        reply_to=message.reply_to_message.message_id if message.reply_to_message else None,
        at=clock.heard(_when(message.date)),
        **_person(message.user),
    )


def _kind(message: MessageFields) -> Callable[..., AnySent]:
    """Return the class of a new message, with what is of that kind alone filled in."""
    if message.text is not None:
        return TextWritten
    file = _file(message)
    if file is not None:
        return file
    if message.sticker:
        return partial(StickerSent, emoji=message.sticker.emoji or "")
    return OtherSent


def _file(message: MessageFields) -> Callable[..., FileSent] | None:
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


def _other_words(message: MessageFields) -> str:
    """Return the words in what is neither text nor caption: a question put as a poll, a place's name."""
    if message.poll:
        return "\n".join([message.poll.question, *(option.text for option in message.poll.options)])
    return message.venue.title if message.venue else ""


def _reaction(change: ReactionFields, clock: Clock) -> Reacted | None:
    """Return a new emoji under a message; None where one was only taken away, or is a picture of its own."""
    known = {each.emoji for each in change.old_reaction}
    new = [each.emoji for each in change.new_reaction if each.emoji and each.emoji not in known]
    if not new:
        return None
    return Reacted(
        chat_id=ChatId(change.chat.id),
        private=change.chat.type == PRIVATE,
        message_id=change.message_id,
        emoji=new[-1],
        at=clock.heard(_when(change.date)),
        **_person(change.user),
    )


def _press(query: PressFields, clock: Clock) -> ButtonPressed | None:
    if query.message is None:
        return None
    return ButtonPressed(
        chat_id=ChatId(query.message.chat.id),
        private=query.message.chat.type == PRIVATE,
        message_id=query.message.message_id,
        data=query.data or "",
        press=query.id,
        at=clock.now(),
        **_person(query.user),
    )


def _membership(change: MembershipFields, clock: Clock) -> Event | None:
    gone = change.new_chat_member.status in ("kicked", "left")
    private = change.chat.type == PRIVATE
    if not private and gone:
        return None
    kind = (Blocked if gone else Unblocked) if private else JoinedGroup
    return kind(
        chat_id=ChatId(change.chat.id),
        private=private,
        at=clock.heard(_when(change.date)),
        **_person(change.user),
    )


def _when(seconds: int) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)


def _person(user: UserFields | None) -> _Person:
    if user is None:
        return {}
    return {
        "user_id": user.id,
        "user_name": user.first_name,
        "language": user.language_code or "en",
    }
