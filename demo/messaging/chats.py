"""People, groups, and what lies in their chats."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

Json = dict[str, Any]
# The fields of a Message that carry a file, one of them at most.
MEDIA_KINDS = ("photo", "video", "voice", "audio", "document", "animation", "video_note", "sticker")
ChatKind = Literal["private", "group", "supergroup"]


@dataclass(slots=True)
class Account:
    """A person, as the API shows a User."""

    id: int
    first_name: str
    last_name: str | None = None
    username: str | None = None
    language_code: str | None = "en"

    def as_user(self) -> Json:
        return {"id": self.id, "is_bot": False, **self._names(), **_given(language_code=self.language_code)}

    def as_chat(self) -> Json:
        return {"id": self.id, "type": "private", **self._names()}

    def _names(self) -> Json:
        return {"first_name": self.first_name, **_given(last_name=self.last_name, username=self.username)}


@dataclass(slots=True)
class Chat:
    """One chat of the bot.

    messages: as the API shows a Message, by message_id, in order, edits applied, deleted ones gone.
    started: the person has begun the chat. blocked: the person has blocked the bot, or the group has put it out.
    keyboard: the reply keyboard in force. toasts: what answers to button presses showed. silent: messages without a sound.
    """

    id: int
    kind: ChatKind
    title: str | None = None
    account: Account | None = None
    members: dict[int, Account] = field(default_factory=dict)
    started: bool = True
    blocked: bool = False
    deactivated: bool = False
    bot_is_admin: bool = False
    migrated_to: int | None = None
    messages: dict[int, Json] = field(default_factory=dict)
    deleted: list[int] = field(default_factory=list)
    keyboard: Json | None = None
    toasts: list[Json] = field(default_factory=list)
    reactions: dict[int, str] = field(default_factory=dict)
    silent: set[int] = field(default_factory=set)

    @property
    def is_group(self) -> bool:
        return self.kind != "private"

    def as_json(self) -> Json:
        """Return the chat as the API shows a Chat."""
        if self.account is not None:
            return self.account.as_chat()
        return {"id": self.id, "type": self.kind, "title": self.title or "Group"}


@dataclass(slots=True)
class Press:
    """A pressed button that waits for its answer. expires_at: on the clock's elapsed scale, seconds."""

    query_id: str
    chat_id: int
    message_id: int
    user_id: int
    data: str
    expires_at: float
    answered: bool = False


def _given(**fields: Any) -> Json:
    return {name: value for name, value in fields.items() if value}
