"""The three moments that must be superb, through the real library and the local messaging server."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select

from bot.storage.tables import sessions
from tests.conftest import BOTH
from tests.journeys.conftest import House

pytestmark = BOTH


async def counted(house: House) -> list[tuple[str | None, float | None, str | None]]:
    with house.store.read() as uow:
        rows = uow.conn.execute(select(sessions).where(sessions.c.state == "counted").order_by(sessions.c.id))
        return [(row.activity, row.minutes, row.side) for row in rows]


async def test_a_reminder_names_baby_activity_and_minutes_and_nothing_of_a_diagnosis(house: House) -> None:
    reminder = await house.to_first_reminder()

    assert "Pip" in reminder.text
    assert " min" in reminder.text
    assert not any(word in reminder.text.lower() for word in ("plexus", "injury", "palsy", "weak"))
    assert all(len(label) <= 24 for label in reminder.labels())


async def test_a_tap_on_done_counts_the_asked_minutes_in_place(house: House) -> None:
    reminder = await house.to_first_reminder()
    asked = reminder.labels()[0].removeprefix("✓ ").removesuffix(" min")

    house.mum.press(reminder.labels()[0], message_id=reminder.message_id)
    await house.settle()

    after = house.mum.message(reminder.message_id)
    assert after.text.startswith(f"✓ {asked} min")
    assert after.labels() == ["Undo", "Change"]
    assert [minutes for _, minutes, _ in await counted(house)] == [float(asked)]
    assert len(house.heard(house.mum)) == 1


async def test_typed_minutes_are_counted_and_can_be_taken_back_with_one_tap(house: House) -> None:
    await house.to_first_reminder()
    house.mum.say("12 min, turned right twice")
    await house.settle()

    answer = house.last(house.mum)
    assert answer.text.startswith("✓ 12 min")
    assert "head turn" in answer.text

    house.mum.press("Undo", message_id=answer.message_id)
    await house.settle()

    assert house.mum.message(answer.message_id).text.startswith("Undone")
    assert await counted(house) == []


async def test_a_button_pressed_twice_counts_once(house: House) -> None:
    reminder = await house.to_first_reminder()
    label = reminder.labels()[0]
    house.mum.press(label, message_id=reminder.message_id)
    house.mum.press(label, message_id=reminder.message_id)
    await house.settle()

    assert len(await counted(house)) == 1


async def test_a_question_about_a_hold_brings_its_card_with_stop_signs(house: House) -> None:
    house.mum.say("how do I do the football hold again?")
    await house.settle()

    card = house.last(house.mum)
    assert "Pip" in card.text
    assert "stop" in card.text.lower()
    assert card.labels() == ["More", "Ask about this"]


async def test_the_digest_comes_once_on_its_day_with_a_picture(house: House) -> None:
    await house.to_first_reminder()
    house.mum.say("10 min")
    await house.settle()
    await house.at(17, 59, day=6)
    assert house.heard(house.robin) == []

    await house.at(18, 5, day=6)
    digests = house.heard(house.robin)
    assert [message.kind for message in digests] == ["photo"]
    assert "Pip" in digests[0].text

    await house.rehearsal.jump(house.clock.now() + timedelta(hours=3))
    assert len(house.heard(house.robin)) == 1
