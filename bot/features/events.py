"""What a person did, one kind a class, as the conversation sees it: no messenger in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from bot.domain.ids import ChatId

FileKind = Literal["photo", "video", "voice", "document"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """Where, when and by whom something was done. private: in a chat of one person. user_name: their first name."""

    chat_id: ChatId
    at: datetime
    private: bool = True
    user_id: int | None = None
    user_name: str = ""
    language: str = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent(Happened):
    """A message. text: what they wrote, or the caption of what they sent. reply_to: the message that it answers."""

    message_id: int
    text: str = ""
    reply_to: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TextWritten(Sent):
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Edited(Sent):
    """An earlier message, as it reads now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileSent(Sent):
    """file_id: by the messaging service. file_name: where it has one."""

    kind: FileKind
    file_id: str
    file_name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StickerSent(Sent):
    emoji: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherSent(Sent):
    """A place, a contact, a poll; its words are in `text`, where it has any."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reacted(Happened):
    """An emoji put under a message."""

    message_id: int
    emoji: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ButtonPressed(Happened):
    """message_id: the message under which the button stood. data: "verb:argument".

    press: the id to answer it by; None where it was not tapped, but answered in words.
    """

    message_id: int
    data: str
    press: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocked(Happened):
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Unblocked(Happened):
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedGroup(Happened):
    """The bot was put into a group."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined(Happened):
    """A carer agreed to take part: what is said next is a message of its own."""


AnySent = TextWritten | Edited | FileSent | StickerSent | OtherSent
Event = AnySent | Reacted | ButtonPressed | Blocked | Unblocked | JoinedGroup | Joined


def kind_kept(event: Sent) -> str:
    """Return the kind under which a message is kept: "text", "photo", "sticker", "other" …"""
    match event:
        case FileSent():
            return event.kind
        case StickerSent():
            return "sticker"
        case OtherSent():
            return "other"
        case _:
            return "text"


def text_of(event: Event) -> str:
    """Return what was written; "" where nothing was."""
    return event.text if isinstance(event, Sent) else ""


def reply_of(event: Event) -> int | None:
    """Return the message that something answers by quoting it."""
    return event.reply_to if isinstance(event, Sent) else None


def message_of(event: Event) -> int | None:
    """Return the service's number of a message that was sent; None for what is no message."""
    return event.message_id if isinstance(event, Sent) else None


def pressed_under(event: Event) -> int | None:
    """Return the message under which a button was pressed; None for anything but a press."""
    return event.message_id if isinstance(event, ButtonPressed) else None


def command_of(text: str) -> str | None:
    """Return the command that a message begins with, small and without the bot's name; None for any other message."""
    return text.split()[0].lower().partition("@")[0] if text.startswith("/") else None
