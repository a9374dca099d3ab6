"""A tired day in short words: what they mean hangs on what was asked and answered before them."""

from __future__ import annotations

from tests.journeys.conftest import House
from tests.journeys.test_asides_and_hours import says


async def test_one_answer_for_all_reminders_is_asked_about_and_then_counts_each(house: House) -> None:
    await house.at(14, 41)
    house.mum.say("did it. all of them.")
    await house.settle()
    asked = house.last(house.mum)

    assert (asked.text or "").startswith("Shall I count 10 min of tummy time; 5 min of the football hold")
    assert (asked.text or "").count(" min of ") == 4

    house.mum.press("Yes", message_id=asked.message_id)
    await house.settle()
    house.mum.say("what did we do so far")
    await house.settle()

    assert "30 min of tummy time" in house.texts(house.mum)[-1]


async def test_words_after_not_now_are_why_and_a_pause_has_the_length_that_was_asked_for(
    house: House,
) -> None:
    reminder = await house.to_first_reminder()
    house.mum.press("Not now", message_id=reminder.message_id)
    await house.settle()
    house.mum.say("he was poorly all morning so no")
    await house.settle()

    assert "stop reminders" in house.texts(house.mum)[-1]

    house.mum.say("please take a break for 3 days")
    await house.settle()

    assert "until Thursday 5 March" in house.texts(house.mum)[-1]


async def test_a_fever_without_a_number_asks_for_the_thermometer_and_the_number_decides(house: House) -> None:
    house.mum.say("she feels hot")
    await house.settle()
    asked = house.texts(house.mum)[-2]

    assert asked.startswith("You wrote: “she feels hot”. Please take the temperature now")
    assert "555 0100" in asked and "555 0199" in asked
    assert house.texts(house.robin) == []

    house.mum.say("38.6")
    await house.settle()

    assert any("“38.6”" in text and "555 0100" in text for text in house.texts(house.mum)[-2:])
    assert "38.6" in house.texts(house.robin)[-1] and "she feels hot" in house.texts(house.robin)[-1]


async def test_a_journey_to_come_is_asked_about_on_its_first_day(house: House) -> None:
    house.mum.say("we're off to Lisbon from tomorrow until Tuesday")
    await house.settle()

    assert "On Tuesday 3 March I will ask you" in house.texts(house.mum)[-1]
    assert "until Tuesday 10 March" in house.texts(house.mum)[-1]

    await house.at(8, 5, day=1)
    asked = next(
        m for m in reversed(house.heard(house.mum)) if "You said that you are in Lisbon" in (m.text or "")
    )
    house.mum.press("Yes, change it", message_id=asked.message_id)
    await house.settle()

    assert any("I use the time there until Tuesday 10 March" in text for text in house.texts(house.mum))


async def test_the_first_day_of_a_journey_may_be_told_after_its_last(house: House) -> None:
    await says(house, house.mum, "Madrid till Sunday")

    told = await says(house, house.mum, "from Friday")

    assert "On Friday 6 March" in (told.text or "") and "until Sunday 8 March" in (told.text or "")


async def test_minutes_of_both_babies_or_a_refusal_after_an_answer_are_taken_note_of(house: House) -> None:
    await house.to_first_reminder()
    await says(house, house.mum, "ten minutes on their tummies")

    assert (await says(house, house.mum, "busy x")).text == "All right. Thank you for telling me."
    hours = await says(house, house.mum, "not on sundays")
    assert hours.text == "All right. Reminders now: Sunday: none."
    hours = await says(house, house.mum, "only mornings")
    assert "Monday to Saturday: until 12:00 PM; Sunday: none" in (hours.text or "")


async def test_the_day_that_a_journey_begins_is_no_alarm_and_leaving_is_no_place(house: House) -> None:
    await says(house, house.grandpa, "Madrid hasta el domingo")
    told = await says(house, house.grandpa, "desde el viernes")

    assert (told.text or "").startswith("De acuerdo. El viernes 6 de marzo")
    assert not any("Quiero entenderte bien" in text for text in house.texts(house.grandpa))

    await says(house, house.grandpa, "en casa de mi madre en Leeds la semana que viene")
    assert "Salir de este chat" in (await says(house, house.grandpa, "bórrame")).labels()
