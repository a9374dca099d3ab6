"""Stickers, reactions, files, places, polls, forwarded and foreign words: answered sensibly, lost never."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import select

from bot.concerns.finding import Concern
from bot.replies.reading import Entry, Reading, Request
from bot.storage.tables import messages
from demo.messaging import MessageView
from tests.journeys.conftest import House
from tests.journeys.looking import counted, football_first, reminder_states
from tests.journeys.scripted_reader import read_as

BLUE = Concern("act_now", ("colour",))


@pytest.fixture
def caseload() -> dict[str, Any]:
    return football_first()


async def kept_texts(house: House) -> list[tuple[str, str | None, str | None]]:
    with house.store.read() as uow:
        rows = uow.conn.execute(select(messages).order_by(messages.c.id))
        return [(row.kind, row.text, row.unread) for row in rows]


async def send(house: House, number: int, **content: Any) -> None:
    """Hand over a message of a kind that the local server has no act for, as the service words it."""
    chat = {"id": 5001, "type": "private", "first_name": "Mum"}
    sender = {"id": 5001, "is_bot": False, "first_name": "Mum"}
    at = int(house.clock.now().timestamp())
    body = {"message_id": number, "date": at, "chat": chat, "from": sender, **content}
    house.server.updates.inject({"message": body}, chat_id=5001)
    await house.settle()
    with house.store.read() as uow:
        assert (uow.inbox.counts()).keys() == {"done"}


async def react(house: House, message_id: int, emoji: str) -> None:
    change = {
        "chat": {"id": 5001, "type": "private", "first_name": "Mum"},
        "message_id": message_id,
        "user": {"id": 5001, "is_bot": False, "first_name": "Mum"},
        "date": int(house.clock.now().timestamp()),
        "old_reaction": [],
        "new_reaction": [{"type": "emoji", "emoji": emoji}],
    }
    house.server.updates.inject({"message_reaction": change}, chat_id=5001)
    await house.settle()


@pytest.mark.parametrize("emoji", ["👍", "👍🏽", "✅"])
async def test_a_thumbs_up_sticker_answers_the_open_reminder(house: House, emoji: str) -> None:
    await house.to_first_reminder()
    house.mum.sticker(emoji)
    await house.settle()

    assert await counted(house) == [("football_hold", 5, "right")]
    assert house.last(house.mum).labels() == ["Undo", "Change"]


async def test_a_sticker_without_a_reminder_counts_nothing_and_is_answered(house: House) -> None:
    house.mum.sticker("👍")
    await house.settle()

    assert await counted(house) == []
    assert "I can only read words" in house.last(house.mum).text


async def test_a_thumbs_up_reaction_to_a_reminder_counts_it_in_place(house: House) -> None:
    reminder = await house.to_first_reminder()
    await react(house, reminder.message_id, "👍")
    await react(house, reminder.message_id, "👍")

    assert await counted(house) == [("football_hold", 5, "right")]
    after = house.mum.message(reminder.message_id)
    assert after.text.startswith("✓ 5 min") and after.labels() == ["Undo", "Change"]
    assert await reminder_states(house) == ["answered"]


@pytest.mark.parametrize("emoji", ["❤", "😢"])
async def test_another_reaction_or_one_elsewhere_does_nothing(house: House, emoji: str) -> None:
    house.mum.say("/help")
    await house.settle()
    elsewhere = house.last(house.mum).message_id
    reminder = await house.to_first_reminder()
    await react(house, reminder.message_id, emoji)
    await react(house, elsewhere, "👍")

    assert await counted(house) == []
    assert house.mum.message(reminder.message_id).labels() == reminder.labels()


async def heard_after(house: House, act: int) -> list[MessageView]:
    return [message for message in house.heard(house.mum) if message.message_id > act]


async def test_a_voice_note_is_passed_on_and_the_carer_told_that_nobody_listens_in(house: House) -> None:
    sent = house.mum.voice()
    await house.settle()

    (answer,) = await heard_after(house, sent)
    assert "passed this on to Robin" in answer.text and "555 0199" in answer.text
    assert house.last(house.robin).kind == "voice"


@pytest.mark.parametrize("what", ["photo", "video", "document"])
async def test_a_file_without_words_is_passed_on_once(house: House, what: str) -> None:
    sent = getattr(house.mum, what)()
    await house.settle()

    (answer,) = await heard_after(house, sent)
    assert ("passed this on to Robin" if what == "document" else "I sent it to Robin") in answer.text
    assert house.last(house.robin).kind == what


async def test_the_words_under_a_photo_are_read_like_any(house: House) -> None:
    await house.to_first_reminder()
    house.mum.photo(caption="10 min")
    await house.settle()
    assert [minutes for _, minutes, _ in await counted(house)] == [10]

    house.mum.photo(caption="she looks blue")
    await house.settle()
    assert any("Urgent" in text for text in house.texts(house.robin))


@pytest.mark.parametrize(
    "content",
    [
        {"location": {"latitude": 44.6, "longitude": -63.6}},
        {"contact": {"phone_number": "+1 555 0123", "first_name": "Someone"}},
        {"dice": {"emoji": "🎲", "value": 4}},
    ],
)
async def test_a_place_a_contact_or_a_dice_is_kept_and_answered(
    house: House, content: dict[str, Any]
) -> None:
    await send(house, 900, **content)

    assert "I can only read words" in house.last(house.mum).text
    assert [kind for kind, _, _ in await kept_texts(house)] == ["other"]


async def test_the_words_of_a_poll_are_read_and_kept(house: House) -> None:
    options = [{"text": "Tuesday", "voter_count": 0, "persistent_id": "1"}, {"text": "Friday", "voter_count": 0, "persistent_id": "2"}]  # fmt: skip
    poll = {
        "id": "1", "question": "Which day suits Robin?", "options": options, "total_voter_count": 0, "is_closed": False,
        "is_anonymous": False, "type": "regular", "allows_multiple_answers": False, "allows_revoting": False,
        "members_only": False,
    }  # fmt: skip
    await send(house, 901, poll=poll)

    ((_, text, _),) = await kept_texts(house)
    assert text == "Which day suits Robin?\nTuesday\nFriday"
    assert "Which day suits Robin?" in house.last(house.robin).text


async def test_thousands_of_emoji_are_kept_whole_and_answered_shortly(house: House) -> None:
    text = "🍼" * 4096
    house.mum.say(text)
    await house.settle()

    ((_, kept, unread),) = await kept_texts(house)
    assert kept == text and unread == text
    assert len(house.last(house.mum).text) < 600


async def test_a_forwarded_worry_is_a_worry(house: House) -> None:
    origin = {"type": "hidden_user", "sender_user_name": "Nan", "date": int(house.clock.now().timestamp())}
    await send(house, 902, text="the baby went blue", forward_origin=origin)

    assert any("Urgent" in text for text in house.texts(house.robin))


async def test_a_third_language_is_kept_for_the_therapist_and_said_so(house: House) -> None:
    words = "Dnes jsme to nestihli"
    house.mum.say(words)
    await house.settle()

    assert "kept your words for Robin" in house.last(house.mum).text
    assert await kept_texts(house) == [("text", words, words)]


async def test_the_same_update_twice_counts_once(house: House) -> None:
    await house.to_first_reminder()
    await send(house, 903, text="10 min")
    await send(house, 903, text="10 min")

    assert len(await counted(house)) == 1


async def test_a_worry_goes_first_whatever_the_chat_is_in_the_middle_of(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"ok": Reading(confirm=True)})
    reminder = await house.to_first_reminder()
    house.mum.press(reminder.labels()[0])
    await house.settle()
    house.mum.press("Change")
    await house.settle()
    house.mum.say("she is blue")
    await house.settle()
    house.mum.say("12 min")
    await house.settle()

    assert any("Urgent" in text for text in house.texts(house.robin))
    assert [minutes for _, minutes, _ in await counted(house)] == [12]


@pytest.mark.parametrize(
    "beside",
    [
        Reading(entries=(Entry(None, 10),), confirm=True, concern=BLUE),
        Reading(skipped="asleep", concern=BLUE),
        Reading(skipped="unwell", concern=BLUE),
        Reading(request=Request("refresher", "football_hold"), concern=BLUE),
        Reading(request=Request("question"), concern=BLUE),
    ],
)
async def test_beside_an_emergency_nothing_is_asked_and_nothing_light_is_said(
    house: House, monkeypatch: pytest.MonkeyPatch, beside: Reading
) -> None:
    read_as(monkeypatch, {"words": beside})
    await house.to_first_reminder()
    before = len(house.heard(house.mum))
    house.mum.say("words")
    await house.settle()

    said = house.heard(house.mum)[before:]
    assert said and all("555 0199" in message.text or "told" in message.text for message in said)
    assert not any(message.labels() for message in said)
    assert any("Urgent" in text for text in house.texts(house.robin))


async def test_sure_minutes_beside_an_emergency_count(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    sure = Reading(entries=(Entry("football_hold", 5, "right"),), concern=BLUE)
    read_as(monkeypatch, {"words": sure})
    house.mum.say("words")
    await house.settle()

    assert await counted(house) == [("football_hold", 5, "right")]


async def test_unwell_beside_a_worry_for_today_still_offers_a_pause(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    concern = Concern("same_day", ("crying",))
    read_as(monkeypatch, {"poorly": Reading(skipped="unwell", concern=concern)})
    await house.to_first_reminder()
    house.mum.say("poorly")
    await house.settle()

    assert house.last(house.mum).text == "Shall I stop reminders for a while?"
    assert not any("feels better" in text for text in house.texts(house.mum))


async def test_thanks_are_answered_in_a_word_and_not_listed_as_unread(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"thanks!": Reading(unread="thanks!")})
    house.mum.say("thanks!")
    await house.settle()

    assert house.last(house.mum).text == "You are welcome."
    assert await kept_texts(house) == [("text", "thanks!", None)]
