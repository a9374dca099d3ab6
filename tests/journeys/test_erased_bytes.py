"""What stands in the bytes of the database: nothing of a family can be read there, and what was erased is not there at all."""

from __future__ import annotations

import asyncio
import copy
import sqlite3
from collections.abc import AsyncIterator, Iterator
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import func, select

from bot.domain.actor import SERVER
from bot.domain.ids import ChatId, FamilyId
from bot.storage import erasure
from bot.storage.store import Store
from bot.storage.tables import inbox, messages, plans
from demo.messaging import MessagingServer, Person
from tests.conftest import BOTH
from tests.journeys.clinic import two_therapists
from tests.journeys.conftest import MONDAY, House, make_house
from tests.journeys.raw_bytes import bytes_of, every_value, files_of, sealed_pieces
from tests.journeys.talks import does

F1 = FamilyId("f1")
CHATS = (ChatId(7_345_678_900_001), ChatId(7_345_678_900_002), ChatId(7_345_678_900_003))
NAMES = ("Quillon", "Oropendola", "Zsofika")  # the baby, the carer, and what a stranger calls themselves
BORN = "2025-11-17"
WORDS = ("marmalade", "aardvark", "fever of 39.5", "blue lips", "kumquat")
SIGNS = ("affected_side", "left_or_right", "fever", "breathing")


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    caseload = copy.deepcopy(two_therapists())
    first = caseload["families"][0]
    first["plan"]["baby"] |= {"nickname": NAMES[0], "born": BORN}
    for carer, chat_id in zip(first["carers"], CHATS, strict=True):
        carer["chat_id"] = chat_id
    first["carers"][0]["name"] = NAMES[1]
    async for house in make_house(store, server, caseload, MONDAY.replace(hour=9)):
        yield house


def mother(house: House) -> Person:
    return house.person(CHATS[0])


async def live_a_day(house: House) -> None:
    """Reminders, minutes, words of trouble and what follows them, a question with its answer, a photo."""
    mum = mother(house)
    await house.to_first_reminder(mum)
    await does(house, mum, "12 min tummy time, she loved it, marmalade", "5 min football hold left")
    await does(house, mum, "she is too tired and aardvark")
    await does(house, mum, "she has a fever of 39.5", "her blue lips scare me")
    mum.photo(caption="kumquat")
    await house.settle()
    await does(house, mum, "can I do more on the mat?")
    await house.at(18, 30)
    await house.at(18, 30, day=6)  # the digest too


def told() -> Iterator[bytes]:
    """What must not be readable: names, words, the birth date, chats as digits and as numbers, signs."""
    for text in (*NAMES[:2], BORN, *WORDS, *SIGNS):
        yield text.encode()
    for chat_id in CHATS:
        yield str(chat_id).encode()
        yield chat_id.to_bytes(6, "big")


@BOTH
async def test_nothing_of_a_lived_day_can_be_read_in_the_database_or_a_backup(
    house: House, tmp_path: Path
) -> None:
    await live_a_day(house)
    with house.store.read() as uow:
        said = " ".join(filter(None, uow.conn.scalars(select(messages.c.text))))
        document = uow.conn.scalars(select(plans.c.document).where(plans.c.family_id == F1)).first()
    assert all(word in said for word in WORDS), "else the look would find nothing anyway"
    assert document is not None and BORN in str(document)

    held = {"every value": every_value(house.store)}
    if house.store.embedded:
        held["files"] = bytes_of(files_of(house.store))
        with (
            closing(sqlite3.connect(files_of(house.store)[0])) as database,
            closing(sqlite3.connect(tmp_path / "backup.db")) as backup,
        ):
            database.backup(backup)
        held["backup"] = bytes_of([tmp_path / "backup.db"])
    assert all(len(content) > 20_000 for content in held.values())
    assert {(where, each) for where, content in held.items() for each in told() if each in content} == set()


async def test_an_erasure_in_chat_leaves_nothing_sealed_in_file_or_journal_while_serving(
    house: House,
) -> None:
    await live_a_day(house)
    sealed = sealed_pieces(house.store, F1, CHATS)
    before = bytes_of(files_of(house.store))
    assert len(sealed) > 200
    assert all(piece in before for piece in sealed), "else the look would find nothing anyway"
    with house.store.write() as uow:  # the last of the family may erase everything
        for carer in uow.carers.of_family(F1):
            if carer.id != "c1":
                uow.carers.leave(carer, house.clock.now())
    await does(house, mother(house), "/privacy")
    label = next(each for each in house.last(mother(house)).labels() if "everything" in each.lower())
    await does(house, mother(house), f"[{label}]", "[Yes, erase it]")
    await house.at(23, 0, day=6)
    with house.store.read() as uow:
        assert uow.families.find(F1) is None

    after = bytes_of(files_of(house.store))
    assert {piece for piece in sealed if piece in after} == set()


async def test_a_journal_that_is_still_read_is_emptied_with_the_next_write(house: House) -> None:
    workers = house.rehearsal.parts.workers
    sealed = sealed_pieces(house.store, F1, CHATS)
    with house.store.read() as reading:
        reading.conn.execute(select(func.count()).select_from(messages))
        house.store.engine.dispose()  # new connections do not wait long for the one that reads
        await workers.write(lambda uow: erasure.erase_family(uow, F1, house.clock.now(), who=SERVER))
        still = bytes_of(files_of(house.store))
        assert any(piece in still for piece in sealed)
    await workers.write(lambda uow: uow.clinics.find())

    after = bytes_of(files_of(house.store))
    assert {piece for piece in sealed if piece in after} == set()


async def test_nothing_of_what_a_stranger_wrote_is_kept_once_it_is_handled(house: House) -> None:
    stranger = house.server.people.add(77, NAMES[2])
    await does(house, stranger, f"hello, I am {NAMES[2]}")
    with house.store.read() as uow:
        opened = uow.conn.scalars(select(inbox.c.raw).where(inbox.c.chat_id == 77)).all()

    assert len(opened) == 1 and NAMES[2] not in str(opened[0])


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
async def test_on_postgresql_the_command_writes_the_tables_anew(house: House) -> None:
    await live_a_day(house)
    sealed = sealed_pieces(house.store, F1, CHATS)
    before = _relation_files(house.store)
    assert sum(piece in before for piece in sealed) > 100, "else the look would find nothing anyway"
    with house.store.write() as uow:
        erasure.erase_family(uow, F1, house.clock.now(), who=SERVER)
    await asyncio.to_thread(house.store.rewrite)

    after = _relation_files(house.store)
    assert len(after) > 10_000
    assert {piece for piece in sealed if piece in after} == set()


def _relation_files(store: Store) -> bytes:
    """Return the bytes of every table, and of what PostgreSQL keeps of long values beside them."""
    url = store.engine.url
    with psycopg.connect(f"host={url.query['host']} user={url.username} dbname={url.database}") as raw:
        raw.execute("CHECKPOINT")
        paths = raw.execute(
            "SELECT pg_read_binary_file(pg_relation_filepath(oid)) FROM pg_class WHERE relkind = 't' "
            "OR relname = 'pg_statistic' OR (relkind IN ('r', 'i') AND relnamespace = 'public'::regnamespace)"
        ).fetchall()
    return b"".join(bytes(row[0]) for row in paths)
