"""After an urgent concern: what a carer writes of it reaches the therapist at once, and the next morning begins with a question."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from bot.domain.ids import FamilyId
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house
from tests.journeys.looking import rows_of

HOT = "her temperature is 39.5"


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=6)):
        yield house


async def test_a_false_alarm_reaches_the_therapist_in_her_quiet_time_and_closes_nothing(house: House) -> None:
    await say(house, house.robin, "/quiet 21:00-07:00")
    await house.at(22)
    await say(house, house.mum, HOT)
    await say(house, house.mum, "false alarm, was 37.2")

    assert "false alarm, was 37.2" in house.last(house.robin).text
    assert HOT in house.last(house.robin).text
    assert "stays open until Robin has looked" in house.last(house.mum).text
    with house.store.read() as uow:
        assert [each.state for each in uow.concerns.open_in_family(FamilyId("f1"))] == ["open"]
    assert await rows_of(house, "sessions") == []


async def test_what_is_not_understood_while_a_concern_is_open_does_not_wait_for_the_week(
    house: House,
) -> None:
    await say(house, house.mum, HOT)
    await say(house, house.mum, "the other thing is back again")
    assert "the other thing is back again" in house.last(house.robin).text


async def test_the_next_morning_begins_with_the_question_and_its_answer_goes_on_at_once(house: House) -> None:
    await house.at(15)
    await say(house, house.mum, HOT)
    await press(house, house.robin, "Seen")
    before = len(house.heard(house.mum))
    await house.at(21, 0)
    evening = len(house.heard(house.mum))
    await house.at(12, 0, day=1)

    morning = house.heard(house.mum)[evening:]
    assert evening >= before and "How are things today?" in morning[0].text
    assert len(told(house, house.mum, "How are things today?")) == 1
    assert not told(house, house.grandpa, "¿Cómo va todo hoy?")
    await press(house, house.mum, "Worse", on=morning[0].message_id)
    assert "Worse" in house.last(house.robin).text and HOT in house.last(house.robin).text
    assert told(house, house.mum, "Please call your doctor or nurse line today")[1:]


async def test_what_the_therapist_found_to_be_none_is_not_asked_about(house: House) -> None:
    await say(house, house.mum, HOT)
    await press(house, house.robin, "Not a concern")
    await house.at(12, 0, day=1)
    assert not told(house, house.mum, "How are things today?")


async def test_no_reminder_comes_before_the_morning_unless_it_was_no_concern(house: House) -> None:
    await house.at(7, 30)
    await say(house, house.mum, "she went limp and her lips are blue")
    assert len(told(house, house.mum, "I will send no reminders until tomorrow")) == 1
    heard = len(house.heard(house.mum))
    await house.at(13)
    assert not [each for each in house.texts(house.mum)[heard:] if " min." in each]

    await press(house, house.robin, "Not a concern")
    heard = len(house.heard(house.mum))
    await house.at(19)
    assert [each for each in house.texts(house.mum)[heard:] if " min." in each]


async def test_a_false_alarm_ends_the_rest_and_not_the_later_that_the_carer_asked_for(house: House) -> None:
    await say(house, house.mum, "later 40")
    with house.store.read() as uow:
        asked_for = uow.families.get(FamilyId("f1")).hold_until
    await say(house, house.mum, "her lips went blue")
    with house.store.read() as uow:
        family = uow.families.get(FamilyId("f1"))
        assert asked_for is not None and family.hold_until == asked_for
        assert family.rest_until is not None and family.rest_until > asked_for
    await press(house, house.robin, "Not a concern")
    with house.store.read() as uow:
        family = uow.families.get(FamilyId("f1"))
        assert (family.rest_until, family.hold_until) == (None, asked_for)
