"""Whoever is put out, or leaves, gets nothing more: no message, no plan, nobody's name, nothing that came later."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator

import pytest

from bot.activities.library import load_library
from bot.domain.actor import SERVER
from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.errors import InputProblem
from bot.features.context import Context
from bot.features.enrolment import removing
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import alex, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house
from tests.journeys.talks import carer_row, does, invited
from tests.journeys.test_rights import file_of


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=9)):
        yield house


async def put_out_grandpa(house: House) -> None:
    await does(house, house.robin, "/remove pip", "[Grandpa]", "[Yes, end it]")


async def test_a_carer_is_put_out_by_their_therapist_and_told_so(house: House) -> None:
    await put_out_grandpa(house)
    told = house.last(house.grandpa).text
    assert "Ya no participas" in told and "555 0199" in told, "who writes to nobody must know it"
    assert "Grandpa no longer takes part" in house.last(house.robin).text
    before = len(house.heard(house.grandpa))
    await house.at(20)
    await does(house, house.mum, "10 min tummy time")
    await does(house, house.grandpa, "/today", "/week", "5 min boca abajo")

    with house.store.read() as uow:
        today = MONDAY.date()
        counted = [entry.carer_id for entry in uow.entries.counted_between(FamilyId("f1"), today, today)]
    assert counted == ["c1"]
    assert all("Pip" not in text for text in house.texts(house.grandpa)[before:])


async def test_a_concern_of_somebody_put_out_still_gets_its_advice(house: House) -> None:
    await put_out_grandpa(house)
    await does(house, house.grandpa, "el bebé no respira y está azul")

    assert "555 0199" in house.last(house.grandpa).text


async def test_only_a_new_invitation_brings_back_who_was_put_out(house: House) -> None:
    await does(house, house.grandpa, "/leave", "[Salir de este chat]")
    left = house.last(house.grandpa)
    with house.store.write() as uow:
        uow.carers.put_out(uow.carers.get(FamilyId("f1"), CarerId("c2")), house.clock.now())
    house.grandpa.press(left.labels()[0], message_id=left.message_id)
    await house.settle()
    assert (await carer_row(house, "c2")).state == "left"
    code = await invited(house, "c2", "Grandpa")
    await does(house, house.grandpa, f"/start {code}")

    back = await carer_row(house, "c2")
    assert (back.state, back.put_out, back.left_at) == ("joining", False, None)


async def test_a_pending_invitation_ends_with_whom_it_was_for(house: House) -> None:
    code = await invited(house, "c9", "Aunt")
    aunt = house.server.people.add(5099, "Aunt")
    await does(house, house.robin, "/remove pip", "[Aunt]", "[Yes, end it]")
    await does(house, aunt, f"/start {code}")

    assert (await carer_row(house, "c9")).state == "left"


async def test_a_therapist_puts_nobody_out_of_a_colleagues_family(house: House) -> None:
    await does(house, house.robin, "/help")
    for data in ("removesure:f2:c1", "removesure:f2", "removesure:f1:nobody", "removecarer:f2:c1"):
        message_id = house.last(house.robin).message_id
        house.robin._chat.messages[message_id]["reply_markup"] = {
            "inline_keyboard": [[{"text": "x", "callback_data": data}]]
        }
        house.robin.press("x", message_id=message_id)
        await house.settle()

    assert (await carer_row(house, "c1", "f2")).state == "active"


async def test_the_copy_of_who_left_ends_with_their_leaving_and_names_nobody(house: House) -> None:
    await does(house, house.grandpa, "10 min boca abajo")
    await does(house, house.mum, "12 min tummy time")
    await does(house, house.grandpa, "/leave", "[Salir de este chat]")
    await house.at(20)
    await does(house, house.mum, "15 min tummy time")
    await does(house, house.grandpa, "/privacy", "[Mándame mi copia]")

    copy = json.loads(await file_of(house, house.grandpa, "copy.json"))
    assert [row["minutes"] for row in copy["minutes"]] == [10.0]
    assert not {"plan", "carers", "who_saw_what", "reminders"} & copy.keys()
    assert "Mum" not in json.dumps(copy)


async def test_a_therapist_asked_about_every_group_knows_who_made_it(house: House) -> None:
    await does(house, house.robin, "/group", "[Pip]")
    for number, chat_id in enumerate((-700, -701), 1):
        house.server.people.add_group(chat_id, "Team Pip", [house.mum])
        await house.settle()
        assert "Mum has added me to" in house.last(house.robin).text
        assert (f"{number} by now" in house.last(house.robin).text) == (number > 1)


async def test_a_therapist_who_is_put_out_sees_no_family_and_their_heir_all(house: House) -> None:
    await does(house, house.mum, "his fingers are blue and cold")
    with house.store.write() as uow:
        clinic = uow.clinics.find()
        assert clinic is not None
        context = Context(uow, house.clock.now(), clinic, load_library())
        robin, heir = uow.therapists.get(TherapistId("t1")), uow.therapists.get(TherapistId("t2"))
        assert removing.put_out_therapist(context, robin, heir, who=SERVER) == 1
    await house.settle()
    assert any("his fingers are blue" in text for text in house.texts(alex(house))), "nobody had seen it yet"
    assert "1 family is with you now" in house.texts(alex(house))[-1]
    assert "Alex" in house.last(house.mum).text
    before = len(house.heard(house.robin))
    await does(house, house.robin, "/families", "/digest", "/plan pip", "/audit pip")
    await house.at(20, day=6)

    assert all("Pip" not in text for text in house.texts(house.robin)[before:])


async def test_a_removed_therapist_in_the_caseload_file_is_refused(house: House) -> None:
    with house.store.write() as uow:
        uow.therapists.leave(TherapistId("t2"), house.clock.now())
    caseload = caseload_from(two_therapists(), list(load_library()), where="test")
    with house.store.write() as uow, pytest.raises(InputProblem, match="t2 was removed"):
        import_caseload.load(uow, caseload, house.clock.now())
