"""Storms, refused tokens and clocks that are set: nothing that was to be said is lost, nothing is said twice."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select

from bot.activities.library import load_library
from bot.domain.ids import ChatId
from bot.domain.outgoing import Kind, OutgoingMessage
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.tables import outbox, reminders
from demo.messaging import Fault
from tests.journeys.conftest import CASELOAD
from tests.messenger.conftest import Edge

HALIFAX = ZoneInfo("America/Halifax")
# The night in which clocks go forward at two, and the one in which they go back at two.
SPRING, AUTUMN = date(2026, 3, 8), date(2026, 11, 1)
STEP = timedelta(minutes=5)
AT_NIGHT = [
    ["00:15", "04:30"],
    ["07:00", "09:00"],
    ["10:30", "12:30"],
    ["14:00", "16:00"],
    ["17:30", "19:30"],
]


# ---------------------------------------------------------------- the service


@pytest.mark.parametrize("kind", ["concern", "reply", "reminder", "digest"])
async def test_while_the_token_is_refused_everything_waits_and_it_goes_out_with_the_right_one(
    edge: Edge, kind: Kind
) -> None:
    row_id = await edge.say(OutgoingMessage(chat_id=ChatId(5), text="Pip: tummy time", kind=kind))
    token, edge.server.service.token = edge.server.service.token, "1000:made-anew"
    await edge.send()

    assert (await edge.state(row_id))[0] == "waiting"
    assert edge.parts.sender.refused
    edge.server.service.token = token
    await edge.now_again()
    await edge.send()
    assert edge.sam.messages(by_bot=True)[-1].text == "Pip: tummy time"
    assert edge.parts.sender.refused is None


async def test_of_a_storm_of_429s_over_many_chats_every_message_arrives_once_and_in_order(edge: Edge) -> None:
    chats = range(100, 120)
    for chat_id in chats:
        edge.server.people.add(chat_id, f"Carer {chat_id}")
        for number in range(5):
            await edge.say(OutgoingMessage(chat_id=ChatId(chat_id), text=str(number), kind="reply"))
    storm = edge.server.faults.add(
        Fault("too_many_requests", method="sendMessage", count=200, probability=0.7, seconds=5)
    )
    for _ in range(200):
        if await edge.parts.sender.idle():
            break
        await edge.now_again()
        await edge.send()

    assert storm.struck > 100
    assert {tuple(edge.heard(chat_id)) for chat_id in chats} == {("0", "1", "2", "3", "4")}
    with edge.store.read() as uow:
        assert set(uow.conn.scalars(select(outbox.c.state))) == {"sent"}
        assert max(uow.conn.scalars(select(outbox.c.attempts))) == 1, (
            "a hold that the service asks for is no failed try"
        )


# ---------------------------------------------------------------- clocks that change


@pytest.mark.parametrize("night", [SPRING, AUTUMN], ids=["clocks go forward", "clocks go back"])
async def test_a_night_in_which_clocks_change_brings_each_reminder_once_while_the_baby_is_awake(
    edge: Edge, night: date
) -> None:
    awake_at_night(edge)
    start = datetime.combine(night - timedelta(days=1), datetime.min.time(), HALIFAX).astimezone(UTC)
    await live(edge, start, start + timedelta(days=3))

    sent = reminders_sent(edge)
    days = [row.local_date for row in sent]
    assert {night - timedelta(days=1), night, night + timedelta(days=1)} <= set(days)
    told = edge.heard(5001)
    assert len([text for text in told if text.startswith("Pip:")]) == len(sent)
    assert len(sent) == len({row.due_at for row in sent})
    for row in sent:
        at = row.due_at.astimezone(HALIFAX)
        assert at.date() == row.local_date
        assert any(begin <= f"{at:%H:%M}" < end for begin, end in AT_NIGHT), at
    assert any(row.due_at.astimezone(HALIFAX).hour < 5 for row in sent if row.local_date == night)


async def test_a_clock_set_back_says_no_reminder_again_and_those_to_come_still_come(edge: Edge) -> None:
    awake_at_night(edge)
    noon = datetime(2026, 3, 3, 12, tzinfo=HALIFAX).astimezone(UTC)
    await live(edge, noon - timedelta(hours=6), noon)
    before = edge.heard(5001)
    assert before
    await live(edge, noon - timedelta(minutes=50), noon)
    assert edge.heard(5001) == before
    await live(edge, noon, noon + timedelta(hours=8))

    sent = reminders_sent(edge)
    assert len(edge.heard(5001)) == len(sent) > len(before)
    assert len({row.due_at for row in sent}) == len(sent)


def awake_at_night(edge: Edge) -> None:
    caseload: dict[str, Any] = copy.deepcopy(CASELOAD)
    plan = caseload["families"][0]["plan"]
    plan |= {"awake": AT_NIGHT, "quiet": ["05:00", "06:00"], "most_prompts": 16}
    plan["activities"][0] |= {"target": {"minutes": 120}}
    with edge.store.write() as uow:
        loaded = caseload_from(caseload, list(load_library()), where="test")
        import_caseload.load(uow, loaded, datetime(2026, 1, 1, tzinfo=UTC))
    for chat_id, name in ((5001, "Mum"), (5002, "Grandpa"), (9001, "Robin")):
        edge.server.people.add(chat_id, name)


async def live(edge: Edge, start: datetime, end: datetime) -> None:
    """Let the bot do what is due, and send it, from one thing due to the next."""
    edge.clock.advance(start - edge.clock.now())  # back, too
    while edge.clock.now() < end:
        await edge.parts.periodic_jobs.run_all()
        await edge.send()
        due = await edge.parts.periodic_jobs.next_due() or end
        edge.clock.move_to(min(end, max(due, edge.clock.now() + STEP)))
    await edge.send()


def reminders_sent(edge: Edge) -> Sequence[Any]:
    with edge.store.read() as uow:
        return uow.conn.execute(select(reminders).where(reminders.c.sent_at.is_not(None))).all()
