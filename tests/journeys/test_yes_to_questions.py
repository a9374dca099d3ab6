"""A typed yes or no, or a button's own words, in place of a tap."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select

from bot.domain.ids import FamilyId
from bot.storage.tables import concerns, sessions
from tests.journeys.conftest import House
from tests.journeys.talks import does, family_row


async def minutes(house: House) -> list[float | None]:
    with house.store.read() as uow:
        rows = uow.conn.execute(select(sessions.c.minutes).where(sessions.c.state == "counted"))
        return [row.minutes for row in rows]


async def stands(house: House) -> list[str]:
    with house.store.read() as uow:
        return list(uow.conn.scalars(select(concerns.c.state).order_by(concerns.c.id)))


async def asks_of_trouble(house: House) -> None:
    asked = await does(house, house.mum, "not really floppy i guess")
    if asked.labels() != ["Yes, it is happening", "No, it is not"]:
        raise AssertionError(
            f"This message is to be asked about, so that a yes has something to answer: {asked.text}"
        )


async def test_yes_to_trouble_raises_it_and_counts_no_minutes_of_the_open_reminder(house: House) -> None:
    await house.to_first_reminder()
    await asks_of_trouble(house)

    again = await does(house, house.mum, "ok")
    assert again.labels() == ["Yes, it is happening", "No, it is not"], "who says ok may only have read it"
    await does(house, house.mum, "yes she is")

    assert await stands(house) == ["open"]
    assert any("Call 555 0199" in text for text in house.texts(house.mum)[-2:])
    assert await minutes(house) == []


async def test_no_to_trouble_is_kept_as_a_no(house: House) -> None:
    await house.to_first_reminder()
    await asks_of_trouble(house)

    await does(house, house.mum, "no it isn't")

    assert await stands(house) == ["denied"]
    assert await minutes(house) == []
    with house.store.read() as uow:
        asked = uow.concerns.asked_about_since(house.clock.now() - timedelta(days=1))
    assert asked == [("not really floppy i guess", True)], (
        "the clinic lists it beside what was not understood"
    )


async def test_a_question_of_ours_is_answered_and_not_the_reminder_that_stands_above_it(house: House) -> None:
    await house.to_first_reminder()
    await does(house, house.mum, "i want to leave")
    assert (await does(house, house.mum, "no we stay")).text == "Good, you stay."

    await does(house, house.mum, "i have the flu")
    assert (await does(house, house.mum, "yes please")).text == "Until when shall I send no reminders?"
    paused = await does(house, house.mum, "3 days")
    assert "Start again" in paused.labels() and "3 days" not in paused.labels()

    await does(house, house.mum, "bath is at six now")
    assert (await does(house, house.mum, "nope")).text == "All right, I leave it as it is."
    await does(house, house.mum, "bath is at six now")
    await does(house, house.mum, "sure, change it")
    with house.store.read() as uow:
        assert uow.plans.get(FamilyId("f1")).document["moments"] == {"bath": ["18:00"]}
    assert await minutes(house) == []


async def test_what_needs_a_plain_yes_is_asked_again_after_an_ok(house: House) -> None:
    await does(house, house.mum, "/privacy", "[Erase my words]")

    again = await does(house, house.mum, "ok")
    assert again.labels() == ["Yes, erase it", "No, keep it"]
    assert (await does(house, house.mum, "no")).text == "All right, I keep it."


async def test_a_trip_that_is_asked_about_on_its_morning_is_taken_by_a_typed_yes(house: House) -> None:
    await does(house, house.mum, "in Madrid from Wednesday till Sunday")
    await house.at(8, 6, day=2)
    assert "Madrid" in (house.last(house.mum).text or "")

    await does(house, house.mum, "yes please")

    assert (await family_row(house)).zone.key == "Europe/Madrid"
    assert await minutes(house) == []


async def test_a_yes_after_a_question_and_a_reminder_is_asked_about(house: House) -> None:
    await house.at(8, 5)
    await does(house, house.mum, "bath is at six now")
    reminder = await house.to_first_reminder()
    assert "Tummy time" in (reminder.text or "")

    asked = await does(house, house.mum, "yes")
    assert asked.text == "Yes to which one?"
    assert asked.labels() == ["Tummy time", "What I asked"]
    await does(house, house.mum, "[What I asked]")

    assert await minutes(house) == []
    with house.store.read() as uow:
        assert uow.plans.get(FamilyId("f1")).document["moments"] == {"bath": ["18:00"]}


async def test_no_thermometer_in_words_lets_the_fever_stand(house: House) -> None:
    asked = await does(house, house.mum, "she is hot to the touch")
    assert "temperature" in " ".join(house.texts(house.mum)[-2:])
    assert asked.buttons

    await does(house, house.mum, "sorry, we haven't got one")

    assert await stands(house) == ["open"]


async def test_a_way_there_and_back_is_asked_about_and_is_no_session_of_the_reminder(house: House) -> None:
    await house.to_first_reminder()

    assert (await does(house, house.mum, "15 there 15 back")).text == "30 min of what?"
    assert await minutes(house) == []


async def test_a_hard_day_is_met_and_is_nothing_that_the_baby_did(house: House) -> None:
    await house.to_first_reminder()

    met = await does(house, house.mum, "i hate all this")

    assert "sounds hard" in met.text and "555 0100" in met.text
    assert met.labels() == ["Pause a while", "No"]
    assert await stands(house) == []


async def test_fewer_at_weekends_is_settled_by_a_button_or_its_words(house: House) -> None:
    await does(house, house.mum, "less on weekends please")

    assert "weekend: until 12:00" in (await does(house, house.mum, "only mornings")).text


async def test_somebody_else_did_it_for_nobody_knows_how_long(house: House) -> None:
    assert (await does(house, house.mum, "my dad did it, no idea how long")).text == "What did you do?"
    assert house.texts(house.robin) == []
