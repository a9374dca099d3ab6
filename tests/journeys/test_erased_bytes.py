"""What was erased is in no file of the database any more, looked at byte by byte while the bot serves."""

from __future__ import annotations

import asyncio
import copy
from collections.abc import AsyncIterator
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url, text

from bot.domain.actor import SERVER
from bot.domain.ids import FamilyId
from bot.storage import erasure
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import two_therapists
from tests.journeys.conftest import MONDAY, House, make_house
from tests.journeys.talks import does

NAMES = ("Quillon", "Oropendola", "Zsofika")  # the baby, the carer, and what a carer calls themselves


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    caseload = copy.deepcopy(two_therapists())
    caseload["families"][0]["plan"]["baby"]["nickname"] = NAMES[0]
    caseload["families"][0]["carers"][0]["name"] = NAMES[1]
    async for house in make_house(store, server, caseload, MONDAY.replace(hour=9)):
        yield house


def held_in(files: list[Path]) -> set[str]:
    content = b"".join(path.read_bytes() for path in files if path.is_file())
    return {name for name in NAMES if name.encode() in content}


def files_of(store: Store) -> list[Path]:
    database = Path(make_url(str(store.engine.url)).database or "")
    return [database.with_name(database.name + end) for end in ("", "-wal")]


async def test_an_erasure_in_chat_leaves_no_name_in_file_or_journal_while_serving(house: House) -> None:
    assert held_in(files_of(house.store)) == {*NAMES[:2]}, "else the look would find nothing anyway"
    with house.store.write() as uow:  # the last of the family may erase everything
        for carer in uow.carers.of_family(FamilyId("f1")):
            if carer.id != "c1":
                uow.carers.leave(carer, house.clock.now())
    await does(house, house.mum, "10 min tummy time", "/privacy")
    label = next(each for each in house.last(house.mum).labels() if "everything" in each.lower())
    await does(house, house.mum, f"[{label}]", "[Yes, erase it]")
    with house.store.read() as uow:
        assert uow.families.find(FamilyId("f1")) is None

    assert held_in(files_of(house.store)) == set()


async def test_a_journal_that_is_still_read_is_emptied_with_the_next_write(house: House) -> None:
    workers = house.rehearsal.parts.workers
    with house.store.read() as reading:
        reading.conn.execute(text("SELECT count(*) FROM families"))
        house.store.engine.dispose()  # new connections do not wait long for the one that reads
        await workers.write(
            lambda uow: erasure.erase_family(uow, FamilyId("f1"), house.clock.now(), who=SERVER)
        )
        assert held_in(files_of(house.store)) == {*NAMES[:2]}
    await workers.write(lambda uow: uow.clinics.find())

    assert held_in(files_of(house.store)) == set()


async def test_nothing_of_what_a_stranger_wrote_is_kept_once_it_is_handled(house: House) -> None:
    stranger = house.server.people.add(77, NAMES[2])
    await does(house, stranger, f"hello, I am {NAMES[2]}")
    with house.store.read() as uow:
        rows = uow.conn.execute(text("SELECT chat_id, raw FROM inbox WHERE chat_id = 77")).all()
        opened = [house.store.encryption.open(row.raw) for row in rows]

    assert len(opened) == 1 and NAMES[2] not in opened[0]


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
async def test_on_postgresql_the_command_writes_the_tables_anew(house: House) -> None:
    with house.store.write() as uow:
        erasure.erase_family(uow, FamilyId("f1"), house.clock.now(), who=SERVER)
    await asyncio.to_thread(house.store.rewrite)
    url = house.store.engine.url
    with psycopg.connect(f"host={url.query['host']} user={url.username} dbname={url.database}") as raw:
        raw.execute("CHECKPOINT")
        paths = raw.execute(
            "SELECT pg_read_binary_file(pg_relation_filepath(oid)) FROM pg_class WHERE relkind = 'r' "
            "AND relnamespace = 'public'::regnamespace"
        ).fetchall()
    content = b"".join(bytes(row[0]) for row in paths)

    assert len(content) > 10_000
    assert {name for name in NAMES if name.encode() in content} == set()
