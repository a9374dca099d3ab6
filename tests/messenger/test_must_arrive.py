"""What must arrive is tried until it does, says when it is late, and is shown where it could not be told."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.clock import backoff
from bot.domain.ids import ChatId
from bot.domain.outgoing import Kind, OutgoingMessage
from bot.messenger.limits import Limits, Rates
from bot.storage.tables import carers
from demo.messaging import Fault
from tests.messenger.conftest import MUM, NOW, ROBIN, Edge

WORDS = "Pip: tummy time, 10 min."


async def put(edge: Edge, chat_id: int, text: str, kind: Kind) -> int:
    return await edge.say(OutgoingMessage(chat_id=ChatId(chat_id), text=text, kind=kind))


@pytest.mark.parametrize(
    ("kind", "days", "state"),
    [
        ("concern", 6, "waiting"),
        ("digest", 6, "waiting"),
        ("reply", 6, "waiting"),
        ("concern", 8, "failed"),
        ("reply", 8, "failed"),
    ],
)
async def test_what_must_arrive_is_tried_for_seven_days(
    clinic: Edge, kind: Kind, days: int, state: str
) -> None:
    row_id = await put(clinic, ROBIN, WORDS, kind)
    await clinic.server.go_down()
    for _ in range(20):
        await clinic.now_again()
        await clinic.send()
    assert (await clinic.state(row_id))[0] == "waiting"
    clinic.clock.advance(timedelta(days=days))
    await clinic.now_again()
    await clinic.send()

    assert (await clinic.state(row_id))[0] == state


async def test_a_reminder_is_given_up_when_its_moment_is_over(clinic: Edge) -> None:
    say = OutgoingMessage(
        chat_id=ChatId(MUM), text=WORDS, kind="reminder", expires_at=NOW + timedelta(minutes=30)
    )
    row_id = await clinic.say(say)
    await clinic.server.go_down()
    await clinic.send()
    await clinic.server.come_back()
    clinic.clock.advance(timedelta(minutes=31))
    await clinic.now_again()
    await clinic.send()

    assert (await clinic.state(row_id))[0] == "failed"
    assert clinic.heard(MUM) == []


@pytest.mark.parametrize(
    ("late", "line"),
    [
        (timedelta(minutes=15), None),
        (timedelta(minutes=16), "16 minutes late"),
        (timedelta(hours=5), "5 hours late"),
        (timedelta(days=3), "3 days late"),
    ],
)
async def test_what_comes_late_says_so_in_one_line(clinic: Edge, late: timedelta, line: str | None) -> None:
    await put(clinic, ROBIN, WORDS, "concern")
    clinic.clock.advance(late)
    await clinic.send()

    said = clinic.heard(ROBIN)[0].split("\n")
    assert said[-1] == WORDS
    assert (line in said[0] and len(said) == 2) if line else len(said) == 1


async def test_a_carer_reads_that_it_is_late_in_their_own_language(clinic: Edge) -> None:
    grandpa = 5002
    await put(clinic, grandpa, "Contado.", "reply")
    clinic.clock.advance(timedelta(hours=2))
    await clinic.send()

    assert clinic.heard(grandpa) == ["Esto llega 2 horas tarde. No lo pude mandar antes.\nContado."]


async def test_what_quiet_time_held_back_is_not_late_when_it_ends(clinic: Edge) -> None:
    morning = NOW + timedelta(hours=9)
    with clinic.store.write() as uow:
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(ROBIN), text=WORDS), NOW, held_until=morning)
    clinic.clock.move_to(morning)
    with clinic.store.write() as uow:
        uow.outbox.release(ChatId(ROBIN), until=morning)
    await clinic.send()

    assert clinic.heard(ROBIN) == [WORDS]


async def test_health_and_check_tell_what_could_not_be_told(clinic: Edge) -> None:
    await put(clinic, ROBIN, WORDS, "concern")
    await put(clinic, MUM, WORDS, "reply")
    await put(clinic, MUM, WORDS, "reminder")
    assert (await clinic.parts.healthy()).untold == {}
    clinic.clock.advance(timedelta(minutes=16))
    health = await clinic.parts.healthy()

    assert health.untold == {"concern": 1, "reply": 1}
    assert "1 message about a concern, 1 answer" in health.problems["untold"]


async def test_messages_of_one_chat_keep_their_order_over_a_fault(clinic: Edge) -> None:
    for number in range(4):
        await put(clinic, MUM, str(number), "reply")
    clinic.server.faults.add(Fault("too_many_requests", method="sendMessage", seconds=0))
    clinic.server.faults.add(Fault("lost_before", method="sendMessage"))
    for _ in range(30):
        await clinic.now_again()
        await clinic.send()

    assert clinic.heard(MUM) == ["0", "1", "2", "3"]


async def test_while_the_service_is_away_one_message_at_a_time_is_tried(clinic: Edge) -> None:
    rows = [await put(clinic, chat, WORDS, "reply") for chat in (ROBIN, MUM, 5002)]
    await clinic.server.go_down()
    await clinic.send()
    await clinic.send()
    await clinic.server.come_back()
    await clinic.now_again()
    for _ in range(3):
        await clinic.send()

    assert {(await clinic.state(row))[0] for row in rows} == {"sent"}


async def test_no_second_of_the_service_holds_more_than_thirty_messages(clinic: Edge) -> None:
    sender = clinic.parts.sender
    sender._limits = Limits(Rates())
    clinic.server.faults.add(Fault("delay", method="sendMessage", seconds=0.3, probability=0.3, count=None))
    for chat_id in range(6001, 6101):
        clinic.server.people.add(chat_id, "Carer")
        with clinic.store.write() as uow:
            uow.conn.execute(
                carers.insert().values(
                    family_id="f1",
                    id=f"x{chat_id}",
                    chat_id=chat_id,
                    name="Carer",
                    state="active",
                    role="other",
                )
            )
        await put(clinic, chat_id, WORDS, "reply")
    while not await sender.idle():
        await clinic.wait_for(await sender.turn())
    at = [call.received for call in clinic.server.record.calls if call.method == "sendmessage"]

    assert len(at) == 100
    assert max(sum(start <= one < start + 1.0 for one in at) for start in at) <= 30


def test_pauses_double_up_to_the_longest() -> None:
    assert [backoff(n, first=1, most=10) for n in range(7)] == [1, 1, 2, 4, 8, 10, 10]
    assert backoff(100_000, most=60) == 60
