"""Who has the baby today, day care that sees only what it needs, trips, and the family's group."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import update

from bot.domain.actor import Actor
from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.messenger.commands_menu import TherapistMenus, set_menus
from bot.storage.tables import carers
from demo.messaging import Person
from tests.journeys.conftest import HALIFAX, House
from tests.journeys.talks import does, family_row, invited


async def reminded(house: House, until: datetime) -> dict[str, int]:
    """Move on and return how many reminders each person got."""
    persons = {"mum": house.mum, "grandpa": house.grandpa}
    before = {name: len(house.heard(person)) for name, person in persons.items()}
    await house.rehearsal.jump(until)
    return {name: len(house.heard(person)) - before[name] for name, person in persons.items()}


async def test_reminders_go_to_whoever_is_on_duty_today_and_back_tomorrow(house: House) -> None:
    await does(house, house.mum, "/duty")
    given = await does(house, house.mum, "[Grandpa]")
    assert "go to Grandpa" in given.text
    assert "Mum" in house.last(house.grandpa).text

    monday = await reminded(house, datetime(2026, 3, 2, 23, 0, tzinfo=HALIFAX))
    assert monday["grandpa"] > 0 and monday["mum"] == 0

    tuesday = await reminded(house, datetime(2026, 3, 3, 23, 0, tzinfo=HALIFAX))
    assert tuesday["grandpa"] == 0 and tuesday["mum"] > 0


async def test_duty_can_be_given_back(house: House) -> None:
    await does(house, house.mum, "/duty", "[Grandpa]")
    await does(house, house.grandpa, "[Hoy no me toca]")

    monday = await reminded(house, datetime(2026, 3, 2, 23, 0, tzinfo=HALIFAX))

    assert monday["grandpa"] == 0 and monday["mum"] > 0


async def test_duty_with_a_carer_who_blocked_the_bot_falls_back_to_the_family(house: House) -> None:
    await does(house, house.mum, "/duty", "[Grandpa]")
    house.grandpa.block()
    await house.settle()

    monday = await reminded(house, datetime(2026, 3, 2, 23, 0, tzinfo=HALIFAX))

    assert monday["mum"] > 0


async def test_day_care_sees_reminders_cards_and_today_and_nothing_of_the_familys(house: House) -> None:
    code = await invited(house, "c3", "Sunny Room", role="day_care")
    room = house.server.people.add(5003, "Room")
    await does(house, room, f"/start {code}", "[Yes, I agree]")

    assert "for the family" in (await does(house, room, "/week")).text
    assert "Today with Pip" in (await does(house, room, "/today")).text
    assert "stop" in (await does(house, room, "how do I do the football hold again?")).text.lower()
    shape = await does(house, room, "/day")
    assert "The day with Pip" in shape.text and shape.labels() == []
    await does(house, room, "bath is at 6 now")
    with house.store.read() as uow:
        assert len(uow.plans.versions(FamilyId("f1"))) == 1

    before = len(house.heard(room))
    await does(house, house.mum, "he is blue", "is the chair ok?")
    assert len(house.heard(room)) == before


async def test_a_trip_changes_the_clock_until_its_last_day_and_then_back(house: House) -> None:
    asked = await does(house, house.mum, "we are in Madrid till Wednesday")
    assert "Madrid" in asked.text and "Wednesday 4 March" in asked.text
    gone = await does(house, house.mum, "[Yes, change it]")
    assert "the time in Halifax again" in gone.text

    madrid = ZoneInfo("Europe/Madrid")
    assert (await family_row(house)).zone == madrid
    tuesday = await house.to_first_reminder()
    sent_at = house.clock.now().astimezone(madrid)
    assert tuesday and 7 <= sent_at.hour < 20

    await house.rehearsal.jump(datetime(2026, 3, 5, 12, 0, tzinfo=HALIFAX))
    family = await family_row(house)
    assert (family.zone, family.home_zone, family.away_until) == (HALIFAX, None, None)
    with house.store.read() as uow:
        versions = uow.plans.versions(FamilyId("f1"))
    assert [v.plan.time_zone for v in versions] == ["America/Halifax", "Europe/Madrid", "America/Halifax"]
    assert versions[1].made_by == Actor.carer(CarerId("c1"))


async def test_a_trip_by_command_and_home_early_in_words(house: House) -> None:
    await does(house, house.mum, "/travel", "Madird")
    assert "Until when" in house.last(house.mum).text
    await does(house, house.mum, "[7 days]")
    assert (await family_row(house)).away_until == datetime(2026, 3, 9, tzinfo=HALIFAX).date()

    home = await does(house, house.mum, "we are home")

    assert "Welcome home" in home.text
    assert (await family_row(house)).zone == HALIFAX


async def test_a_move_is_a_new_home_clock(house: House) -> None:
    asked = await does(house, house.mum, "we moved to Portugal")
    assert [label.partition(",")[0] for label in asked.labels()] == ["Lisbon", "Azores"]

    await does(house, house.mum, f"[{asked.labels()[0]}]")

    family = await family_row(house)
    assert (family.zone.key, family.home_zone) == ("Europe/Lisbon", None)


async def test_no_reminder_comes_by_the_old_clock_after_leaving(house: House) -> None:
    await house.at(12)
    await does(house, house.mum, "we are in Tokyo for 3 days", "[Yes, change it]")
    tokyo = ZoneInfo("Asia/Tokyo")
    before = len(house.heard(house.mum))

    await house.rehearsal.jump(datetime(2026, 3, 3, 6, 59, tzinfo=tokyo))

    assert len(house.heard(house.mum)) == before


async def test_a_place_that_is_no_time_zone_is_not_taken_for_a_trip(house: House) -> None:
    said = await does(house, house.mum, "we are in hospital till Friday")

    assert "clock" not in said.text
    assert (await family_row(house)).home_zone is None


async def test_a_group_is_refused_once_unless_the_therapist_allowed_it(house: House) -> None:
    house.server.people.add_group(-700, "Team Pip", [house.mum, house.grandpa])
    await house.settle()
    group = house.server.people.group(-700)
    house.mum.say("/today", chat_id=-700)
    await house.settle()

    said = [message.text for message in group.messages(by_bot=True)]
    assert said == [
        "I cannot talk in groups. A family's words belong in a private chat. Please write to me there."
    ]


async def test_an_allowed_group_gets_reminders_and_reads_only_carers_who_joined(house: House) -> None:
    await does(house, house.robin, "/group", "[Pip]")
    aunt = house.server.people.add(6001, "Aunt")
    house.server.people.add_group(-700, "Team Pip", [house.mum, house.grandpa, aunt])
    await house.settle()
    group = house.server.people.group(-700)
    assert "This group now gets the reminders for Pip" in group.messages(by_bot=True)[-1].text

    reminder = await house.to_first_reminder()
    shown = group.messages(by_bot=True)[-1]
    assert reminder.text == shown.text

    aunt.press(shown.labels()[0], chat_id=-700, message_id=shown.message_id)
    await house.settle()
    assert "only count for those who have joined" in group.toasts[-1]["text"]
    house.mum.say("10 min", chat_id=-700, reply_to=shown.message_id)
    await house.settle()
    assert group.messages(by_bot=True)[-1].text.startswith("✓ 10 min")

    house.mum.say("/privacy", chat_id=-700)
    await house.settle()
    assert "in our own chat" in group.messages(by_bot=True)[-1].text
    aunt.say("he is blue", chat_id=-700, reply_to=shown.message_id)
    await house.settle()
    assert any("nobody has been told" in message.text for message in group.messages(by_bot=True))


async def test_a_group_that_is_allowed_no_longer_gets_nothing_more(house: House) -> None:
    await does(house, house.robin, "/group", "[Pip]")
    house.server.people.add_group(-700, "Team Pip", [house.mum])
    await house.settle()
    await does(house, house.robin, "/group", "[✓ Pip]")
    group = house.server.people.group(-700)
    before = len(group.messages(by_bot=True))

    await house.rehearsal.jump(house.clock.now() + timedelta(hours=8))

    assert len(group.messages(by_bot=True)) == before


async def test_unknown_commands_are_answered_with_the_nearest_one(house: House) -> None:
    assert "Did you mean /today" in (await does(house, house.mum, "/todey")).text
    assert "/help" in (await does(house, house.mum, "/zzz")).text


async def test_a_command_never_hides_a_worry(house: House) -> None:
    for number, text in enumerate(["/ he is blue", "/today he is blue", "/start he is blue"], start=1):
        await does(house, house.mum, text)
        assert len([said for said in house.texts(house.robin) if "blue" in said]) == number


async def test_a_menu_shows_each_what_they_can_do(house: House) -> None:
    with house.store.write() as uow:
        uow.conn.execute(update(carers).where(carers.c.id == "c2").values(role="day care"))
    await set_menus(house.rehearsal.parts.bot, house.rehearsal.parts.workers)

    def commands(person: Person) -> list[str]:
        return [entry["command"] for entry in person.menu]

    assert {"today", "day", "duty", "travel", "privacy", "leave"} <= set(commands(house.mum))
    assert "week" not in commands(house.grandpa) and "today" in commands(house.grandpa)
    assert "group" in commands(house.robin)


async def test_a_therapist_has_their_own_menu_as_soon_as_they_join_and_in_their_language(
    house: House,
) -> None:
    menus = TherapistMenus(house.rehearsal.parts.bot, house.rehearsal.parts.workers)
    assert "group" not in [entry["command"] for entry in house.grandpa.menu]
    await menus.refresh()
    english = house.robin.menu
    with house.store.write() as uow:
        uow.therapists.describe(TherapistId("t1"), name="Robin", language="es")
    await menus.refresh()

    assert "families" in [entry["command"] for entry in english]
    assert house.robin.menu != english


async def test_on_a_trip_no_number_of_home_is_named_and_at_home_the_familys_own(house: House) -> None:
    await does(house, house.robin, "/numbers pip emergency 112")
    assert "112" in house.last(house.robin).text and "555 0199" not in house.last(house.robin).text
    await does(house, house.mum, "he is blue")
    assert "Call 112" in house.heard(house.mum)[0].text
    await does(house, house.mum, "we are in Madrid till Wednesday", "[Yes, change it]")
    assert "the emergency number where you are" in house.last(house.mum).text
    before = len(house.heard(house.mum))
    await does(house, house.mum, "he will not wake up and is grey")

    advice = house.heard(house.mum)[before].text
    assert "Call the emergency number where you are" in advice and "112" not in advice
