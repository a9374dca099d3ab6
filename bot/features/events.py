"""What a person did, as the conversation sees it: no messenger in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

What = Literal[
    "text", "edited", "press", "photo", "video", "voice", "document", "sticker", "reaction", "other", "blocked", "unblocked", "joined_group",
]  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that a person did in one chat.

    text: what they wrote, or the caption of what they sent. reply_to: the message of ours or theirs it answers.
    data, press: of a pressed button, its "verb:argument" and the id to answer it by; message_id is then the
    message under which it stood. emoji: of a sticker, or of a reaction to the message message_id. file_id, file_kind: of what they sent.
    """

    what: What
    chat_id: int
    at: datetime
    private: bool = True
    user_id: int | None = None
    user_name: str = ""
    language: str = "en"
    message_id: int | None = None
    text: str = ""
    reply_to: int | None = None
    data: str = ""
    press: str | None = None
    file_id: str | None = None
    file_name: str | None = None
    emoji: str = ""
