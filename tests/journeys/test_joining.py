"""From an invitation to a family that has joined, through the real library."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select, update

from bot.domain.ids import FamilyId
from bot.storage.repositories.invitations import printed
from bot.storage.tables import invitations, messages
from tests.journeys.conftest import House
from tests.journeys.talks import carer_row, does, family_row, invited


async def test_a_link_a_few_taps_and_a_carer_has_joined(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")

    papa.open_invitation(code)
    await house.settle()
    assert "Who are you to Pip?" in house.last(papa).text

    consent = await does(house, papa, "[Father]")
    assert "not an emergency service" in consent.text
    assert "/leave" in consent.text and "/privacy" in consent.text

    day_told = await does(house, papa, "[Yes, I agree]")
    assert "The day with Pip" in day_told.text
    assert "7:00" in day_told.text
    assert day_told.labels() == ["Yes, right", "Change it"]

    await does(house, papa, "[Yes, right]")
    carer = await carer_row(house, "c3")
    assert (carer.state, carer.role, carer.name) == ("active", "father", "Papa")
    assert (await family_row(house)).shape_told_at is not None
    assert "Papa has joined for Pip" in house.last(house.robin).text


async def test_a_printed_code_may_be_typed_with_its_dashes_and_in_small_letters(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")

    asked = await does(house, papa, printed(code).lower())

    assert "Who are you to Pip?" in asked.text


async def test_a_code_works_once_and_wrong_ones_are_stopped_after_five(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa, other = house.server.people.add(5003, "Papa"), house.server.people.add(6001, "Other")
    await does(house, papa, f"/start {code}", "[Father]", "[Yes, I agree]")

    assert "do not know that code" in (await does(house, other, f"/start {code}")).text
    for _ in range(4):
        await does(house, other, "/start AAAAABBBBBCCCCCDDDDD")
    fresh = await invited(house, "c4", "Nana")
    assert "try again in an hour" in (await does(house, other, f"/start {fresh}")).text

    await house.rehearsal.jump(house.clock.now() + timedelta(hours=1, minutes=1))
    assert "Who are you to Pip?" in (await does(house, other, f"/start {fresh}")).text


async def test_an_old_invitation_is_refused(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")
    with house.store.write() as uow:
        uow.conn.execute(update(invitations).values(expires_at=house.clock.now()))

    assert "do not know that code" in (await does(house, papa, f"/start {code}")).text


async def test_somebody_else_gives_a_name_and_everything_can_be_in_spanish(house: House) -> None:
    code = await invited(house, "c3", "Helper")
    ana = house.server.people.add(5003, "Ana")
    await does(house, ana, f"/start {code}", "[Español]", "[Otra persona]")
    consent = await does(house, ana, "tía Ana")
    assert "¿Puedo guardar lo que escribas?" in consent.text

    told = await does(house, ana, "[Sí, de acuerdo]")

    assert "El día con Pip" in told.text
    carer = await carer_row(house, "c3")
    assert (carer.name, carer.role, carer.language) == ("tía Ana", "other", "es")


async def test_who_leaves_in_the_middle_comes_back_to_the_same_question(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")
    await does(house, papa, f"/start {code}", "[Father]")
    await house.at(9, day=2)

    again = await does(house, papa, "sorry, I was away")
    assert "May I keep what you write?" in again.text
    assert "May I keep what you write?" in (await does(house, papa, f"/start {code}")).text

    await does(house, papa, "[Yes, I agree]")
    assert (await carer_row(house, "c3")).role == "father"


async def test_a_no_keeps_nothing_and_ties_the_chat_to_no_family(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")
    await does(house, papa, f"/start {code}", "[Someone else]", "Uncle Bo", "[No, thank you]")

    carer = await carer_row(house, "c3")
    assert (carer.state, carer.chat_id, carer.name, carer.role) == ("left", None, "Papa", "parent")
    with house.store.read() as uow:
        assert (uow.conn.execute(select(messages))).all() == []


async def test_an_urgent_sign_before_the_yes_gets_its_advice_and_is_not_kept(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")
    await does(house, papa, f"/start {code}", "he is blue")

    heard = house.texts(papa)
    assert any("nobody has been told" in text for text in heard)
    assert "Who are you to Pip?" in heard[-1]
    with house.store.read() as uow:
        assert (uow.conn.execute(select(messages))).all() == []
    assert house.heard(house.robin) == []


async def test_a_strangers_urgent_sign_gets_its_advice_too(house: House) -> None:
    stranger = house.server.people.add(6001, "Nobody")

    assert "nobody has been told" in (await does(house, stranger, "my baby is blue")).text


async def test_a_code_for_another_person_is_not_used_up_by_a_chat_that_has_its_place(house: House) -> None:
    code = await invited(house, "c3", "Papa")

    assert "please pass it on" in (await does(house, house.mum, f"/start {code}")).text
    assert "please pass it on" in (await does(house, house.robin, f"/start {code}")).text

    papa = house.server.people.add(5003, "Papa")
    assert "Who are you to Pip?" in (await does(house, papa, f"/start {code}")).text


async def test_a_role_that_the_therapist_gave_is_not_asked_and_day_care_cannot_become_family(
    house: House,
) -> None:
    code = await invited(house, "c3", "Sunny Room", role="day care")
    room = house.server.people.add(5003, "Room")

    assert "May I keep what you write?" in (await does(house, room, f"/start {code}")).text

    welcome = await does(house, room, "[Yes, I agree]")
    assert "The family's own words stay with them" in welcome.text


async def test_no_payload_of_a_joining_carer_is_readable_without_the_key(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")
    await does(house, papa, f"/start {code}")

    with house.store.engine.connect() as conn:
        stored = [
            *(conn.exec_driver_sql("SELECT raw FROM inbox")).scalars(),
            *(conn.exec_driver_sql("SELECT payload FROM outbox")).scalars(),
        ]
    assert stored
    assert not any(code.encode() in bytes(value) or b"You are invited" in bytes(value) for value in stored)


async def test_a_later_carer_is_told_the_day_that_is_known(house: House) -> None:
    first = await invited(house, "c3", "Papa")
    papa = house.server.people.add(5003, "Papa")
    await does(house, papa, f"/start {first}", "[Father]", "[Yes, I agree]", "[Yes, right]")
    second = await invited(house, "c4", "Nana")
    nana = house.server.people.add(5004, "Nana")

    told = await does(house, nana, f"/start {second}", "[Grandparent]", "[Yes, I agree]")

    assert told.labels() == ["Change it"]
    with house.store.read() as uow:
        assert len(uow.plans.versions(FamilyId("f1"))) == 1
