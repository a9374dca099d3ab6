"""A carer sets when reminders come, asks the bot about itself, leaves and comes back."""

from __future__ import annotations

from demo.messaging import MessageView, Person
from tests.journeys.conftest import House


async def says(house: House, who: Person, text: str) -> MessageView:
    who.say(text)
    await house.settle()
    return house.last(who)


async def presses(house: House, who: Person, label: str) -> MessageView:
    who.press(label, message_id=house.last(who).message_id)
    await house.settle()
    return house.last(who)


async def test_no_reminder_comes_before_the_hour_asked_for_until_any_time_is_fine_again(house: House) -> None:
    answer = await says(house, house.mum, "no messages before 11")
    assert answer.text == "All right. Reminders now: from 11:00 AM on."

    await house.at(10, 55)
    assert house.last(house.mum).message_id == answer.message_id
    assert "from 11:00 AM on" in ((await says(house, house.mum, "/today")).text or "")

    house.mum.press("Any time again", message_id=answer.message_id)
    await house.settle()
    before = len(house.heard(house.mum))
    await house.at(10, 59, day=1)
    assert len(house.heard(house.mum)) > before


async def test_a_sunday_without_reminders_stays_without(house: House) -> None:
    await says(house, house.mum, "not on Sundays")
    await house.at(23, 0, day=5)
    before = len(house.heard(house.mum))

    await house.at(17, 30, day=6)

    assert len(house.heard(house.mum)) == before


async def test_a_mild_doubt_gets_the_card_and_the_offer_of_a_video(house: House) -> None:
    await house.to_first_reminder()

    offer = await says(house, house.mum, "not sure I'm doing it right")

    assert "send a short video" in (offer.text or "") and "555" not in (offer.text or "")
    assert "STOP if" in (house.texts(house.mum)[-2])


async def test_leaving_asks_once_and_one_tap_within_the_week_brings_back(house: House) -> None:
    asked = await says(house, house.mum, "I want to leave")
    assert asked.labels() == ["Leave this chat", "Pause a while", "Stay"]
    assert (await says(house, house.mum, "12 min tummy")).text == "✓ 12 min of tummy time."

    house.mum.press("Leave this chat", message_id=asked.message_id)
    await house.settle()
    left = house.last(house.mum)
    await house.at(12, day=6)
    assert house.last(house.mum).message_id == left.message_id

    back = await presses(house, house.mum, "Come back")
    assert (back.text or "").startswith("You are back")
    assert (await says(house, house.mum, "10 min tummy")).text == "✓ 10 min of tummy time."


async def test_who_left_may_come_back_in_words_in_their_own_language(house: House) -> None:
    await says(house, house.grandpa, "bórrame")
    await presses(house, house.grandpa, "Salir de este chat")
    await house.at(12, day=2)

    assert (await says(house, house.grandpa, "hola")).text.startswith("¡Hola!")
    offer = await says(house, house.grandpa, "quiero volver")
    assert offer.labels() == ["Volver"]
    assert "Aquí estás otra vez" in ((await presses(house, house.grandpa, "Volver")).text or "")


async def test_coming_back_later_than_a_week_takes_an_invitation(house: House) -> None:
    await says(house, house.mum, "/leave")
    await presses(house, house.mum, "Leave this chat")
    await house.at(12, day=8)

    late = await presses(house, house.mum, "Come back")

    assert "new invitation" in (late.text or "")
    assert (await says(house, house.mum, "10 min tummy")).text != "✓ 10 min of tummy time."
