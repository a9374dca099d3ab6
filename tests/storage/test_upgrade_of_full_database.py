"""A database that the first release filled, in every table and column, comes through every later migration whole."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Connection,
    Date,
    DateTime,
    Float,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    insert,
    select,
    text,
)
from sqlalchemy.exc import IntegrityError

from bot.domain.actor import CASELOAD_FILE, SERVER, Actor
from bot.domain.ids import CarerId, TherapistId
from bot.domain.subject import Subject
from bot.storage import migrate, tables
from bot.storage.encryption import Encryption
from bot.storage.sealed_types import EncryptedBytes, EncryptedJson, EncryptedText, LookupChat, LookupWord
from bot.storage.store import Store
from tests.conftest import BOTH

FIRST = "0001"
BEGAN = datetime(2026, 3, 2, 12, tzinfo=UTC)
NOT_THE_CLINICS = "alembic_version"

# What later releases added, and what they moved there: the schedule of unseen concerns is a family's now.
ADDED = {"hold_notes", "lookup_keys", "sightings", "suggestions", "unseen_spells"}
MOVED = {("concerns", "next_tell_at")}

SEALED = (EncryptedBytes, EncryptedJson, EncryptedText, LookupChat, LookupWord)

MADE_BY = {
    "t1": Actor.therapist(TherapistId("t1")),
    "therapist:t1": Actor.therapist(TherapistId("t1")),
    "carer:c1": Actor.carer(CarerId("c1")),
    "carer:f1/c1": Actor.carer(CarerId("c1")),
    "file": CASELOAD_FILE,
    "server": SERVER,
}
ABOUT = ["reminder:1", "concern:2", "answer:letter:3", "family:f1/", "card:tummy_time", "erased"]
ROWS = len(MADE_BY)
WRITTEN_AS = {("plans", "made_by"): [*MADE_BY], ("audit", "who"): [*MADE_BY], ("outbox", "about"): ABOUT}


@pytest.fixture
def first_release(database: str, encryption: Encryption) -> Iterator[Store]:
    store = Store.open(database, encryption)
    with store.write() as uow:
        command.upgrade(migrate.config_for(uow.conn), FIRST)
    yield store
    store.close()


@BOTH
def test_every_row_and_value_of_the_first_release_is_still_there(
    first_release: Store, encryption: Encryption
) -> None:
    with first_release.write() as uow:
        filled = _fill(uow.conn, encryption)
        stood_plain = _plain_columns(uow.conn)
    before = {name: _rows(first_release, name, columns) for name, columns in filled.items()}
    assert set(before) | ADDED == set(tables.metadata.tables)
    assert all(len(rows) == ROWS for rows in before.values())

    migrate.upgrade(first_release)

    assert {
        name: _rows(first_release, name, columns, stood_plain) for name, columns in filled.items()
    } == before
    with first_release.read() as uow:
        assert migrate.differences(uow.conn) == []


@BOTH
def test_what_the_first_release_sealed_and_spelled_is_read_by_this_one(
    first_release: Store, encryption: Encryption
) -> None:
    with first_release.write() as uow:
        _fill(uow.conn, encryption)

    migrate.upgrade(first_release)

    with first_release.read() as uow:
        told = uow.conn.scalars(select(tables.messages.c.text).order_by(tables.messages.c.id)).all()
        assert told == [f"text {number}" for number in range(1, ROWS + 1)]
        for column in (tables.plans.c.made_by, tables.audit.c.who):
            stored = uow.conn.scalars(select(column)).all()
            assert {each: Actor.from_stored(each) for each in stored} == MADE_BY
        abouts = uow.conn.scalars(select(tables.outbox.c.about).order_by(tables.outbox.c.id)).all()
        read = [Subject.from_stored(each) for each in abouts]
        assert [each.stored if each else None for each in read] == ABOUT


@pytest.mark.parametrize("told", ["nickname3", "home_zone3", "advice3", "detail3", "file_id3", "side3"])
def test_what_stood_plain_is_nowhere_in_the_files_after_the_upgrade(
    first_release: Store, encryption: Encryption, told: str
) -> None:
    with first_release.write() as uow:
        _fill(uow.conn, encryption)
    path = Path(first_release.engine.url.database or "")
    files = [path, path.with_name(path.name + "-wal")]
    assert any(told.encode() in file.read_bytes() for file in files), (
        "else the look would find nothing anyway"
    )

    migrate.upgrade(first_release)

    assert not any(told.encode() in file.read_bytes() for file in files)


@BOTH
def test_references_lead_where_they_did_and_a_json_null_is_none(
    first_release: Store, encryption: Encryption
) -> None:
    with first_release.write() as uow:
        _fill(uow.conn, encryption)
        uow.conn.execute(text("UPDATE families SET shape_draft = 'null'"))

    migrate.upgrade(first_release)

    with first_release.read() as uow:
        assert set(uow.conn.scalars(select(tables.families.c.shape_draft))) == {None}
        if first_release.embedded:
            assert uow.conn.exec_driver_sql("PRAGMA foreign_key_check").all() == []
    with pytest.raises(IntegrityError), first_release.write() as uow:
        uow.conn.execute(text("DELETE FROM families"))


def _plain_columns(conn: Connection) -> set[tuple[str, str]]:
    known = MetaData()
    known.reflect(conn)
    return {
        (table.name, column.name)
        for table in known.sorted_tables
        for column in table.columns
        if not isinstance(column.type, LargeBinary)
    }


def _fill(conn: Connection, encryption: Encryption) -> dict[str, list[str]]:
    """Put a row for each spelling into every table, each column filled; return the columns by table."""
    known = MetaData()
    known.reflect(conn)
    filled = [table for table in known.sorted_tables if table.name != NOT_THE_CLINICS]
    for table in filled:
        rows = [
            {column.name: _value(table, column, number, encryption) for column in table.columns}
            for number in range(1, ROWS + 1)
        ]
        conn.execute(insert(table), rows)
    return {
        table.name: [column.name for column in table.columns if (table.name, column.name) not in MOVED]
        for table in filled
    }


def _value(table: Table, column: Column[object], number: int, encryption: Encryption) -> object:
    written = WRITTEN_AS.get((table.name, column.name))
    if written is not None:
        return written[number - 1]
    for key in column.foreign_keys:
        return _value(key.column.table, key.column, number, encryption)
    match column.type:
        case Boolean():
            return number % 2 == 0
        case LargeBinary():
            return _sealed(table.name, column.name, number, encryption)
        case JSON():
            return {"number": number}
        case DateTime():
            moment = BEGAN + timedelta(hours=number)
            return moment if getattr(column.type, "timezone", False) else moment.replace(tzinfo=None)
        case Date():
            return date(2026, 3, 2) + timedelta(days=number)
        case Integer():
            return number
        case Float():
            return number + 0.5
        case _:
            return f"{column.name}{number}"[: column.type.length]  # type: ignore[attr-defined]


def _sealed(table: str, column: str, number: int, encryption: Encryption) -> bytes:
    match tables.metadata.tables[table].c[column].type:
        case EncryptedJson():
            return encryption.seal(json.dumps({"number": number}))
        case EncryptedBytes():
            return encryption.seal_bytes(bytes([number]))
        case _:
            return encryption.seal(f"{column} {number}")


def _rows(
    store: Store, name: str, columns: list[str], stood_plain: Collection[tuple[str, str]] = ()
) -> list[tuple[object, ...]]:
    """Return the rows as the database holds them, in any order but the same one each time.

    stood_plain: what an earlier release kept plain; where it is sealed now, it is opened.
    """
    with store.read() as uow:
        table = Table(name, MetaData(), autoload_with=uow.conn)
        rows = uow.conn.execute(select(*(table.c[each] for each in columns))).all()
    kinds = [tables.metadata.tables[name].c[each].type for each in columns]
    opens = [
        isinstance(kind, SEALED) and (name, each) in stood_plain
        for kind, each in zip(kinds, columns, strict=True)
    ]
    dialect = store.engine.dialect
    opened = [
        tuple(
            kind.process_result_value(value, dialect) if sealed else value  # type: ignore[attr-defined]
            for value, kind, sealed in zip(row, kinds, opens, strict=True)
        )
        for row in rows
    ]
    return sorted(opened, key=repr)
