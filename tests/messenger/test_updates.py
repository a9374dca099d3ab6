"""What is read from an update: the same as the messaging library reads, and nothing that is of another form."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from pydantic import ValidationError
from telegram import Update

from bot.clock import SteppedClock
from bot.features.events import (
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
from bot.messenger.updates import event_from

NOW = datetime(2026, 3, 2, 14, tzinfo=UTC)
CHAT = {"id": 55, "type": "private", "first_name": "Sam"}
SAM = {"id": 55, "is_bot": False, "first_name": "Sam", "language_code": "es"}
FILE = {"file_id": "f1", "file_unique_id": "u1", "width": 9, "height": 9, "duration": 3}
OURS = {"message_id": 3, "date": 1_772_000_000, "chat": CHAT}
HEADER = {"message_id": 7, "date": 1_772_000_000, "chat": CHAT, "from": SAM}


def message(**fields: Any) -> dict[str, Any]:
    return {"update_id": 1, "message": {**HEADER, **fields}}


def read(raw: dict[str, Any]) -> Event | None:
    return event_from(raw, SteppedClock(NOW))


SENT = {
    "text": (message(text="10 min"), TextWritten),
    "answer": (message(text="10 min", reply_to_message=OURS), TextWritten),
    "photo": (message(photo=[{**FILE, "file_id": "f0"}, FILE], caption="right"), FileSent),
    "video": (message(video={**FILE, "file_name": "hold.mp4"}), FileSent),
    "video note": (message(video_note={**FILE, "length": 9}), FileSent),
    "voice": (message(voice=FILE), FileSent),
    "audio": (message(audio=FILE, caption="ten minutes"), FileSent),
    "document": (message(document={**FILE, "file_name": "a.pdf"}), FileSent),
    "sticker": (
        message(sticker={**FILE, "type": "regular", "is_animated": False, "is_video": False, "emoji": "👍"}),
        StickerSent,
    ),
    "contact": (message(contact={"phone_number": "555", "first_name": "Robin"}), OtherSent),
    "edited": ({"update_id": 1, "edited_message": {**HEADER, "text": "12 min"}}, Edited),
}


@pytest.mark.parametrize(("raw", "kind"), SENT.values(), ids=SENT)
def test_a_message_is_read_as_the_library_reads_it(raw: dict[str, Any], kind: type[Event]) -> None:
    told, event = Update.de_json(raw, None).effective_message, read(raw)

    assert told is not None and told.from_user is not None
    assert isinstance(event, TextWritten | FileSent | StickerSent | OtherSent | Edited)
    assert type(event) is kind
    assert (event.chat_id, event.message_id) == (told.chat.id, told.message_id)
    assert event.text == (told.text or told.caption or "")
    assert event.reply_to == (told.reply_to_message.message_id if told.reply_to_message else None)
    assert (event.user_id, event.user_name, event.language) == (55, "Sam", told.from_user.language_code)
    if isinstance(event, FileSent):
        assert (event.file_id, event.file_name) == (
            "f1",
            getattr(told.effective_attachment, "file_name", None),
        )


def membership(status: str, chat: dict[str, Any]) -> dict[str, Any]:
    about = {"user": {"id": 9, "is_bot": True, "first_name": "bot"}}
    change = {
        "chat": chat,
        "from": SAM,
        "date": 1_772_000_000,
        "old_chat_member": about | {"status": "member"},
    }
    return {"update_id": 1, "my_chat_member": change | {"new_chat_member": about | {"status": status}}}


GROUP = {"id": -7, "type": "group", "title": "Family"}
REACTION = {"chat": CHAT, "message_id": 3, "date": 1_772_000_000, "user": SAM}
THUMB = {"type": "emoji", "emoji": "👍"}
PICTURE = {"type": "custom_emoji", "custom_emoji_id": "1"}


@pytest.mark.parametrize(
    ("raw", "kind"),
    [
        ({"callback_query": {"id": "p", "from": SAM, "chat_instance": "c", "data": "ok:1",
                             "message": {**OURS, "date": 0}}}, ButtonPressed),
        ({"callback_query": {"id": "p", "from": SAM, "chat_instance": "c", "data": "ok:1"}}, None),
        (membership("kicked", CHAT), Blocked),
        (membership("member", CHAT), Unblocked),
        (membership("member", GROUP), JoinedGroup),
        (membership("left", GROUP), None),
        ({"message_reaction": {**REACTION, "old_reaction": [], "new_reaction": [THUMB]}}, Reacted),
        ({"message_reaction": {**REACTION, "old_reaction": [THUMB], "new_reaction": [THUMB]}}, None),
        ({"message_reaction": {**REACTION, "old_reaction": [], "new_reaction": [PICTURE]}}, None),
        ({"channel_post": {"message_id": 1, "date": 1, "chat": {"id": -1, "type": "channel"}}}, None),
        ({"something_new": {"text": "10 min"}}, None),
        ({"message": {**HEADER, "from": {**SAM, "is_bot": True}, "text": "10 min"}}, None),
        ({"message": {"message_id": 1, "date": 1, "chat": GROUP, "text": "10 min"}}, None),
    ],
)  # fmt: skip
def test_what_else_people_do(raw: dict[str, Any], kind: type[Event] | None) -> None:
    event = read({"update_id": 1, **raw})

    assert (None if event is None else type(event)) is kind


def test_the_words_of_a_poll_and_of_a_place_are_read() -> None:
    poll = {"question": "Is she limp?", "options": [{"text": "yes"}, {"text": "no"}]}
    asked, there = read(message(poll=poll)), read(message(venue={"title": "Hospital"}))

    assert isinstance(asked, OtherSent) and asked.text == "Is she limp?\nyes\nno"
    assert isinstance(there, OtherSent) and there.text == "Hospital"


def test_words_lose_what_nobody_sees_and_keep_the_rest() -> None:
    heard = read(
        message(text="1\x000 m\u202ein\ud83d, niña 👶🏽\n\tsí", **{"from": {**SAM, "first_name": "R\ud83do"}})
    )

    assert isinstance(heard, TextWritten)
    assert (heard.text, heard.user_name) == ("10 min, niña 👶🏽\n\tsí", "Ro")


@pytest.mark.parametrize(
    "fields",
    [
        {"text": ["10 min"]},
        {"chat": {"id": "55", "type": "private"}, "text": "10 min"},
        {"chat": {"id": 2**70, "type": "private"}, "text": "10 min"},
        {"message_id": True, "text": "10 min"},
        {"date": -1, "text": "10 min"},
        {"date": 2**62, "text": "10 min"},
        {"photo": {"file_id": "f1"}, "caption": "10 min"},
        {"reply_to_message": "10 min", "text": "10 min"},
    ],
)
def test_a_field_of_another_form_is_refused_and_its_value_not_told(fields: dict[str, Any]) -> None:
    with pytest.raises(ValidationError) as refused:
        read(message(**fields))

    assert "10 min" not in str(refused.value)
