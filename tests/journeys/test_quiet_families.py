"""Silence is met with fewer reminders, one kind note, then the therapist is told. Never with guilt."""

from __future__ import annotations

from collections import Counter
from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Any

import pytest

from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.domain.ids import FamilyId
from bot.phrases import words_for
from bot.storage.reports.facts import facts_between
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.conftest import HALIFAX, MONDAY, House, make_house
from tests.journeys.looking import family_row, football_first, rows_of


@pytest.fixture
def caseload() -> dict[str, Any]:
    return football_first()


NOTE = "It has been quiet here"
TOLD = "no messages from the family"


@pytest.fixture
async def late_digest(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    """The clinic's digest comes on Mondays, far from the days looked at."""
    caseload = football_first()
    caseload["clinic"]["digest"] = {"weekday": "monday", "at": "06:30"}
    async for house in make_house(store, server, caseload, MONDAY):
        yield house


async def sent_by_day(house: House) -> list[int]:
    counts = Counter(row.local_date for row in await rows_of(house, "reminders") if row.sent_at)
    return [counts[day] for day in sorted(counts)]


async def test_unanswered_reminders_grow_fewer_day_by_day_and_answers_bring_them_back(house: House) -> None:
    await house.at(22, 0, day=3)
    fewer = await sent_by_day(house)
    assert fewer == sorted(fewer, reverse=True)
    assert fewer[-1] < fewer[0]
    assert (await family_row(house)).budget == 3

    for day in (4, 5):
        await house.at(6, 0, day=day)
        while (due := await house.rehearsal.next_due()) and due.astimezone(HALIFAX).date().day == 2 + day:
            await house.rehearsal.jump(due)
            house.mum.say("done")
            await house.settle()
    await house.at(7, 0, day=6)
    assert (await family_row(house)).budget > 2


async def test_after_three_silent_days_one_kind_note_comes_with_the_next_reminder(house: House) -> None:
    await house.at(22, 0, day=2)
    assert not [text for text in house.texts(house.mum) if NOTE in text]
    await house.at(22, 0, day=5)

    (note,) = [message for message in house.heard(house.mum) if NOTE in message.text]
    assert note.labels() == ["Remind me less", "Pause a while"]
    assert not any(word in note.text.lower() for word in ("missed", "streak", "should", "must", "!"))


async def test_after_five_silent_days_the_therapist_is_told_once_and_can_write(late_digest: House) -> None:
    house = late_digest
    await house.at(22, 0, day=4)
    assert not [text for text in house.texts(house.robin) if TOLD in text]
    await house.at(22, 0, day=6)
    (told,) = [message for message in house.heard(house.robin) if TOLD in message.text]
    assert "Pip" in told.text

    house.robin.say("Thinking of you. No hurry.", reply_to=told.message_id)
    await house.settle()
    await house.at(7, 30, day=7)  # a letter waits for the end of the family's quiet hours
    assert "Robin: Thinking of you. No hurry." in house.texts(house.mum)


async def test_where_the_digest_comes_within_a_day_it_tells_of_the_silence(house: House) -> None:
    house.mum.say("asleep")
    await house.settle()
    await house.at(17, 0, day=6)
    assert not house.heard(house.robin)

    with house.store.read() as uow:
        family = uow.families.find(FamilyId("f1"))
        assert family is not None
        now = house.clock.now()
        facts = facts_between(uow, family, now, from_at=now - timedelta(days=7), to_at=now)
    told = family_plain(digest_of(facts), words_for("en"), lambda activity: activity)
    assert "No messages for 5 days" in told
    assert "6 → 1" in told
    assert {"quiet", "load_fewer"} <= {note.kind for note in facts.notes}


async def test_any_word_ends_the_silence(late_digest: House) -> None:
    house = late_digest
    await house.at(12, 0, day=4)
    house.mum.say("hello")
    await house.settle()
    await house.at(22, 0, day=6)

    assert len([text for text in house.texts(house.mum) if NOTE in text]) == 1
    assert not [text for text in house.texts(house.robin) if TOLD in text]


async def test_a_pause_is_no_silence(late_digest: House) -> None:
    house = late_digest
    house.mum.say("/pause")
    await house.settle()
    house.mum.press("A week")
    await house.settle()
    await house.at(22, 0, day=6)

    assert not [text for text in house.texts(house.mum) if NOTE in text]
    assert not [text for text in house.texts(house.robin) if TOLD in text]


async def test_a_blocked_chat_is_told_as_reaching_nobody(late_digest: House) -> None:
    house = late_digest
    house.mum.block()
    await house.settle()
    await house.at(22, 0, day=6)

    (told,) = [text for text in house.texts(house.robin) if "reached nobody" in text]
    assert "Pip" in told


async def test_paused_days_are_shown_as_paused_and_not_as_silent(house: House) -> None:
    house.mum.say("/pause")
    await house.settle()
    house.mum.press("3 days")
    await house.settle()
    await house.at(20, 0, day=4)

    with house.store.read() as uow:
        family = uow.families.find(FamilyId("f1"))
        assert family is not None
        now = house.clock.now()
        facts = facts_between(uow, family, now, from_at=now - timedelta(days=5), to_at=now)
    assert [day.date.day for day in facts.days if day.paused] == [2, 3, 4]
