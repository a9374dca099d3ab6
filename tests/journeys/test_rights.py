"""A carer's copy, erasure and leaving; and that no table can be read for the words after."""

from __future__ import annotations

import base64
import json

import pytest
from sqlalchemy import select

from bot.domain.actor import SERVER
from bot.domain.ids import CarerId, ChatId, FamilyId
from bot.domain.outgoing import OutgoingMessage
from bot.domain.subject import Subject
from bot.features.context import CarerContext
from bot.features.events import ButtonPressed
from bot.features.privacy import rights
from bot.storage import erasure
from bot.storage.tables import audit, inbox, messages, metadata, outbox, sessions
from demo.messaging import Person
from tests.journeys.conftest import House
from tests.journeys.talks import carer_row, does, invited

SECRET = "marmalade"  # a word that nothing but a carer's messages holds


async def file_of(house: House, person: Person, name: str) -> bytes:
    """Return the content of the last document of that name as the service holds it."""
    with house.store.read() as uow:
        rows = uow.conn.execute(select(outbox.c.payload).where(outbox.c.chat_id == person.id))
        files = [row.payload["file"] for row in rows if row.payload.get("file")]
    return base64.b64decode(next(f["content"] for f in reversed(files) if f["name"] == name))


async def everything_readable(house: House) -> dict[str, str]:
    """Return every row of every table, opened with the key, as text by table."""
    found: dict[str, str] = {}
    with house.store.read() as uow:
        for table in metadata.sorted_tables:
            rows = (uow.conn.execute(select(table))).mappings().all()
            found[table.name] = json.dumps([dict(row) for row in rows], default=str, ensure_ascii=False)
    return found


async def a_week_of_words(house: House) -> None:
    reminder = await house.to_first_reminder()
    await does(house, house.mum, f"10 min {SECRET}")
    assert reminder.message_id
    await does(house, house.mum, f"is the {SECRET} chair ok?")
    await does(house, house.mum, f"he cries when I touch the {SECRET} arm")
    answer = house.last(house.robin)
    house.robin.say(f"Answer about {SECRET}", reply_to=answer.message_id)
    await house.settle()


async def test_privacy_explains_and_gives_the_copy_to_read_and_as_data(house: House) -> None:
    await a_week_of_words(house)
    await does(house, house.grandpa, "papaya 5 min")

    await does(house, house.mum, "/privacy", "[Send me my copy]")

    data = json.loads(await file_of(house, house.mum, "copy.json"))
    page = (await file_of(house, house.mum, "copy.html")).decode()
    assert data["messages"][0]["text"] == f"10 min {SECRET}"
    assert data["questions"][0]["text"] == f"is the {SECRET} chair ok?"
    assert data["concerns"][0]["urgency"] == "same_day"
    assert [row["minutes"] for row in data["minutes"] if row["state"] == "counted"] == [10.0]
    assert data["plan"][0]["plan"]["baby"]["nickname"] == "Pip"
    assert "papaya" not in json.dumps(data)
    assert SECRET in page
    assert "<script" not in page


async def test_markup_in_a_carers_words_stays_words_in_the_copy(house: House) -> None:
    await does(house, house.mum, "<script>alert(1)</script> 5 min?", "/privacy", "[Send me my copy]")

    page = (await file_of(house, house.mum, "copy.html")).decode()
    assert "&lt;script&gt;" in page
    assert "<script" not in page


async def test_erasing_asks_twice_and_a_no_keeps_everything(house: House) -> None:
    await a_week_of_words(house)
    asked = await does(house, house.mum, "/privacy", "[Erase my words]")
    assert "cannot be undone" in asked.text

    kept = await does(house, house.mum, "[No, keep it]")

    assert "I keep it" in kept.text
    assert SECRET in (await everything_readable(house))["messages"]


async def test_a_carers_words_and_name_are_in_no_table_after_and_the_minutes_stay(house: House) -> None:
    await a_week_of_words(house)
    await does(house, house.grandpa, "papaya 5 min?")
    await does(house, house.mum, "/privacy", "[Erase my words]", "[Yes, erase it]")

    kept = await everything_readable(house)
    assert {name for name, text in kept.items() if SECRET in text} == set()
    assert {name for name, text in kept.items() if "Mum" in text} == set()
    assert "papaya" in kept["messages"]
    with house.store.read() as uow:
        minutes = (uow.conn.execute(select(sessions.c.minutes).where(sessions.c.state == "counted"))).all()
        assert [row.minutes for row in minutes] == [10.0]
    assert (await carer_row(house, "c1")).chat_id is None
    assert house.last(house.mum).text.startswith("It is erased")
    assert "erased their words" in house.last(house.robin).text


async def test_an_unseen_worry_is_not_erased_in_silence(house: House) -> None:
    await does(house, house.mum, "he is blue", "/privacy", "[Erase my words]", "[Yes, erase it]")

    told = house.last(house.robin).text
    assert "not yet marked as seen" in told
    assert "call the family" in told


async def test_after_erasure_the_chat_is_a_strangers(house: House) -> None:
    await does(house, house.mum, "/privacy", "[Erase my words]", "[Yes, erase it]")

    assert "only talk with families" in (await does(house, house.mum, "10 min")).text


async def test_only_the_last_of_the_family_may_erase_everything(house: House) -> None:
    await a_week_of_words(house)
    offered = await does(house, house.mum, "/privacy")
    assert "Erase everything" not in offered.labels()
    await does(house, house.grandpa, "/leave", "[Salir de este chat]")

    asked = await does(house, house.mum, "/privacy", "[Erase everything]")
    assert "all I hold of Pip" in asked.text
    await does(house, house.mum, "[Yes, erase it]")

    kept = await everything_readable(house)
    assert {name for name, text in kept.items() if SECRET in text} == set()
    assert {name for name, text in kept.items() if "Mum" in text or "Grandpa" in text} == set()
    with house.store.read() as uow:
        assert erasure.rows_of_family(uow, FamilyId("f1")) == {}
        logged = (uow.conn.execute(select(audit.c.what).where(audit.c.family_id == "f1"))).scalars().all()
    assert "family erased" in logged
    # The last words that name the baby, to the therapist, go at the next tidying up.
    await house.rehearsal.jump(house.clock.now())
    with house.store.write() as uow:
        erasure.forget_last_words(uow)
    assert {name for name, text in (await everything_readable(house)).items() if "Pip" in text} == set()


async def test_a_digest_that_told_of_them_is_emptied_too(house: House) -> None:
    await a_week_of_words(house)
    await house.at(18, 5, day=6)
    assert house.last(house.robin).kind == "photo"
    with house.store.write() as uow:
        erasure.erase_family(uow, FamilyId("f1"), house.clock.now(), who=SERVER)

    kept = await everything_readable(house)
    assert {name for name, text in kept.items() if "Pip" in text or SECRET in text} == set()


async def test_another_familys_waiting_worry_with_the_same_name_in_it_still_goes_out(house: House) -> None:
    with house.store.write() as uow:
        said = OutgoingMessage(
            chat_id=ChatId(9001),
            kind="concern",
            text="Mum of another baby: he is blue",
            about=Subject.of("concern", 99),
        )
        uow.outbox.put(said, house.clock.now())
        erasure.erase_family(uow, FamilyId("f1"), house.clock.now(), who=SERVER)
    await house.settle()

    assert "another baby" in house.last(house.robin).text


async def test_what_a_carer_passed_on_goes_with_the_whole_family(house: House) -> None:
    with house.store.write() as uow:
        passed_on = OutgoingMessage(
            chat_id=ChatId(9001),
            text="a photo of a red arm",
            about=Subject.family(FamilyId("f1"), CarerId("c1")),
        )
        uow.outbox.put(passed_on, house.clock.now())
        erasure.erase_family(uow, FamilyId("f1"), house.clock.now(), who=SERVER)
    await house.settle()

    assert not any("red arm" in text for text in (await everything_readable(house)).values())


async def test_updates_go_on_from_where_they_were_after_an_erasure(house: House) -> None:
    await does(house, house.mum, "/privacy", "[Erase my words]", "[Yes, erase it]")
    with house.store.read() as uow:
        raws = (uow.conn.execute(select(inbox.c.raw).where(inbox.c.chat_id.is_(None)))).scalars().all()
    assert all(set(raw) == {"update_id"} for raw in raws)

    await does(house, house.grandpa, "10 min?")

    assert len(house.heard(house.mum)) == 3  # what is kept, the second question, the parting words


async def test_leaving_stops_at_once_and_rights_outlast_it(house: House) -> None:
    await a_week_of_words(house)
    left = await does(house, house.mum, "/leave", "[Leave this chat]")
    assert "send you nothing more" in left.text
    before = len(house.heard(house.mum))
    await house.at(20)
    assert len(house.heard(house.mum)) == before

    await does(house, house.mum, "[Send me my copy]")
    assert SECRET in (await file_of(house, house.mum, "copy.html")).decode()

    await does(house, house.mum, "/privacy", "[Erase my words]", "[Yes, erase it]")
    assert {n for n, text in (await everything_readable(house)).items() if SECRET in text} == set()


async def test_day_care_gets_a_copy_of_its_own_words_alone(house: House) -> None:
    await a_week_of_words(house)
    code = await invited(house, "c3", "Sunny Room", role="day_care")
    room = house.server.people.add(5003, "Room")
    await does(house, room, f"/start {code}", "[Yes, I agree]", "napped well?", "/privacy")
    assert house.last(room).labels() == ["Send me my copy", "Erase my words"]

    await does(house, room, "[Send me my copy]")

    data = json.loads(await file_of(house, room, "copy.json"))
    assert [row["text"] for row in data["messages"]] == ["napped well?"]
    assert data["minutes"] == []
    assert "plan" not in data and "who_saw_what" not in data


def test_every_table_with_words_of_people_is_dealt_with() -> None:
    """A new table must say whose it is, or erasing would pass over it."""
    without_family = {table.name for table in metadata.sorted_tables if "family_id" not in table.c}
    with_carer = {table.name for table in metadata.sorted_tables if "carer_id" in table.c}

    assert without_family <= {
        "inbox",
        "leases",
        "lookup_keys",
        "clinics",
        "therapists",
        "digests",
        "families",
    }
    assert with_carer == {t.name for t in erasure.WORDS_OF_A_CARER} | erasure.MINUTES_OF_A_CARER
    assert messages.name in with_carer


@pytest.mark.parametrize("argument", ["all", "all:sure"])
async def test_a_forged_press_cannot_erase_a_family_that_has_others(house: House, argument: str) -> None:
    await does(house, house.mum, "/privacy")
    with house.store.write() as uow:
        context = house.rehearsal.parts.router.context(uow)
        assert context is not None
        carer, family = uow.carers.find(FamilyId("f1"), CarerId("c1")), uow.families.find(FamilyId("f1"))
        assert carer is not None and family is not None
        event = ButtonPressed(chat_id=ChatId(5001), at=house.clock.now(), data="", press="1", message_id=1)
        rights.pressed(CarerContext(context, event, carer, family), argument)

    with house.store.read() as uow:
        assert uow.families.find(FamilyId("f1")) is not None
