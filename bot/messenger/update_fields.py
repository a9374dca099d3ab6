"""The fields of an update that we read, out of all that the messaging service tells (its published Bot API).

What else an update holds is passed over, whatever its form, so that a new kind of message is no trouble. Words are cleaned as they
come in. Wrong values are not told of in errors: they may be a person's words.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from bot.text import without_unseen


def _cleaned(text: object) -> object:
    return without_unseen(text) if isinstance(text, str) else text


Line = Annotated[str, BeforeValidator(_cleaned)]
Number = Annotated[int, Field(ge=-(2**63), lt=2**63)]  # what the databases hold, as every real one is
Seconds = Annotated[int, Field(ge=0, lt=2**37)]  # since 1970


class _Fields(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True, hide_input_in_errors=True)


class UserFields(_Fields):
    id: Number
    is_bot: bool
    first_name: Line
    language_code: str | None = None


class ChatFields(_Fields):
    id: Number
    type: str


class FileFields(_Fields):
    file_id: str
    file_name: Line | None = None


class StickerFields(_Fields):
    emoji: str | None = None


class OptionFields(_Fields):
    text: Line


class PollFields(_Fields):
    question: Line
    options: list[OptionFields]


class VenueFields(_Fields):
    title: Line


class EarlierFields(_Fields):
    """A message that is spoken of: one that is answered, or under which a button stands."""

    chat: ChatFields
    message_id: Number


class MessageFields(EarlierFields):
    date: Seconds
    user: UserFields | None = Field(default=None, alias="from")
    text: Line | None = None
    caption: Line | None = None
    reply_to_message: EarlierFields | None = None
    photo: list[FileFields] = []
    video: FileFields | None = None
    video_note: FileFields | None = None
    voice: FileFields | None = None
    audio: FileFields | None = None
    document: FileFields | None = None
    sticker: StickerFields | None = None
    poll: PollFields | None = None
    venue: VenueFields | None = None


class PressFields(_Fields):
    id: str
    user: UserFields = Field(alias="from")
    message: EarlierFields | None = None
    data: str | None = None


class MemberFields(_Fields):
    status: str


class MembershipFields(_Fields):
    chat: ChatFields
    user: UserFields = Field(alias="from")
    date: Seconds
    new_chat_member: MemberFields


class EmojiFields(_Fields):
    """A reaction. emoji: none where it is a picture of its own."""

    emoji: str | None = None


class ReactionFields(EarlierFields):
    date: Seconds
    user: UserFields | None = None
    old_reaction: list[EmojiFields]
    new_reaction: list[EmojiFields]


class UpdateFields(_Fields):
    """One update; at most one of these is there."""

    message: MessageFields | None = None
    edited_message: MessageFields | None = None
    callback_query: PressFields | None = None
    my_chat_member: MembershipFields | None = None
    message_reaction: ReactionFields | None = None
