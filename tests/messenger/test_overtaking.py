"""What is urgent passes what nobody waits for, however much of it there is and however slow the service."""

from __future__ import annotations

import asyncio
from datetime import datetime, timedelta

import pytest
from sqlalchemy import insert

from bot.domain.ids import ChatId
from bot.domain.outgoing import PRIORITY, OutgoingMessage
from bot.messenger.api import SENDING_POOL
from bot.messenger.limits import SPREAD_OVER, Limits, Rates
from bot.messenger.sender import MOST_CLAIMED
from bot.storage.tables import outbox
from demo.messaging import Fault
from tests.messenger.conftest import NOW, ROBIN, Edge

REMINDERS = 20_000
MANY = 1_500  # so many in one minute need the full pace
FIRST_CHAT = 10_001
HANGING = 20.0  # seconds; far longer than the test
SOON = 10.0  # seconds; the test's own patience


def pile_up_reminders(edge: Edge, count: int, expires_at: datetime | None = None) -> None:
    row = {
        "kind": "reminder",
        "priority": PRIORITY["reminder"],
        "action": "send",
        "payload": {"text": "Pip: tummy time, 10 min."},
        "state": "waiting",
        "created_at": NOW,
        "expires_at": expires_at,
    }
    with edge.store.write() as uow:
        uow.conn.execute(insert(outbox), [{**row, "chat_id": FIRST_CHAT + n} for n in range(count)])


@pytest.fixture
async def hanging(clinic: Edge) -> Edge:
    """The edge with more reminders to say than may be under way, of which the first get no answer."""
    pile_up_reminders(clinic, MANY)
    sender = clinic.parts.sender
    sender._limits = Limits(Rates())
    for chat_id in range(FIRST_CHAT, FIRST_CHAT + MOST_CLAIMED):
        clinic.server.people.add(chat_id, "Carer")
        clinic.server.faults.add(Fault("delay", method="sendMessage", chat_id=chat_id, seconds=HANGING))
    for _ in range(10 * MOST_CLAIMED):
        if len(sender._under_way) == MOST_CLAIMED:
            break
        await asyncio.sleep(await sender.turn())
    return clinic


async def test_a_concern_leaves_while_every_connection_that_reminders_may_have_hangs(hanging: Edge) -> None:
    sender = hanging.parts.sender
    reminders = set(sender._under_way)
    assert len(reminders) == MOST_CLAIMED > SENDING_POOL
    concern = OutgoingMessage(
        chat_id=ChatId(ROBIN), text="Sam wrote: her hand is cold and blue.", kind="concern"
    )
    await hanging.say(concern)

    await sender.turn()
    await hanging.server.people[ROBIN].next_message(timeout=SOON)

    assert reminders <= set(sender._under_way), "no reminder had to end for it"
    for task in sender._under_way.values():
        task.cancel()


async def test_what_may_go_now_is_found_without_looking_through_all_that_waits(clinic: Edge) -> None:
    pile_up_reminders(clinic, REMINDERS)
    await clinic.say(OutgoingMessage(chat_id=ChatId(ROBIN), text="Sam wrote.", kind="concern"))
    steps = 0

    def count() -> int:
        nonlocal steps
        steps += 1
        return 0

    with clinic.store.read() as uow:
        driver = uow.conn.connection.driver_connection
        driver.set_progress_handler(count, 100)  # type: ignore[union-attr]
        first, *_ = uow.deliveries.waiting(real_now=1.0, limit=2 * MOST_CLAIMED)
        driver.set_progress_handler(None, 0)  # type: ignore[union-attr]

    assert (first.chat_id, first.kind) == (ROBIN, "concern")
    assert steps * 100 < REMINDERS, "fewer steps of SQLite's machine than there are messages"


async def test_the_reminders_of_one_minute_are_spread_and_a_concern_does_not_wait_for_them(
    clinic: Edge,
) -> None:
    """Two hundred families are planned for the same minute: four a second in place of all that may go."""
    pile_up_reminders(clinic, 200)
    for chat_id in range(FIRST_CHAT, FIRST_CHAT + 4):
        clinic.server.people.add(chat_id, "Carer")
    sender = clinic.parts.sender
    sender._limits = Limits(Rates())
    wait = await sender.turn()
    assert len(sender._under_way) == 1
    assert 0.2 < wait <= SPREAD_OVER / 200

    await clinic.say(OutgoingMessage(chat_id=ChatId(ROBIN), text="Sam wrote: it hurts.", kind="concern"))
    await sender.turn()
    await clinic.server.people[ROBIN].next_message(timeout=SOON)
    assert set(sender._under_way) <= {FIRST_CHAT, ROBIN}, "no second reminder so soon"

    await asyncio.sleep(wait)
    await sender.turn()
    assert FIRST_CHAT + 1 in sender._under_way
    await sender.finish()


async def test_reminders_that_are_soon_too_late_are_not_spread_beyond_it(clinic: Edge) -> None:
    pile_up_reminders(clinic, 50, expires_at=NOW + timedelta(seconds=5))
    sender = clinic.parts.sender
    sender._limits = Limits(Rates())
    assert await sender.turn() <= 5 / 50
    await sender.finish()
