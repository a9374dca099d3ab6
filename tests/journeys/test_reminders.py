"""Reminders: one at a time, answered by tap, by word, by quote, late, or not at all."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Any

import pytest

from bot.replies.reading import Reading, Request
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.conftest import MONDAY, House, make_house
from tests.journeys.looking import counted, football_first, minutes_counted, planned, reminder_states, rows_of
from tests.journeys.scripted_reader import read_as


@pytest.fixture
def caseload() -> dict[str, Any]:
    return football_first()


@pytest.fixture
async def shared(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    """Both carers get the reminders."""
    caseload = football_first()
    caseload["families"][0]["prompts_to"] = ["c1", "c2"]
    async for house in make_house(store, server, caseload, MONDAY):
        yield house


async def test_the_next_reminder_closes_an_unanswered_one_without_a_word(house: House) -> None:
    first = await house.to_first_reminder()
    second = await house.to_first_reminder()

    assert house.mum.message(first.message_id).labels() == []
    assert second.labels()[0].startswith("✓")
    assert await reminder_states(house) == ["expired", "sent"]
    assert len(house.heard(house.mum)) == 2


async def test_other_minutes_can_be_tapped_and_left_again(house: House) -> None:
    reminder = await house.to_first_reminder()
    house.mum.press("Other minutes", message_id=reminder.message_id)
    await house.settle()
    assert "Back" in house.mum.message(reminder.message_id).labels()

    house.mum.press("Back", message_id=reminder.message_id)
    await house.settle()
    assert house.mum.message(reminder.message_id).labels() == reminder.labels()

    house.mum.press("Other minutes", message_id=reminder.message_id)
    await house.settle()
    house.mum.press("15 min", message_id=reminder.message_id)
    await house.settle()
    assert await minutes_counted(house) == [15]
    assert house.mum.message(reminder.message_id).text.startswith("✓ 15 min")


async def test_not_now_may_be_explained_with_one_tap_more(house: House) -> None:
    reminder = await house.to_first_reminder()
    house.mum.press("Not now", message_id=reminder.message_id)
    await house.settle()
    assert house.mum.message(reminder.message_id).labels() == ["No time", "Did not want to", "Not well"]
    assert [row.reason for row in await rows_of(house, "skips")] == ["other"]

    house.mum.press("No time", message_id=reminder.message_id)
    await house.settle()

    assert house.mum.message(reminder.message_id).labels() == []
    assert [row.reason for row in await rows_of(house, "skips")] == ["no_time"]
    assert [row.reason for row in await rows_of(house, "reminders") if row.state == "skipped"] == ["no_time"]
    assert len(house.heard(house.mum)) == 1


async def test_a_closed_reminder_answered_by_quote_counts_for_its_own_day(house: House) -> None:
    reminder = await house.to_first_reminder()
    await house.at(9, 30, day=1)

    house.mum.say("9 min", reply_to=reminder.message_id)
    await house.settle()

    (session,) = await rows_of(house, "sessions")
    assert (session.local_date.day, session.minutes) == (2, 9)
    assert "yesterday" in house.last(house.mum).text
    assert (await reminder_states(house))[0] == "answered"


async def test_minutes_are_logged_without_any_reminder(house: House) -> None:
    house.mum.say("10 min")
    await house.settle()
    question = house.last(house.mum)
    assert "Tummy time" in question.labels()
    assert await counted(house) == []

    house.mum.press("Tummy time", message_id=question.message_id)
    await house.settle()

    assert await counted(house) == [("tummy_time", 10, None)]
    assert house.mum.message(question.message_id).text.startswith("✓ 10 min of tummy time")


async def test_both_carers_see_who_did_it_and_a_late_tap_counts_nothing_more(shared: House) -> None:
    await shared.to_first_reminder()
    label = shared.last(shared.mum).labels()[0]
    shared.mum.press(label)
    shared.grandpa.press(label)  # at the same moment, before his copy changed
    await shared.settle()

    assert shared.last(shared.grandpa).text.startswith("✓ Lo hizo Mum")
    assert shared.last(shared.grandpa).labels() == []
    assert len(await counted(shared)) == 1


async def test_undo_of_an_answer_opens_the_reminder_again_for_everybody(shared: House) -> None:
    await shared.to_first_reminder()
    before, grandpas = shared.last(shared.mum), shared.last(shared.grandpa)
    shared.mum.press(before.labels()[0])
    await shared.settle()
    shared.mum.press("Undo")
    await shared.settle()

    shown = shared.mum.message(before.message_id).text
    assert shown and (before.text or "").startswith(shown)  # how to answer need not be said again
    assert shared.mum.message(before.message_id).labels() == before.labels()
    assert shared.grandpa.message(grandpas.message_id).labels() == grandpas.labels()
    assert await reminder_states(shared) == ["sent"]

    shared.grandpa.press(grandpas.labels()[0])
    await shared.settle()
    assert len(await counted(shared)) == 1
    assert await reminder_states(shared) == ["answered"]


async def test_undo_of_an_old_answer_leaves_the_reminder_unanswered(house: House) -> None:
    reminder = await house.to_first_reminder()
    house.mum.press(reminder.labels()[0])
    await house.settle()
    await house.to_first_reminder()
    house.mum.press("Undo", message_id=reminder.message_id)
    await house.settle()

    assert await reminder_states(house) == ["expired", "sent"]
    assert house.mum.message(reminder.message_id).text.startswith("Undone")
    assert house.mum.message(reminder.message_id).labels() == ["Count it again"]

    house.mum.press("Count it again", message_id=reminder.message_id)
    await house.settle()
    assert await reminder_states(house) == ["answered", "sent"]


async def test_the_same_words_to_an_answered_reminder_are_asked_about(house: House) -> None:
    reminder = await house.to_first_reminder()
    house.mum.say("done")
    await house.settle()
    house.mum.say("done", reply_to=reminder.message_id)
    await house.settle()
    assert "once more" in house.last(house.mum).text
    assert len(await counted(house)) == 1

    house.mum.press("Yes")
    await house.settle()
    assert len(await counted(house)) == 2


async def test_later_comes_back_and_a_session_done_meanwhile_lifts_it(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"in an hour": Reading(request=Request("later", minutes=60))})
    reminder = await house.to_first_reminder()
    house.mum.say("in an hour")
    await house.settle()

    assert house.mum.message(reminder.message_id).labels() == []
    pinned = [row for row in await planned(house) if row.pinned]
    assert [row.activity for row in pinned] == ["football_hold"]
    assert pinned[0].due_at >= house.clock.now().replace(second=0)

    house.mum.say("5 min", reply_to=reminder.message_id)
    await house.settle()
    assert not [row for row in await planned(house) if row.pinned]
    assert (await reminder_states(house))[0] == "answered"


async def test_how_to_answer_is_said_in_the_first_three_reminders_and_after_a_week_of_silence(
    house: House,
) -> None:
    hint = "Tap, or just write"
    for _ in range(3):
        assert hint in ((await house.to_first_reminder()).text or "")
        house.mum.say("asleep")
        await house.settle()

    await house.at(6, 30, day=1)
    assert hint not in ((await house.to_first_reminder()).text or "")

    await house.at(6, 30, day=9)
    assert hint in ((await house.to_first_reminder()).text or "")
